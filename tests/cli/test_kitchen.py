"""Shopping, crowds and mixes at the command line, with awkward input too."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stallwise.cli.main import main

RIBS = "2026-05-16-ribs"


def run(*words: str, status: int = 0) -> None:
    assert main(list(words)) == status


@pytest.fixture
def book(book: Path) -> Path:
    """The cook has a rub, a stock and a glaze too."""
    cook = book / "cooks" / RIBS / "cook.toml"
    cook.write_text(
        cook.read_text()
        + '\n[[mixes]]\nmix = "plain-rub"\n\n[[mixes]]\nmix = "bone-stock"\npan = "16 cm"\n'
        + '\n[[mixes]]\nmix = "stock-glaze"\n'
    )
    return book


def said(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> str:
    capsys.readouterr()
    run(*words, status=status)
    out = capsys.readouterr()
    return out.out + out.err


def test_a_list_for_a_cook(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "shop", "ribs", "--have", "honey=2 tbsp")
    assert "Meaty bones" in text
    assert "At hand" in text
    found = json.loads(said(capsys, "shop", "ribs", "--json"))
    assert {item["section"] for item in found["items"]} >= {"meat", "spices and baking"}
    assert "Ribs" in said(capsys, "shop", "--on", "2026-05-16")


def test_what_is_at_hand_lasts_in_the_cookbook(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = book / "cookbook.toml"
    settings.write_text(settings.read_text() + '\n[at_hand]\nhoney = "1 lb"\n')
    found = json.loads(said(capsys, "shop", "ribs", "--json"))
    (honey,) = [item for item in found["items"] if item["key"] == "honey"]
    assert honey["buy_g"] == 0.0


def test_the_mixes_of_a_cook_with_a_wish_for_salt(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(capsys, "mixes", "ribs", "--land", "1 %", "--nutrition")
    assert "to land at 1 %" in text
    assert "Another crystal of salt: keep the grams, not the spoons." in text
    assert "no label" in text
    assert "deep in the 6.3 in pan" in text
    found = json.loads(said(capsys, "mixes", "ribs", "--json"))
    assert found["salt"][0]["sodium_mg_per_serving"] > 0


@pytest.mark.parametrize(
    ("words", "text"),
    [
        (["shop", "nobody"], "cook"),
        (["shop", "ribs", "--on", "2026-05-16"], "one of the two"),
        (["shop", "--on", "16 May"], "year-month-day"),
        (["shop", "--on", "2026-05-17"], "2026-05-16"),
        (["shop", "ribs", "--have", "honey"], "honey=200 g"),
        (["shop", "ribs", "--have", "honey=200"], "'200 g'"),
        (["shop", "ribs", "--have", "hunny=200 g"], "honey"),
        (["crowd", "--guests", "0", "--cut", "pork-spare-ribs-trimmed"], "1 to 100,000"),
        (["crowd", "--guests", "some"], "--guests: not a whole number: 'some'"),
        (["rerun", "--workers", "two"], "--workers: 'two' came. Allowed: a whole number from 1"),
        (["crowd", "--guests", "10"], "--cut"),
        (["crowd", "--guests", "ten", "--cut", "pork-belly"], "--help"),
        (["crowd", "--guests", "9", "--cut", "pork-bely"], "pork-belly"),
        (["crowd", "--guests", "9", "--cut", "pork-belly", "--price", "3.29"], "3.29 per lb"),
        (["crowd", "--guests", "9", "--cut", "pork-belly", "--grate", "90"], "two sides"),
        (["crowd", "--guests", "9", "--cut", "pork-belly", "--per-load", "0"], "at least one"),
        (["crowd", "--guests", "9", "--cut", "pork-belly", "--margin", "10"], "10 %"),
        (
            ["crowd", "--guests", "9", "--cut", "pork-belly", "--piece", "beef=8 lb"],
            "a cut that is asked",
        ),
        (["crowd", "--guests", "9", "--children", "12", "--cut", "pork-belly"], "no more than all"),
        (["mix", "plain-rub", "--for", "4 kg", "--bowl", "2 lb"], "not a unit of volume"),
        (["mix", "stock-glaze", "--for", "250 g of sugar"], "sugar"),
        (["mix", "stock-glaze", "--for", "4 kg brisket"], "does not say how much goes on"),
        (["mix", "stock-glaze", "--for", "2 cups racks"], "a count"),
        (["mix", "bone-stock", "--for", "1 batch", "--pan", "16"], "16 in"),
        (["mix", "bone-stock", "--for", "1 batch", "--ring", "1800"], "1800 W"),
        (["mix", "bone-stock", "--for", "1 batch", "--ring", "1800 W wood"], "power"),
        (["mix", "plain-rub", "--for", "4 kg", "--pan", "16 cm"], "not reduced"),
        (["mix", "bone-stock", "--for", "1 batch", "--after", "20"], "20 min"),
        (["mixes", "--land", "1.2 %"], "COOK"),
        (["mixes", "ribs", "--land", "1.2"], "1.2 %"),
        (["mixes", "ribs", "--land", "40 %"], "less than 10 %"),
    ],
)
def test_awkward_words_get_an_answer(
    book: Path, capsys: pytest.CaptureFixture[str], words: list[str], text: str
) -> None:
    answer = said(capsys, *words, status=2)
    assert text in answer
    assert "Traceback" not in answer


def test_a_crowd_without_a_cookbook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    text = said(
        capsys, "crowd", "--guests", "20", "--cut", "pork-shoulder-bone-in",
        "--price", "$3.29/lb", "--grate", "36 x 18 in",
    )  # fmt: skip
    assert "58 % of what is bought is eaten" in text
    assert "a plate" in text
    assert "1 load" in text


def test_what_is_in_the_jar_says_how_far_it_goes(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(said(capsys, "mix", "stock-glaze", "--for", "170 g of honey", "--json"))
    honey = next(line for line in found["lines"] if line["ingredient"] == "honey")
    assert honey["grams"] == pytest.approx(170)
    text = said(capsys, "mix", "plain-rub", "--for", "300 g", "--batch", "--bowl", "1 cup")
    assert "Enough for 44 lb 1 oz of meat." in text  # 15 g a kilogram
    assert "Enough for 16 pieces" in said(capsys, "mix", "stock-glaze", "--for", "1 cup honey")
    assert "takes it in 3 goes of 100 g" in text


def test_a_ring_and_a_look_after_some_minutes(capsys: pytest.CaptureFixture[str]) -> None:
    stock = ("mix", "bone-stock", "--for", "1 batch", "--pan", "16 cm")
    text = said(capsys, *stock, "--ring", "1 kW", "--after", "10 min")
    assert "about 20 min at 1 kW" in text
    assert "After 10 min at the boil about 1 3/4 cups + 2 tbsp is left" in text
    assert "about 19 min at 1.06 kW" in said(capsys, *stock, "--ring", "9,000 Btu/h gas")
    assert "the pan is dry" in said(capsys, *stock, "--ring", "2 kW", "--after", "40 min")


def test_a_spoilt_cook_hides_no_weighing_of_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run("init", str(tmp_path / "book"), "--sample")
    monkeypatch.chdir(tmp_path / "book")
    own = said(capsys, "cuts", "pork-spare-ribs-trimmed")
    assert "weigh 1 more" in own
    (tmp_path / "book" / "cooks" / "2026-01-31-late-brisket" / "cook.toml").write_text("title = 3")
    assert said(capsys, "cuts", "pork-spare-ribs-trimmed") == own


OWN_SAUCE = """name = "Own sauce"
kind = "sauce"
per = "8 guests"

