"""Worked examples of the kitchen, asked at the command line as a cook would."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli.main import main

COOK = "cooks/2026-05-16-ribs/cook.toml"
CUP_M3 = 236.5882365e-6

RUB = """
name = "Half and half"
kind = "rub"
[[lines]]
ingredient = "salt_kosher_{crystal}"
amount = "2 T"
[[lines]]
ingredient = "pepper_black_ground"
amount = "2 T"
"""

STOCK = """
name = "Stock"
kind = "stock"
[[lines]]
ingredient = "stock_chicken_homemade"
amount = "3 cups"
[reduce]
to = "3/4 cup"
power = "1 kW"
"""

SAUCE = """
name = "Sauce"
kind = "sauce"
per = "piece"
[[lines]]
ingredient = "sauce_barbecue"
amount = "1/2 cup"
[[lines]]
mix = "stock"
amount = "1/4 cup"
"""


@pytest.fixture
def asked(book: Path, capsys: pytest.CaptureFixture[str]):
    files = {"stock": STOCK, "sauce": SAUCE} | {
        crystal: RUB.format(crystal=crystal) for crystal in ("rolled", "flaked")
    }
    for name, text in files.items():
        (book / "mixes" / f"{name}.toml").write_text(f"schema = 1{text}")

    def ask(*words: str):
        capsys.readouterr()
        assert main([*words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return ask


@pytest.mark.parametrize(("crystal", "grams"), [("rolled", 28.8), ("flaked", 16.8)])
def test_two_spoons_of_salt_and_two_of_pepper(asked, crystal, grams):
    # 4.8 and 2.8 g a teaspoon by label, 6.9 g of pepper a tablespoon (NDB 02030).
    rub = asked("mix", crystal, "--for", "1 batch")
    assert [line["spoons"] for line in rub["lines"]] == ["2 tbsp", "2 tbsp"]
    assert [line["grams"] for line in rub["lines"]] == pytest.approx([grams, 13.8])
    assert rub["salt_g"] == pytest.approx(grams, rel=2e-3)
    # The same in the Result of a cook that made one batch of it.
    cook = Path(COOK)
    cook.write_text(f'{cook.read_text()}\n[[mixes]]\nmix = "{crystal}"\nsticks = 1.0\n')
    result = asked("mixes", "ribs")
    assert result["mixes"][0]["salt_g"] == pytest.approx(rub["salt_g"])
    assert result["salt"][0]["salt_g"] == pytest.approx(rub["salt_g"])


def test_three_cups_of_stock_to_three_quarters(asked):
    stock = asked("mix", "stock", "--for", "1 batch")
    making = stock["making"]
    assert making["from_m3"] == pytest.approx(3 * CUP_M3)
    assert making["to_m3"] == pytest.approx(making["from_m3"] / 4)
    assert making["ratio"] == pytest.approx(4.0)
    assert making["reduce_s"] / 60 == pytest.approx(20.0, abs=0.1)
    # 143 mg of sodium in 100 g (NDB 06172) over the volume, before and after: four times as salty.
    before = 720 * 1.43 / 393.37 / making["from_m3"]
    assert stock["salt_g"] / making["to_m3"] == pytest.approx(4 * before, rel=1e-4)


def test_a_sauce_with_reduced_stock_for_five_racks(asked):
    one, five = (asked("mix", "sauce", "--for", f"{count} racks") for count in (1, 5))
    assert [line["spoons"] for line in one["lines"]] == ["1/2 cup", "1/4 cup"]
    assert [line["spoons"] for line in five["lines"]] == ["2 1/2 cups", "1 1/4 cups"]
    for line, more in zip(one["lines"], five["lines"], strict=True):
        assert more["grams"] == pytest.approx(5 * line["grams"], rel=1e-12)
    cook = Path(COOK)
    text = cook.read_text().replace("[[pieces]]\n", "[[pieces]]\ncount = 5\n")
    cook.write_text(f'{text}\n[[mixes]]\nmix = "sauce"\n\n[[mixes]]\nmix = "stock"\n')
    result = asked("mixes", "ribs")
    stock, sauce = sorted(result["mixes"], key=lambda mix: mix["mix"] == "sauce")
    assert [line["grams"] for line in sauce["lines"]] == pytest.approx(
        [line["grams"] for line in five["lines"]]
    )
    # One pot of 3 cups leaves 3/4 cup; five racks take 1 1/4: the ledger says by how much it is short.
    (kept,) = result["ledger"]
    assert kept["made_g"] == pytest.approx(stock["total_g"])
    assert sum(kept["used"].values()) == pytest.approx(five["lines"][1]["grams"])
    assert kept["short_text"] == "short by 1/2 cup"
