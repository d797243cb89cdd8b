"""Guests to whole pieces: portion, yield, pieces, room, leftovers, price."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.ground.money import parse_price
from stallwise.joins.answer import answer
from stallwise.joins.crowd.crowd import Meat, crowd
from stallwise.joins.mix.shoptables import left_words
from stallwise.joins.mix.yields import cut_yield, own_yields, yield_words
from stallwise.models.crowd import Guests, cooked_need, purchase
from stallwise.models.grate import Grate
from stallwise.models.weighed import Band, learned_band
from stallwise.record.schema import Cook, Piece
from stallwise.record.weighins import weigh_in
from stallwise.tables.catalogue import cut
from tests.joins.cooks import NOW, record, ribs

POUND = 0.45359237
SHOULDER = cut("pork-shoulder-bone-in")


def test_a_planned_85_pounds_for_150_shows_both_ends():
    # 40 % off leaves 51 lb and 50 % off 42.5 lb, for 50 lb on the plates; 8 lb each, four at once.
    need = cooked_need(Guests(150))
    both = purchase(need, Band(0.5, 0.6, 0.6, 0), piece_kg=85 * POUND, margin=0.0)
    assert both.cooked_kg[1] / POUND == pytest.approx(51 * both.pieces)
    assert both.cooked_kg[0] / POUND == pytest.approx(42.5 * both.pieces)
    plan = crowd(Guests(150), [Meat(SHOULDER, 8 * POUND)], per_load=4)
    (meat,) = plan.meats
    assert meat.purchase.left_kg[0] >= 0.0
    assert plan.loads == -(-meat.purchase.pieces // 4)
    assert meat.purchase.feeds[0] >= 150


def test_a_weighed_39_percent_is_learned_after_three_cooks():
    def weighed(edible, on="7 lb"):
        piece = Piece(
            letter="A",
            cut=SHOULDER.key,
            count=2,
            mass=on,
            mass_bought="8.25 lb",
            mass_edible=edible,
        )
        return weigh_in(Cook(title="t", date="2026-01-01", pieces=[piece]))

    cooks = [weighed("6.5 lb"), weighed("6.3 lb"), weighed("6.7 lb")]
    two, three = own_yields(cooks[:2])[SHOULDER.key], own_yields(cooks)[SHOULDER.key]
    assert two.eaten is None
    assert "food table" in cut_yield(SHOULDER, two).words
    assert "1 more cook" in cut_yield(SHOULDER, two).words
    found = cut_yield(SHOULDER, three)
    assert found.eaten.middle == pytest.approx(6.5 / 16.5)
    assert found.kept == pytest.approx(7 / 8.25)
    assert found.words == "your own 3 cooks of it"
    assert yield_words(found).startswith("Of what is bought: 85 % of it goes on; 39 % is eaten, ")
    # 19 plates of a third of a pound, as the cook counted.
    assert int(found.eaten.middle * 16.5 * 3) == 19


def test_a_cook_that_weighed_one_piece_of_two_tells_nothing():
    pieces = [
        Piece(letter="A", cut=SHOULDER.key, mass="7 lb", mass_bought="8 lb", mass_edible="3 lb"),
        Piece(letter="B", cut=SHOULDER.key, mass="7 lb"),
    ]
    cook = Cook(title="t", date="2026-01-01", pieces=pieces)
    assert own_yields([weigh_in(cook)] * 3) == {}


def test_appetites_children_and_those_without_meat():
    plain = cooked_need(Guests(10))
    assert plain.usual_kg == pytest.approx(1.42)
    assert cooked_need(Guests(10, hungry=10)).usual_kg == pytest.approx(1.98)
    assert cooked_need(Guests(10, children=10)).usual_kg == pytest.approx(0.71)
    assert cooked_need(Guests(10, no_meat=4)).usual_kg == pytest.approx(6 * 0.142)
    assert cooked_need(Guests(10), meats=2).usual_kg == pytest.approx(0.6 * 1.42, rel=1e-4)
    assert plain.low_kg < plain.usual_kg < plain.high_kg


@given(
    st.integers(1, 500),
    st.floats(0.2, 0.9),
    st.floats(0.5, 9.0),
    st.floats(0.0, 0.3),
)
def test_what_is_bought_feeds_everybody_even_at_the_lowest_yield(heads, share, piece_kg, margin):
    need = cooked_need(Guests(heads))
    band = Band(share * 0.8, share, min(share * 1.2, 1.0), 3)
    found = purchase(need, band, piece_kg=piece_kg, margin=margin)
    assert found.left_kg[0] >= -1e-6
    assert found.cooked_kg[1] >= need.usual_kg * (1 + margin) - 1e-6
    # One piece fewer would not have done.
    fewer = (found.pieces - 1) * piece_kg
    assert fewer * band.low < need.usual_kg or fewer * share < need.usual_kg * (1 + margin)


def test_a_price_reaches_the_plate():
    price = parse_price("$3.29/lb")
    plan = crowd(Guests(28), [Meat(SHOULDER, 8 * POUND, price)])
    (meat,) = plan.meats
    pounds = meat.purchase.bought_kg / POUND
    assert meat.paid == pytest.approx(3.29 * pounds)
    assert meat.per_serving == pytest.approx(3.29 * pounds / 28)
    assert meat.per_cooked_kg * POUND == pytest.approx(3.29 / 0.578, rel=1e-3)
    assert plan.per_guest == pytest.approx(meat.per_serving)


def test_a_price_that_is_missing_is_not_zero():
    plan = crowd(
        Guests(28), [Meat(SHOULDER, None, parse_price("3 per lb")), Meat(cut("chicken-half"))]
    )
    assert plan.meats[0].paid is not None
    assert plan.paid is None
    assert plan.per_guest is None


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Guests(0), "1 to 100,000"),
        (lambda: Guests(10, children=8, hungry=4), "no more than all"),
        (lambda: Guests(10, children=-1), "no fewer than none"),
        (lambda: crowd(Guests(4), []), "no meat"),
        (lambda: crowd(Guests(4), [Meat(SHOULDER), Meat(SHOULDER)]), "named twice"),
        (lambda: cooked_need(Guests(4), 4), "1 to 3"),
        (lambda: crowd(Guests(4), [Meat(SHOULDER)], pits=[[Grate(0.2, 0.1)]]), "at least one"),
        (lambda: crowd(Guests(4), [Meat(SHOULDER)], margin=1.5), "a tenth more"),
    ],
)
def test_the_impossible_is_refused(call, words):
    with pytest.raises((InputError, OutOfRangeError), match=words):
        call()


def test_a_learned_band_waits_for_three_and_widens_for_few():
    assert learned_band([0.4, 0.5]) is None
    three, nine = learned_band([0.4, 0.45, 0.5]), learned_band([0.4, 0.45, 0.5] * 3)
    assert three.middle == pytest.approx(nine.middle)
    assert three.high - three.low > nine.high - nine.low
    alike = learned_band([0.5, 0.5, 0.5])
    assert alike.low < 0.5 < alike.high


@pytest.mark.parametrize(
    ("text", "per", "amount", "wrong"),
    [
        ("$3.29/lb", "kg", 3.29 / POUND, "3.29 in all"),
        ("3,29 per kg", "kg", 3.29, "329"),
        ("8.50 EUR/kg", "kg", 8.5, "refused"),
        ("€8.50 a kg", "kg", 8.5, "refused"),
        ("24.80 in all", "all", 24.8, "a kilogram"),
        ("9 each", "piece", 9, "a kilogram"),
        ("2.10 the lb", "kg", 2.1 / POUND, "in all"),
    ],
)
def test_prices_as_people_write_them(text, per, amount, wrong):
    price = parse_price(text)
    assert (price.per, price.amount) == (per, pytest.approx(amount)), f"never {wrong}"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("3.29", "'3.29 per lb'"),
        ("free", "no number"),
        ("-3 per lb", "negative"),
        ("3 per cup", "for how much"),
    ],
)
def test_doubtful_prices_are_asked(text, words):
    with pytest.raises(InputError, match=words):
        parse_price(text)


def test_the_result_holds_guests_against_the_meat_and_its_price():
    piece = ribs(price="$4.00/lb", mass_bought="4 lb", count=3)
    result = answer(record(piece, guests=6, no_meat=1), made_at=NOW)
    seen = result.crowd
    assert (seen.guests, seen.plates) == (6, 5)
    assert seen.left_kg.p50 == pytest.approx(seen.cooked_kg.p50 - 5 * 0.142)
    (cost,) = result.costs
    assert (cost.paid, cost.money) == (pytest.approx(48.0), "$")
    assert cost.per_serving == pytest.approx(48 / 5)
    assert cost.per_eaten_kg == pytest.approx(48 / cost.eaten_kg)
    assert cost.eaten_kg == pytest.approx(seen.cooked_kg.p50, rel=0.1)


def test_solution_in_the_packet_is_paid_for_as_meat():
    piece = ribs(price="4 per kg", mass_bought="2.24 kg", mass="2.24 kg", label_solution="12 %")
    (cost,) = answer(record(piece), made_at=NOW).costs
    assert cost.solution_kg == pytest.approx(0.24)


def test_a_bare_price_in_an_old_cook_is_asked_and_nothing_breaks():
    result = answer(record(ribs(price="38")), made_at=NOW)
    assert result.costs == ()
    assert any("38 in all" in warning.text for warning in result.warnings)


@pytest.mark.parametrize(
    ("key", "words", "grade"),
    [
        ("pork-shoulder-bone-in", "food table", "published"),
        ("beef-chuck-roast", "food table", "derived"),
        ("pork-belly", "common practice", "common practice, no source"),
    ],
)
def test_a_yield_says_what_kind_of_knowledge_it_is(key, words, grade):
    found = cut_yield(cut(key))
    assert found.words.startswith(words)
    assert found.grade == grade


@pytest.mark.parametrize(
    ("left_kg", "said"),
    [
        ((0.2, 1.0), "7 oz to 2 lb 3 oz over"),
        ((-1.0, -0.2), "2 lb 3 oz to 7 oz short"),
        ((-0.2, 1.0), "7 oz short to 2 lb 3 oz over"),
        ((1.0, 1.0), "2 lb 3 oz over"),
    ],
)
def test_what_is_left_says_which_end_falls_short(left_kg, said):
    assert left_words(left_kg, "us") == said


def test_two_moneys_make_no_sum():
    meats = [
        Meat(SHOULDER, 8 * POUND, parse_price("$3/lb")),
        Meat(cut("beef-brisket-whole"), None, parse_price("8 EUR per kg")),
    ]
    plan = crowd(Guests(20), meats)
    assert (plan.paid, plan.per_guest, plan.money) == (None, None, "")
    assert any("prices in $ and in EUR" in warning.text for warning in plan.warnings)