[[lines]]
ingredient = "{item}"
amount = "1 cup"

[[lines]]
ingredient = "honey"
amount = "90 g"
"""


@pytest.mark.parametrize(
    ("file", "text", "word"),
    [
        ("mixes/own-sauce.toml", OWN_SAUCE.format(item="water"), "water_tap"),
        ("mixes/own-sauce.toml", OWN_SAUCE.replace('"sauce"', '"gravy"'), "gravy"),
        ("ingredients/chilli.toml", 'name = "Chilli"\nweighed = "a spoon"\n', "1 tbsp = 8.2 g"),
    ],
)
def test_a_slip_in_a_mix_is_found_before_anybody_scales_it(
    book: Path, capsys: pytest.CaptureFixture[str], file: str, text: str, word: str
) -> None:
    (book / file).parent.mkdir(exist_ok=True)
    (book / file).write_text(text)
    found = said(capsys, "check", status=1)
    assert word in found
    assert file in found
    assert "1 wrong" in found


def test_check_notes_keys_that_nothing_reads_and_reads_on_past_a_broken_cookbook(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (book / "ingredients").mkdir(exist_ok=True)
    (book / "ingredients" / "chilli.toml").write_text('name = "Chilli"\ntablespoon = "8 g"\n')
    assert "chilli.toml: tablespoon is not a key of ours" in said(capsys, "check")
    settings = book / "cookbook.toml"
    settings.write_text(settings.read_text() + '\n[prices]\nhoney = "free"\n')
    for words in (["check"], ["check", str(book)]):
        text = said(capsys, *words, status=1)
        assert "prices.honey" in text
        assert "files read: 1 wrong" in text


def test_check_finds_a_piece_that_cannot_be_before_anybody_forecasts_it(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("new", "--cut", "chicken-whole", "--title", "giant", "--on", "2026-06-01")
    plan = book / "cooks" / "2026-06-01-giant" / "cook.toml"
    plan.write_text(plan.read_text().replace("cut =", 'mass = "80 lb"\nfinish = "soft"\ncut ='))
    for words in (["check"], ["check", str(plan.parent)]):
        text = said(capsys, *words, status=1)
        assert "2026-06-01-giant/cook.toml: piece A: Chicken, whole of 80 lb" in text
        assert "no finish of Chicken, whole" in text
        assert "2 wrong" in text


def test_a_line_of_a_mix_is_found_by_its_words(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (book / "mixes").mkdir(exist_ok=True)
    item = "sugar_brown_packed"
    (book / "mixes" / "own-sauce.toml").write_text(OWN_SAUCE.format(item=item))
    text = said(capsys, "mix", "own-sauce", "--for", "110 g of brown sugar")
    assert "Enough for 4 guests." in text  # 1 cup is 220 g; never "4.00 guests"
    small = said(capsys, "mix", "own-sauce", "--for", "5 g of honey")
    assert "Not enough for one guest." in small
    wrong = said(capsys, "mix", "own-sauce", "--for", "90 g of ketchup", status=2)
    assert "There are: sugar_brown_packed, honey" in wrong


def test_a_cook_without_mixes_is_told_how_to_add_one(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("new", "--cut", "beef-brisket-whole", "--title", "bare", "--on", "2026-06-01")
    assert "[[mixes]]" in said(capsys, "mixes", "bare")


def test_ingredients_are_listed_by_any_of_their_words(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "sugar_brown_packed" in said(capsys, "ingredients", "brown", "sugar")
    assert "salt_kosher_rolled" in said(capsys, "ingredients", "Kosher")
    assert "No ingredient has 'xyz'" in said(capsys, "ingredients", "xyz")
    assert "curing_salt_1, by weight alone" in said(capsys, "ingredients", "pink", "salt")
    one = said(capsys, "ingredients", "flaked")
    assert (
        "a teaspoon 2.8 g, a tablespoon 8.4 g, a cup 134 g; a teaspoon 2.8 to 3.2 g by label" in one
    )
    assert "39300 mg of sodium" in one
    assert "no. 16, are 1.18 mm" in said(capsys, "ingredients", "16", "mesh")
    assert "fish (anchovy); wheat; soy;" in said(capsys, "ingredients", "worcestershire")
    assert "only ever weighed" in said(capsys, "ingredients", "curing")
    found = json.loads(said(capsys, "ingredients", "vinegar", "--json"))
    assert "vinegar_cider" in [row["key"] for row in found["ingredients"]]


def test_a_broken_cook_does_not_lock_the_freezer(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, day in (("first", "2026-03-01"), ("broken", "2026-04-01")):
        run("new", "--cut", "pork-spare-ribs-trimmed", "--title", name, "--on", day)
    first = book / "cooks" / "2026-03-01-first" / "cook.toml"
    first.write_text(first.read_text().replace('letter = "A"', 'letter = "A"\nmass_saved = "2 lb"'))
    (book / "cooks" / "2026-04-01-broken" / "cook.toml").write_text('title = "broken\n')
    mine = book / "cooks" / RIBS / "cook.toml"
    source = "2026-03-01-first/A"
    mine.write_text(mine.read_text() + f'\n[[mixes]]\nmix = "bone-stock"\nfrom = "{source}"\n')
    text = said(capsys, "mixes", "ribs")
    assert "from 2 lb of trimmings" in text
    assert "2026-04-01-broken" in text
    first.write_text('title = "first\n')
    # The one that the trimmings come from: why they are not there is said.
    assert "What 2026-03-01-first took" in said(capsys, "mixes", "ribs", status=2)


def test_a_crowd_is_laid_on_the_shelves_of_the_pit(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf = '\n[[shelves]]\nname = "{}"\nwidth = "36 in"\ndepth = "18 in"\n'
    (book / "pits").mkdir(exist_ok=True)
    (book / "pits" / "yard.toml").write_text('name = "Yard"\n' + shelf.format("up"))
    crowd = ["crowd", "--guests", "400", "--cut", "pork-shoulder-bone-in", "--piece", "8 lb"]
    one = json.loads(said(capsys, *crowd, "--json"))
    assert (
        one["meats"][0]["at_once"]
        == json.loads(said(capsys, *crowd, "--grate", "36 x 18 in", "--json"))["meats"][0][
            "at_once"
        ]
    )
    (book / "pits" / "yard.toml").write_text(
        'name = "Yard"\n' + shelf.format("up") + shelf.format("down")
    )
    two = json.loads(said(capsys, *crowd, "--pit", "yard", "--json"))
    assert two["meats"][0]["at_once"] == 2 * one["meats"][0]["at_once"]
    assert two["loads"] < one["loads"]
    assert "× Pork shoulder" in said(capsys, *crowd)
    (book / "pits" / "bare.toml").write_text('name = "Bare"\n')
    assert "[[shelves]]" in said(capsys, *crowd, "--pit", "bare", status=2)
    assert "Nearest: yard" in said(capsys, *crowd, "--pit", "yrd", status=2)
    assert "one of the two" in said(
        capsys, *crowd, "--pit", "yard", "--grate", "9 x 9 in", status=2
    )


def test_a_crowd_knows_the_price_of_a_cut(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    settings = book / "cookbook.toml"
    settings.write_text(settings.read_text() + '\n[prices]\npork-shoulder-bone-in = "$3/lb"\n')
    found = json.loads(
        said(capsys, "crowd", "--guests", "9", "--cut", "pork-shoulder-bone-in", "--json")
    )
    assert found["money"] == "$"
    assert found["paid"] > 0
    text = said(capsys, "crowd", "--guests", "9", "--cut", "pork-shoulder-bone-in")
    assert "a cooked lb, the meat alone." in text
