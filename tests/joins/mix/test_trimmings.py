"""Trimmings: from the board into the pot, the same day or out of the freezer, never less than none."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.mix.mixing import mix_cook
from stallwise.joins.mix.portions import raw_portions
from stallwise.record.freezer import frozen, names_freezer
from stallwise.record.schema import Cook, MixUse, Piece
from tests.joins.cooks import record, ribs


def mixed(made):
    return mix_cook(made, made.cook, raw_portions(made, made.cook))


def stock(**use):
    return MixUse(**{"mix": "bone-stock", **use})


def test_a_stock_is_made_as_large_as_its_trimmings():
    made = record(ribs(mass_saved="1 kg"))
    made = dataclasses.replace(
        made, cook=made.cook.model_copy(update={"mixes": [stock(**{"from": "A"})]})
    )
    found = mixed(made)
    (pot,) = found.mixes
    assert pot.lines[0].grams == pytest.approx(1000)
    assert pot.total_g == pytest.approx(1000 / 800 * 177.1, rel=1e-3)  # 3/4 cup from 800 g
    line = next(line for line in found.ledger if line.what == "Trimmings of A")
    assert line.made_g == pytest.approx(sum(line.used.values()) + line.left_g)
    assert line.left_g == 0.0


@pytest.mark.parametrize(
    ("mix", "made_g"), [("rendered-fat", 600.0), ("trimmings-grind", 1000 / 0.984 + 2.3 / 0.984)]
)
def test_fat_is_rendered_and_meat_ground_from_the_board(mix, made_g):
    made = record(ribs(mass_saved="1 kg"))
    uses = [MixUse(**{"mix": mix, "from": "A"})]
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": uses}))
    found = mixed(made)
    assert found.mixes[0].total_g == pytest.approx(made_g)
    assert found.salt == ()  # eaten by itself, not on this meat
    assert {line.what for line in found.ledger} >= {"Trimmings of A", found.mixes[0].name}


def test_two_pots_of_one_stock_are_balanced_together():
    pieces = [ribs(mass_saved="1 kg"), ribs(letter="B", mass_saved="1 kg")]
    uses = [stock(**{"from": "A"}), stock(**{"from": "B"}), MixUse(mix="stock-glaze")]
    made = record(*pieces)
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": uses}))
    (line,) = [line for line in mixed(made).ledger if line.what == "Bone stock, reduced"]
    assert line.made_g == pytest.approx(2 * 1000 / 800 * 177.1, rel=1e-3)
    assert line.made_g == pytest.approx(sum(line.used.values()) + line.left_g)


def test_trimmings_run_short_by_a_weight():
    uses = [stock(**{"from": "A", "amount": "2 batches"})]
    made = record(ribs(mass_saved="1 kg"))
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": uses}))
    (line,) = [line for line in mixed(made).ledger if line.what == "Trimmings of A"]
    assert line.short_text == "short by 600 g"
    assert any("short by 600 g" in warning.text for warning in mixed(made).warnings)


@pytest.mark.parametrize(
    ("piece", "use", "error", "words"),
    [
        (ribs(), {"from": "A"}, InputError, "nobody says what was saved"),
        (ribs(mass_saved="1 kg"), {"from": "B"}, NotFoundError, "piece"),
        (ribs(mass_saved="1 kg"), {"from": "2026-01-01-x/A"}, NotFoundError, "COOK/LETTER"),
        (ribs(mass_saved="1 kg"), {"from": "A", "take": "3 lb"}, InputError, "what is left"),
        (
            ribs(mass_saved="1 kg"),
            {"from": "A", "mix": "plain-rub"},
            InputError,
            "takes no trimmings",
        ),
    ],
)
def test_trimmings_that_are_not_there_are_asked(piece, use, error, words):
    made = record(piece)
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": [stock(**use)]}))
    with pytest.raises(error, match=words):
        mixed(made)


def cook(day, *uses, saved="1 kg"):
    piece = Piece(letter="A", cut="pork-spare-ribs-trimmed", mass_saved=saved)
    date = dt.date(2026, 1, day)
    return f"{date}-c", Cook(title="c", date=date, pieces=[piece], mixes=list(uses))


def test_two_cooks_later_the_freezer_knows_what_is_left():
    first = cook(1)
    second = cook(2, stock(**{"from": "2026-01-01-c/A", "take": "400 g"}))
    third = cook(3, stock(**{"from": "2026-01-01-c/A"}))
    fourth = cook(4, stock(**{"from": "2026-01-01-c/A"}))
    book = [fourth, third, second, first]
    assert frozen(book, *second) == {"2026-01-01-c/A": pytest.approx(1.0)}
    assert frozen(book, *third) == {"2026-01-01-c/A": pytest.approx(0.6)}
    assert frozen(book, *fourth) == {"2026-01-01-c/A": 0.0}
    assert names_freezer(third[1], third[0])
    assert not names_freezer(first[1], first[0])


@given(st.lists(st.floats(1.0, 900.0), max_size=6))
def test_the_freezer_is_never_below_nothing(takes):
    uses = [
        cook(2 + day, stock(**{"from": "2026-01-01-c/A", "take": f"{grams:.3f} g"}))
        for day, grams in enumerate(takes)
    ]
    last = cook(20, stock(**{"from": "2026-01-01-c/A"}))
    left = frozen([cook(1), *uses, last], *last)["2026-01-01-c/A"]
    assert left == pytest.approx(max(1.0 - sum(round(g, 3) for g in takes) / 1e3, 0.0), abs=1e-9)
