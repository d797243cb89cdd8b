"""Salt on a piece, counted once over all that touches it; and what to do about it."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.joins.mix.mixing import mix_cook, mix_shelf, scaled_mixes
from stallwise.joins.mix.portions import raw_portions
from stallwise.joins.mix.scaling import scale_for
from stallwise.models.landing import landing
from stallwise.record.schema import MixUse
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT
from tests.joins.cooks import NOW, record, ribs
from tests.models.nests import nested, sodium_of

OWN = {
    "dry": {
        "name": "Dry brine",
        "kind": "dry brine",
        "per": "1 kg edible meat",
        "lines": [{"ingredient": "salt_fine_table", "amount": "1 %"}],
    },
    "bath": {
        "name": "Bath",
        "kind": "brine",
        "per": "1 kg meat",
        "lines": [
            {"ingredient": "water_tap", "amount": "0.75 kg"},
            {"ingredient": "salt_kosher_rolled", "amount": "1.25 % of meat and water"},
        ],
    },
    "needle": {
        "name": "Needle",
        "kind": "injection",
        "per": "1 kg meat",
        "lines": [
            {"ingredient": "water_tap", "amount": "to 10 %"},
            {"ingredient": "salt_kosher_rolled", "amount": "1.5 % of everything"},
        ],
    },
}


def with_own(*mixes, **cook):
    made = record(cook.pop("piece", ribs()), mixes=mixes, **cook)
    return dataclasses.replace(made, mixes=OWN)


def mixed(made):
    return mix_cook(made, made.cook, raw_portions(made, made.cook))


def test_everything_that_touches_a_rack_is_counted_once():
    piece = ribs(mass="1.36 kg", label_sodium="200 mg per 100 g")
    made = with_own(
        "dry", "needle", "plain-rub", "wrap-butter", "stock-glaze", "bone-stock", piece=piece
    )
    (salt,) = mixed(made).salt
    assert set(salt.parts_g) == {
        "Dry brine", "Needle", "Salt and pepper rub", "Wrap butter", "Stock and honey glaze",
        "added before it was sold",
    }  # fmt: skip
    # 1 % of 70 % of 1.36 kg; a rack is 30 % bone (NDB 10088). Table salt is 98.5 % by its sodium.
    assert salt.parts_g["Dry brine"] == pytest.approx(9.52 * 0.9853, rel=1e-3)
    assert salt.parts_g["Needle"] == pytest.approx(
        0.8 * 0.015 * 1.1 * 1360, rel=1e-3
    )  # and a trace from the tap
    assert salt.salt_g == pytest.approx(sum(salt.parts_g.values()), rel=1e-12)
    assert salt.sodium_mg == pytest.approx(salt.salt_g * SODIUM_MG_PER_G_SALT)


def test_an_equilibrium_brine_shows_both_readings_and_counts_the_upper():
    piece = ribs(cut="pork-shoulder-boneless", mass="2 kg")
    made = with_own("bath", piece=piece)
    (bath,), (salt,) = mixed(made).mixes, mixed(made).salt
    assert bath.lines[1].grams == pytest.approx(43.75)
    assert salt.parts_g["Bath"] == pytest.approx(25.0, rel=5e-3)
    note = next(note for note in bath.notes if "by weight" in note)
    assert "1.25 % salt if it spreads by weight" in note
    assert "1.0" in note.split("by weight, ")[1]


def test_a_brine_of_some_hours_takes_up_less():
    soak = {**OWN["bath"], "soak": "6 h"}
    piece = ribs(cut="pork-shoulder-boneless", mass="3 kg")
    made = dataclasses.replace(with_own("bath", piece=piece), mixes={**OWN, "bath": soak})
    (bath,), (salt,) = mixed(made).mixes, mixed(made).salt
    rest = mixed(with_own("bath", piece=piece)).salt[0].salt_g
    assert 0.05 * rest < salt.salt_g < rest
    assert any("After 6 h it has taken up" in note for note in bath.notes)


@pytest.mark.parametrize(
    ("share", "salt_g"),
    [
        ("1.25 % of meat and water", 43.75),  # the two forms of an equilibrium brine
        ("1.25 % of everything", 44.30),
        ("5 % of the brine", 1500 * 0.05 / 0.95),  # by weight of brine, not of water
        ("2 % of meat", 40.0),
    ],
)
def test_a_share_is_of_what_it_says(share, salt_g):
    water = {"ingredient": "water_tap", "amount": "0.75 kg"}
    lines = [water, {"ingredient": "salt_kosher_rolled", "amount": share}]
    own = {"bath": {**OWN["bath"], "lines": lines}}
    found = scale_for("bath", "2 kg", batch=False, mixes=own, ingredients={})
    assert found.lines[1].grams == pytest.approx(salt_g, abs=0.01)


def test_an_injection_of_12_percent_of_4200_grams():
    lines = [{"ingredient": "water_tap", "amount": "to 12 %"}]
    own = {"pump": {**OWN["needle"], "lines": lines}}
    found = scale_for("pump", "4.2 kg", batch=False, mixes=own, ingredients={})
    assert found.total_g == pytest.approx(504.0)


def test_two_pieces_share_a_mix_by_their_weight():
    pieces = (ribs(letter="A", mass="1 kg"), ribs(letter="B", mass="1.5 kg"))
    made = dataclasses.replace(record(*pieces, mixes=("plain-rub",)), mixes=OWN)
    found = mixed(made)
    a, b = found.salt
    assert b.salt_g == pytest.approx(1.5 * a.salt_g)
    assert a.salt_g + b.salt_g == pytest.approx(found.mixes[0].salt_g, rel=1e-9)


def test_no_water_holds_so_much_salt():
    lines = [OWN["bath"]["lines"][0], {"ingredient": "salt_fine_table", "amount": "60 % of brine"}]
    own = {"bath": {**OWN["bath"], "lines": lines}}
    with pytest.raises(InputError, match="up to 30 %"):
        scale_for("bath", "1 kg", batch=False, mixes=own, ingredients={})


def test_injection_strength_follows_from_target_and_pickup():
    found = scale_for("needle", "4.2 kg", batch=False, mixes=OWN, ingredients={}, system="metric")
    assert found.total_g == pytest.approx(420)
    assert found.salt_g / found.total_g == pytest.approx(0.165, rel=1e-3)
    (told,) = [note for note in found.notes if "injection is" in note]
    assert "16.5 % salt; with 10 %" in told
    assert "holds 1.50 %" in told


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([("water_tap", "to 10 %"), ("salt_fine_table", "20 % of everything")], "larger share"),
        ([("water_tap", "50 g"), ("salt_fine_table", "100 % of everything")], "less than all"),
        ([("water_tap", "to 10 %"), ("apple_juice", "to 5 %")], "two lines"),
        ([("water_tap", "50 g"), ("salt_fine_table", "2 % of the pot")], "% of meat and water"),
        ([("water_tap", "50 g"), ("salt_fine_table", "120 % of meat")], "more than the whole"),
    ],
)
def test_shares_that_cannot_be_are_refused(lines, words):
    own = {
        "x": {
            "name": "x", "kind": "injection", "per": "1 kg meat",
            "lines": [{"ingredient": item, "amount": amount} for item, amount in lines],
        }
    }  # fmt: skip
    with pytest.raises(InputError, match=words):
        scale_for("x", "1 kg", batch=False, mixes=own, ingredients={})


def test_the_rub_is_told_how_to_land_on_a_wish():
    made = record(mixes=("plain-rub", "low-salt-rub", "wrap-butter"), salt_target="1.2 %")
    (salt,) = mixed(made).salt
    found = salt.landing
    assert found.mix == "Salt and pepper rub"
    others = salt.salt_g - found.from_g
    assert others + found.to_g == pytest.approx(0.012 * salt.edible_kg * 1e3)
    assert found.possible
    assert found.lands == pytest.approx(0.012)
    assert found.batch_to_g == pytest.approx(found.to_g)  # one piece takes all of the batch


def test_where_the_rest_is_too_salty_already_the_rub_is_told_so():
    found = landing(10.0, 40.0, 2.0, 0.012)
    assert (found.to_g, found.possible) == (0.0, False)
    assert found.lands == pytest.approx(0.02)
    with pytest.raises(InputError, match="less than 10 %"):
        landing(10.0, 0.0, 2.0, 1.2)


def test_the_cooks_own_limit_is_the_one_that_warns():
    made = record(mixes=("plain-rub",))
    own = dataclasses.replace(made, book=made.book.model_copy(update={"salt_limit": "0.5 %"}))
    assert [w.key for w in mixed(own).warnings] == ["salt-limit"]
    assert "your own limit is 0.5 %" in mixed(own).warnings[0].text
    high = dataclasses.replace(made, book=made.book.model_copy(update={"salt_limit": "5 %"}))
    assert mixed(high).warnings == ()


def test_a_serving_is_what_a_guest_gets_and_no_more_than_a_large_plate():
    many = answer(record(ribs(count=3), mixes=("plain-rub",), guests=12), made_at=NOW).salt[0]
    assert many.serving_kg == pytest.approx(many.edible_kg / 12)
    few = answer(record(ribs(count=3), mixes=("plain-rub",), guests=2), made_at=NOW).salt[0]
    assert few.serving_kg == pytest.approx(0.255)
    assert few.sodium_mg_per_serving == pytest.approx(few.sodium_mg / few.edible_kg * 0.255)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(["plain-rub", "low-salt-rub", "dry", "wrap-butter", "stock-glaze"]),
             min_size=1, max_size=4, unique=True),
    st.floats(0.6, 2.4),
    st.integers(1, 4),
    st.floats(0.1, 1.0),
)  # fmt: skip
def test_salt_in_the_result_is_the_sum_over_leaf_lines(mixes, mass_kg, count, sticks):
    uses = [MixUse(mix=mix, sticks=sticks) for mix in mixes]
    made = with_own(piece=ribs(mass=f"{mass_kg:.6f} kg", count=count))
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": uses}))
    portions, shelf = raw_portions(made, made.cook), mix_shelf(made)
    leaves_mg = sum(
        grams * (shelf.ingredient(key).sodium_mg_per_100g or 0.0) / 100.0 * sticks
        for one in scaled_mixes(made, made.cook, portions, shelf)
        for key, grams in one.mix.leaves_g.items()
    )
    result = mix_cook(made, made.cook, portions)
    assert sum(s.salt_g for s in result.salt) == pytest.approx(
        leaves_mg / SODIUM_MG_PER_G_SALT, rel=1e-9, abs=1e-9
    )
    assert sum(m.salt_g for m in result.mixes) * sticks == pytest.approx(
        leaves_mg / SODIUM_MG_PER_G_SALT, rel=1e-9, abs=1e-9
    )


@settings(max_examples=60, deadline=None)
@given(
    nested(), st.floats(0.6, 2.4), st.integers(1, 4), st.sampled_from(["us", "metric", "imperial"])
)
def test_salt_in_the_result_holds_for_any_nest_of_own_mixes(made, mass_kg, count, spoons):
    mixes = {key: {"name": key, "kind": "rub", **mix} for key, mix in made[0].items()}
    plan = record(ribs(mass=f"{mass_kg:.6f} kg", count=count), mixes=(made[1],))
    plan = dataclasses.replace(
        plan, mixes=mixes, book=plan.book.model_copy(update={"spoons": spoons})
    )
    portions, shelf = raw_portions(plan, plan.cook), mix_shelf(plan)
    (used,) = scaled_mixes(plan, plan.cook, portions, shelf)
    # 1 kg of meat is what one batch of each is for; its lines are summed by hand, mix by mix.
    times = portions[0].mass_kg
    by_lines = sodium_of(shelf, made[1]) * times / SODIUM_MG_PER_G_SALT
    result = mix_cook(plan, plan.cook, portions)
    (salt,), (mix,) = result.salt, result.mixes
    assert salt.salt_g == pytest.approx(by_lines, rel=1e-9, abs=1e-9)
    assert mix.salt_g == pytest.approx(by_lines, rel=1e-9, abs=1e-9)
    assert sum(line.salt_g for line in used.mix.lines) == pytest.approx(
        by_lines, rel=1e-9, abs=1e-9
    )


def test_allergens_of_both_lists_are_named_and_never_cleared():
    own = {
        "dip": {
            "name": "Dip",
            "kind": "sauce",
            "per": "guest",
            "lines": [
                {"ingredient": "mustard_yellow_prepared", "amount": "1 T"},
                {"ingredient": "butter_salted", "amount": "1 T"},
            ],
        }
    }
    dip = scale_for("dip", "4 guests", batch=False, mixes=own, ingredients={})
    assert dip.notes[-1] == "Allergens: milk; mustard (EU list): check the label."
    plain = scale_for("plain-rub", "1 kg", batch=False, mixes={}, ingredients={})
    assert plain.notes[-1] == "Allergens: check the label."
