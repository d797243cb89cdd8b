"""Nutrients of a serving: whole, an upper end, rounded for display only."""

from __future__ import annotations

import dataclasses

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.mix.mixresult import LandingResult
from stallwise.joins.mix.salttables import landing_words, nutrition_tables, salt_table
from stallwise.surfaces.journal.public import public_result
from tests.joins.cooks import NOW, record


def served(**cook):
    result = answer(record(**cook), made_at=NOW)
    return result, result.nutrition[0]


def test_sodium_is_the_meats_own_and_all_that_was_put_on():
    result, plain = served()
    _, rubbed = served(mixes=("plain-rub",))
    edible_kg = answer(record(mixes=("plain-rub",)), made_at=NOW).salt[0].edible_kg
    # 81 mg in 100 g raw (NDB 10088), over the meat without its bone; braised it keeps 93 mg in 100 g of the
    # 177 g that 1 lb with its bone leaves (NDB 10089).
    kept = 93 * 177 / (81 * 453.6 * 0.7)
    own = 81 * kept * 10 * 1.36078 * 0.7 / edible_kg * plain.serving_kg
    assert plain.amounts["sodium"] == pytest.approx(own, rel=1e-3)
    salt = answer(record(mixes=("plain-rub",)), made_at=NOW).salt[0]
    more = rubbed.amounts["sodium"] - plain.amounts["sodium"]
    assert more == pytest.approx(salt.sodium_mg_per_serving, rel=1e-6)
    assert plain.shown["sodium"] == round(plain.amounts["sodium"] / 10) * 10
    assert nutrition_tables(result)[0].caption.endswith("no label")


def test_a_grind_of_pepper_is_pepper():
    _, plain = served()
    _, rubbed = served(mixes=("plain-rub",))
    assert rubbed.unknown == ()
    # 20.4 g of rub on 3 lb, a third of it pepper with 64 g of carbohydrate in 100 g (NDB 02030).
    pepper_g = 15 * 1.36078 * 2.4 / 7.2
    edible_kg = answer(record(mixes=("plain-rub",)), made_at=NOW).salt[0].edible_kg
    assert rubbed.amounts["carbohydrate"] - plain.amounts["carbohydrate"] == pytest.approx(
        pepper_g * 0.6395 / edible_kg * rubbed.serving_kg, rel=1e-3
    )


def test_pieces_that_hold_the_same_share_a_column_and_what_nobody_measured_is_named():
    result, _ = served(mixes=("low-salt-rub",))
    table, notes = nutrition_tables(result)
    assert table.header == ("what", "about")
    assert table.rows[-1][0] == "sodium"
    ((said,),) = notes.rows
    assert said.startswith("Not counted in A: ")
    assert "blend" in said
    (one,) = result.nutrition
    alike = dataclasses.replace(one, piece="B")
    other = dataclasses.replace(one, piece="C", shown=one.shown | {"fat": "0 g"}, unknown=())
    several = nutrition_tables(dataclasses.replace(result, nutrition=(one, alike, other)))
    assert several[0].header == ("what", "A, B", "C")
    assert several[1].rows[0][0].startswith("Not counted in A and B: ")
    assert nutrition_tables(dataclasses.replace(result, nutrition=())) == ()


def test_a_glaze_brings_its_sugar_and_a_blend_says_it_is_unknown():
    _, plain = served()
    _, glazed = served(mixes=("stock-glaze", "low-salt-rub"))
    assert plain.amounts["sugars"] == 0.0
    assert glazed.amounts["sugars"] > 1.0
    assert glazed.amounts["energy"] > plain.amounts["energy"]
    assert any("blend" in name for name in glazed.unknown)


def test_a_page_shows_neither_nutrients_nor_prices():
    result, _ = served(guests=4)
    public = public_result(result, [])
    assert (public.nutrition, public.costs) == ((), ())
    assert public_result(result, ["guests"]).crowd is None


@pytest.mark.parametrize(
    ("now", "then", "possible", "words"),
    [
        (27.0, 14.0, True, "Reduce the salt in SP from 27 g to 14 g"),
        (14.0, 27.0, True, "Raise the salt in SP from 14 g to 27 g"),
        (14.0, 14.01, True, "lands at 1.2 % as it is"),
        (14.0, 0.0, False, "Even with no salt in SP"),
    ],
)
def test_a_landing_is_a_sentence(now, then, possible, words):
    found = LandingResult("SP", 0.012, 0.012 if possible else 0.019, now, then, now, then, possible)
    assert words in landing_words(found)


def test_the_wish_reaches_the_words():
    result = answer(record(mixes=("plain-rub",), salt_target="1.2 %"), made_at=NOW)
    assert any("to land at 1.2 %" in row[-1] for row in salt_table(result).rows)
