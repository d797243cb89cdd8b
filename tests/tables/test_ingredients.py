"""Ingredients, salts by crystal, and a cook's own labels."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.references import GRADES, cited
from stallwise.tables.ingredient import (
    SODIUM_MG_PER_G_SALT,
    density_g_per_ml,
    grams_of,
    spoons_of,
    volume_of_m3,
)
from stallwise.tables.ingredients import ingredient, ingredients, weigh
from stallwise.tables.kitchen import kitchen

TABLE = ingredients()


def test_every_row_is_whole():
    assert len(TABLE) >= 115
    for item in [*TABLE.values()]:
        assert item.name, item.key
        assert item.grade in GRADES, item.key
        assert item.source, item.key
        assert cited(item.source), item.key
        assert 0 <= item.salt_share <= 1.0, item.key
    for row in kitchen().values():
        assert row.grade in GRADES, row.key
        assert cited(row.source), row.key
        assert row.low <= row.value <= row.high, row.key


@pytest.mark.parametrize("item", TABLE.values(), ids=lambda item: item.key)
def test_allergen_words_never_clear_anything(item):
    for words in (item.allergens_us, item.allergens_eu):
        assert words.endswith("check the label")
        assert "free" not in words


def test_measures_of_one_ingredient_agree_within_what_packing_does():
    for item in TABLE.values():
        spoons = [(item.grams_per_tsp, 1), (item.grams_per_tbsp, 3), (item.grams_per_cup, 48)]
        each = [grams / count for grams, count in spoons if grams]
        assert not each or max(each) / min(each) < 1.45, item.key


def test_a_spoon_of_one_crystal_weighs_twice_another():
    rolled, flaked, fine = (
        weigh(f"salt_{crystal}", "1 T")
        for crystal in ("kosher_rolled", "kosher_flaked", "fine_table")
    )
    assert (rolled, flaked, fine) == (pytest.approx(14.4), pytest.approx(8.4), 18.0)


@pytest.mark.parametrize("name", ["salt", "kosher salt", "sea salt"])
def test_salt_without_its_crystal_is_asked(name):
    with pytest.raises(NotFoundError, match="Which crystal"):
        ingredient(name)


def test_names_are_forgiven_and_the_nearest_offered():
    assert ingredient("Garlic powder").key == "garlic_powder"
    with pytest.raises(NotFoundError, match="garlic_powder"):
        ingredient("garlc_powder")


def test_curing_salt_is_never_spooned():
    cure = ingredient("curing_salt_1")
    assert not cure.is_salt
    assert cure.grade != "from memory"
    assert cure.grams_per_tsp is None
    # Of a gram, 0.9375 is table salt and 0.0625 the salt of nitrous acid: atomic weights.
    sodium = 22.98977 * (0.9375 / 58.44277 + 0.0625 / 68.99527)
    assert cure.sodium_mg_per_100g == pytest.approx(1e5 * sodium, abs=1.0)
    assert spoons_of(cure, 12.0) is None
    with pytest.raises(InputError, match="Weigh it"):
        grams_of(cure, parse_amount("1 tsp"))
    assert grams_of(cure, parse_amount("12 g")) == pytest.approx(12.0)


def test_what_nobody_weighed_by_the_spoon_is_asked_in_grams():
    with pytest.raises(InputError, match="Weigh one spoon"):
        weigh("pepper_black_cracked", "1 tbsp")
    assert weigh("pepper_black_cracked", "5 g") == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("label", "sodium_mg_per_100g", "g_per_tsp"),
    [
        ("sodium 190 mg per 1.2 g", 15833.3, None),
        ("Sodium: 190 mg per 1/4 tsp (1.2 g)", 15833.3, 4.8),
        ("salt 0.5 g per 1.2 g", 16390.5, None),
        ("sodium 480 mg per 1/4 tsp (1.2 g)", 100 * SODIUM_MG_PER_G_SALT, 4.8),
    ],
)
def test_a_blend_is_known_by_its_label(label, sodium_mg_per_100g, g_per_tsp):
    own = ingredient("my-blend", {"my-blend": {"name": "My blend", "label": label}})
    assert own.sodium_mg_per_100g == pytest.approx(sodium_mg_per_100g, rel=1e-5)
    assert own.grams_per_tsp == (g_per_tsp and pytest.approx(g_per_tsp))
    assert own.grade == "own measurement"


@pytest.mark.parametrize(
    ("own", "words"),
    [
        ({"label": "sodium 600 mg per 1.2 g"}, "pure salt"),
        ({"label": "sodium 190 mg per 1/4 tsp"}, "no weight of the serving"),
        ({"label": "salty"}, "'sodium 190 mg per 1.2 g'"),
        ({"labl": "sodium 190 mg per 1.2 g"}, "Did you mean 'label'?"),
        ({"weighed": "8.2 g"}, "'1 tbsp = 8.2 g'"),
        ({"weighed": "1 tbsp = 8.2"}, "no unit"),
        ({"density": -1}, "over 0"),
        ({"like": "salt"}, "Which crystal"),
    ],
)
def test_a_wrong_label_says_what_is_allowed(own, words):
    with pytest.raises(InputError) as caught:
        ingredient("x", {"x": own})
    assert words in str(caught.value)


def test_the_cooks_own_spoon_lies_over_the_shipped_one():
    own = {
        "my-salt": {"like": "salt_kosher_rolled", "weighed": "1 tbsp = 17.7 g", "colour": "grey"}
    }
    mine = ingredient("my_salt", own)
    assert grams_of(mine, parse_amount("1 t")) == pytest.approx(5.9)
    assert mine.sodium_mg_per_100g == ingredient("salt_kosher_rolled").sodium_mg_per_100g
    assert ingredient("salt_kosher_rolled").grams_per_tsp == 4.8


SPOONED = [item for item in TABLE.values() if density_g_per_ml(item) and not item.weigh_only]


@given(
    st.sampled_from(SPOONED),
    st.sampled_from([0.25, 0.5, 1.0, 1.5, 2.0, 3.0]),
    st.sampled_from(["tsp", "tbsp", "cup"]),
)
def test_spoons_shown_weigh_what_they_say(item, count, unit):
    grams = grams_of(item, parse_amount(f"{count} {unit}"))
    assert volume_of_m3(item, grams) > 0
    measure = spoons_of(item, grams)
    # The measures of a row differ by a few per cent, and the widest step by a quarter.
    back = grams_of(item, parse_amount(measure.text))
    assert back == pytest.approx(grams, rel=0.55)
    assert grams_of(item, parse_amount(f"{2 * count} {unit}")) == pytest.approx(2 * grams)


def test_a_larger_spoon_holds_more():
    one = grams_of(ingredient("honey"), parse_amount("1 T", region="metric-20"), region="metric-20")
    assert one == pytest.approx(21.0 * 20.0 / 14.78676478125)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("curing salt", "curing_salt_1, by weight alone"),
        ("pink salt", "curing_salt_1, by weight alone"),
        ("kosher salt", "Which crystal"),
        ("salt", "Which crystal"),
        ("brown sugar", "sugar_brown_packed"),
    ],
)
def test_a_salt_that_cures_is_never_taken_for_table_salt(name, words):
    with pytest.raises(NotFoundError, match=words):
        ingredient(name)
