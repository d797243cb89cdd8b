"""What a day costs: what has a price is counted, what has none is named and never zero."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.mix.shopping import shopping
from stallwise.joins.mix.shoptables import cost_table, shop_lines, shop_tables, spending_table
from stallwise.record.extra import Extra
from stallwise.record.schema import Book
from tests.joins.cooks import DATE, NOW, record, ribs

RIBS = {"price": "$4/lb", "mass": "3 lb", "mass_bought": "3 lb", "mass_edible": "2 lb"}
SALT, PEPPER = "salt_kosher_rolled", "pepper_black_16"


def priced(prices, *pieces, extras=(), ingredients=None, **cook):
    made = record(*(pieces or [ribs(**RIBS)]), mixes=("plain-rub",), extras=list(extras), **cook)
    book = Book(title="priced", prices=prices)
    return dataclasses.replace(made, book=book, ingredients=ingredients or {})


def asked(made):
    return answer(made, made_at=NOW, changes={"members": 20}, seed=1)


def rub_g(made, key):
    (rub,) = asked(made).mixes
    return next(line.grams for line in rub.lines if line.ingredient == key)


def test_meat_rub_and_fuel_are_added_and_the_rest_is_named():
    charcoal = Extra(name="charcoal", mass="12 lb", price="$18 per 20 lb")
    made = priced({SALT: "$5 per 500 g"}, extras=[charcoal, Extra(name="foil")], guests=4)
    spent = asked(made).spending
    salt = rub_g(made, SALT) * 5 / 500
    assert (spent.money, spent.meat, spent.extras) == ("$", pytest.approx(12), pytest.approx(10.8))
    assert spent.kitchen == pytest.approx(salt)
    assert spent.paid == pytest.approx(12 + 10.8 + salt)
    assert spent.per_serving == pytest.approx(spent.paid / 4)
    assert spent.per_eaten_kg == pytest.approx(spent.paid / (2 * 0.45359237))
    assert spent.without == ("Black pepper, coarse, 16 mesh", "foil")


def test_without_a_price_there_is_no_sum_and_no_zero():
    made = priced({}, ribs(mass="3 lb"))
    assert asked(made).spending is None
    assert spending_table(asked(made)).rows == ()
    assert shop_lines(shopping([made])) == ()
    spent = asked(priced({SALT: "$5 per 500 g"}, ribs(mass="3 lb"))).spending
    assert (spent.meat, spent.extras, spent.per_eaten_kg) == (None, None, None)
    assert "Pork spare ribs, trimmed" in spent.without


def test_a_pepper_without_price_is_named_in_the_table():
    rows = dict(spending_table(asked(priced({SALT: "$5 per 500 g"}, guests=4))).rows)
    assert rows["no price, so not counted"] == "Black pepper, coarse, 16 mesh; fuel; foil"
    assert rows["meat"] == "$12.00"
    assert "fire, foil and the rest" not in rows


def test_a_cut_has_its_price_in_the_cookbook_and_its_own_wins():
    cut = {"pork spare ribs trimmed": "$2/lb"}
    bare = ribs(mass="3 lb", mass_bought="3 lb")
    assert asked(priced(cut, bare)).costs[0].paid == pytest.approx(6)
    assert asked(priced(cut)).costs[0].paid == pytest.approx(12)


def test_an_ingredient_says_its_price_in_its_own_file():
    own = {PEPPER: {"name": "Pepper", "like": PEPPER, "price": "10 USD per kg"}}
    made = priced({}, ribs(**{**RIBS, "price": "3 USD/lb"}), ingredients=own)
    assert asked(made).spending.kitchen == pytest.approx(rub_g(made, PEPPER) / 100)


@pytest.mark.parametrize(
    ("prices", "words"),
    [
        ({"black peper": "$5 per 500 g"}, "peper"),
        ({SALT: "$5 each"}, "for how much"),
        ({"charcoal": "$18 per 20 lb"}, "[[extras]]"),
        ({SALT: "5 EUR per 500 g"}, "prices in $ and in EUR"),
        ({"dust": "$4 per 1/2 cup"}, "what a spoon of it weighs"),
    ],
)
def test_a_price_that_cannot_be_counted_is_asked(prices, words):
    made = priced(prices, ingredients={"dust": {"name": "Dust"}})
    said = [w.text for w in asked(made).warnings if w.key == "price-asked"]
    assert any(words in text for text in said)


def test_the_list_pays_for_whole_packs_and_names_what_has_no_price():
    charcoal = Extra(name="charcoal", mass="22 lb", price="$18 per 20 lb")
    made = priced({SALT: "$5 per 500 g"}, extras=[charcoal, Extra(name="foil", count=2)])
    found = shopping([made])
    assert (found.money, found.paid) == ("$", pytest.approx(12 + 5 + 36))
    assert found.without == ("Black pepper, coarse, 16 mesh", "foil")
    text = str(shop_tables(found))
    assert "$5.00 (1 × 500 g)" in text
    assert "$36.00 (2 × 20 lb)" in text
    assert "In all $53.00" in shop_lines(found)[0]
    full = shopping([made], at_hand={SALT: "1 kg"})
    assert full.paid == pytest.approx(12 + 36)  # what is there is not paid again
    assert "$0" not in str(shop_tables(full))


def test_two_cooks_make_one_sum():
    one = priced({SALT: "$5 per 500 g"})
    two = dataclasses.replace(one, name="other")
    assert shopping([one, two]).paid == pytest.approx(12 + 12 + 5)
    bare = dataclasses.replace(priced({}, ribs(mass="3 lb")), name="bare")
    both = shopping([one, bare])
    # One rack of two has no price: the line has none, and is named.
    assert "Pork spare ribs, trimmed" in both.without


def test_the_age_of_a_pack_is_said_and_a_date_after_the_cook_asked():
    made = priced({}, ribs(**RIBS, pack_date=DATE - dt.timedelta(days=15)))
    assert "packed 15 days before" in cost_table(asked(made)).rows[0][2]
    assert "packed 15 days before the cook" in str(shop_tables(shopping([made])))
    late = priced({}, ribs(**RIBS, pack_date=DATE + dt.timedelta(days=1)))
    assert any(w.key == "pack-date" for w in asked(late).warnings)
    assert any(w.key == "pack-date" for w in shopping([late]).warnings)


def test_a_solution_without_its_sodium_is_asked():
    made = priced({}, ribs(**RIBS, label_solution="12 %"))
    assert any(w.key == "label-sodium" for w in asked(made).warnings)
    told = priced({}, ribs(**RIBS, label_solution="12 %", label_sodium="250 mg per 4 oz"))
    assert not any(w.key == "label-sodium" for w in asked(told).warnings)


def test_what_was_bought_is_the_same_on_the_list_and_in_the_cost():
    made = priced({}, ribs(mass="3 lb", price="$4/lb"))
    found = asked(made)
    assert shopping([made]).paid == pytest.approx(found.costs[0].paid)
    assert cost_table(found).rows[0][2].startswith("about ")


def test_plates_on_the_list_are_no_fuel_and_no_foil():
    plates = Extra(name="paper plates", price="$5 in all")
    spent = asked(priced({}, extras=[plates], guests=4)).spending
    assert spent.without[-2:] == ("fuel", "foil")
    foil = Extra(name="Foil, wide", price="$4 each")
    spent = asked(priced({}, extras=[plates, foil], guests=4)).spending
    assert (spent.without[-1], spent.extras) == ("fuel", pytest.approx(9))
