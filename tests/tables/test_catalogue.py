"""The catalogue of cuts: what is in it, the cook's own laid over it, and sizes from a weight."""

from __future__ import annotations

import math
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground import assets, units
from stallwise.ground.errors import InputError, NotFoundError, OutOfRangeError
from stallwise.ground.references import GRADES, cited
from stallwise.tables.catalogue import Target, cut, cuts, dimensions, search
from stallwise.tables.properties import density_kg_m3

RIBS, SHOULDER = "pork-spare-ribs-trimmed", "pork-shoulder-bone-in"
EVERY = sorted(cuts())


def volume(sizes):
    return 8.0 * math.prod(sizes.half_m)


@pytest.mark.parametrize("key", EVERY)
def test_every_value_of_a_cut_has_a_source_and_a_grade(key):
    table = tomllib.loads(assets.read_text("data", "cuts", f"{key}.toml"))
    sections = {name: part for name, part in table.items() if isinstance(part, dict)}
    assert {"mass", "size", "composition", "bone", "yield", "pit", "wrap"} <= set(sections)
    for name, part in sections.items():
        assert cited(part["source"]), name
        assert part["grade"] in GRADES, name


@pytest.mark.parametrize("key", EVERY)
def test_a_cut_holds_together(key):
    one = cut(key)
    assert one.pit[1] <= one.pit_c <= one.pit[2]
    assert one.wrap.earliest_s <= one.wrap.latest_s
    assert one.finish().words in one.finish_words
    assert 0.0 < one.edible_fraction < 1.0 - one.bone_fraction + 0.1
    usual = dimensions(one, one.usual_mass_kg)
    assert usual.half_m == pytest.approx(one.half_m, rel=0.02)  # the sizes fill the usual mass
    assert usual.warnings == ()


def test_what_the_books_say():
    # composition, bone and yield as printed; item numbers of the meat specification
    ribs, shoulder = cut(RIBS), cut(SHOULDER)
    assert (ribs.imps, shoulder.imps) == ("416A", "406")
    raw = ribs.composition
    total = 0.5975 + 0.1547 + 0.234 + 0.01
    assert [raw.water, raw.protein, raw.fat] == pytest.approx(
        [0.5975 / total, 0.1547 / total, 0.234 / total]
    )
    assert (ribs.bone_fraction, shoulder.bone_fraction) == (0.30, 0.09)
    assert ribs.edible_fraction == pytest.approx(177.0 / 453.6, abs=0.001)
    assert shoulder.edible_fraction == pytest.approx(262.0 / 453.6, abs=0.001)


def test_finishes_are_words_in_order_of_tenderness():
    ribs = cut(RIBS)
    assert ribs.finish_words == ("bites clean", "pulls clean", "falls off the bone")
    doses = [finish.target.value for finish in ribs.finishes]
    assert doses == sorted(doses)
    assert ribs.finish("Falls Off The Bone").target.kind == "dose"
    assert ribs.finish(None).words == "bites clean"
    with pytest.raises(NotFoundError, match="pulls clean"):
        ribs.finish("pull clean")


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("spare", [RIBS, "pork-spare-ribs-whole"]),
        ("416a", [RIBS]),
        ("PORK BUTT", [SHOULDER, "pork-shoulder-boneless"]),
        ("turnip", []),
    ],
)
def test_search_looks_at_names_numbers_and_other_words(word, found):
    assert [one.key for one in search(word)] == found


def test_an_unknown_cut_is_offered_the_nearest():
    with pytest.raises(NotFoundError, match=SHOULDER):
        cut("pork-shoulder-bonein")


# --- the cook's own ------------------------------------------------------------------------------


def test_a_cut_of_the_cooks_own_says_what_it_is_like_and_what_differs():
    own = {
        "our-shoulder": {
            "like": SHOULDER,
            "name": "Our shoulder",
            "mass": {"usual": "9 lb"},
            "finish": [{"words": "chop", "core": "190 F"}],
        }
    }
    mine = cut("our-shoulder", overlay=own)
    assert mine.usual_mass_kg == pytest.approx(4.082, abs=0.001)
    assert mine.mass.high == cut(SHOULDER).mass.high
    assert mine.finish().target == Target("core", units.parse("temperature", "190 F"))
    assert "our-shoulder" in {one.key for one in search("our", overlay=own)}
    assert "our-shoulder" not in cuts()


def test_a_shipped_cut_can_be_laid_over():
    own = {RIBS: {"rest": {"usual": "20 min"}}}
    assert cut(RIBS, overlay=own).rest_s == 1200.0
    assert cut(RIBS).rest_s == 600.0


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ({"name": "New"}, "like"),
        ({"like": RIBS, "mas": {"usual": "1 kg"}}, "mass"),
        ({"like": RIBS, "mass": {"usual": "1 furlong"}}, "furlong"),
        ({"like": RIBS, "mass": {"usual": "9 kg"}}, "order"),
        ({"like": RIBS, "finish": []}, "finish"),
        ({"like": RIBS, "finish": [{"words": "done"}]}, "dose"),
        ({"like": RIBS, "surface": "glass"}, "surface"),
        ({"like": "own"}, "like itself"),
        ({"like": "cow"}, "cow"),
    ],
)
def test_a_wrong_cut_says_where_and_what(table, words):
    with pytest.raises(InputError, match=words):
        cut("own", overlay={"own": table})


# --- sizes ---------------------------------------------------------------------------------------


@given(
    key=st.sampled_from(EVERY),
    part=st.floats(0.0, 1.0),
    thickness=st.sampled_from(["thin", "usual", "thick"]),
)
def test_the_sizes_always_hold_the_weight(key, part, thickness):
    one = cut(key)
    mass = one.mass.smallest + part * (one.mass.largest - one.mass.smallest)
    sizes = dimensions(one, mass, thickness=thickness)
    density = float(density_kg_m3(one.composition, 5.0))
    assert volume(sizes) * density == pytest.approx(mass)
    assert not sizes.measured


def test_a_heavier_or_thicker_piece_is_thicker():
    one = cut(SHOULDER)
    usual = dimensions(one, 3.6).half_m[0]
    assert dimensions(one, 4.4).half_m[0] > usual
    assert dimensions(one, 3.6, thickness="thick").half_m[0] == pytest.approx(1.15 * usual)
    assert dimensions(one, 3.6, thickness="thin").half_m[0] < usual


def test_a_ruler_is_believed():
    one = cut(RIBS)
    sizes = dimensions(one, 1.3, thickness=0.032, width_m=0.14)
    assert sizes.measured
    assert sizes.half_m[:2] == pytest.approx((0.016, 0.07))
    both = dimensions(one, 1.3, width_m=0.14, length_m=0.33)
    assert both.half_m[1:] == pytest.approx((0.07, 0.165))
    assert not both.measured


def test_sizes_that_do_not_fit_the_weight_are_said():
    sizes = dimensions(cut(RIBS), 1.3, thickness=0.03, width_m=0.25, length_m=0.60)
    assert "sizes-and-mass" in [warning.key for warning in sizes.warnings]
    assert sizes.half_m[0] == 0.015
    assert sizes.half_m[2] / sizes.half_m[1] == pytest.approx(0.60 / 0.25)


@pytest.mark.parametrize(
    ("mass", "changes", "key"),
    [
        (3.0, {"width_m": 0.2}, "mass-big"),
        (0.6, {}, "mass-small"),
        (1.3, {"thickness": 0.06}, "thick"),
        (1.3, {"thickness": 0.012}, "thin"),
    ],
)
def test_an_unusual_piece_warns(mass, changes, key):
    warnings = dimensions(cut(RIBS), mass, **changes).warnings
    assert key in [warning.key for warning in warnings]
    assert all(warning.text.endswith((".", "?")) for warning in warnings)


@pytest.mark.parametrize(
    ("mass", "changes"),
    [(0.1, {}), (12.0, {}), (1.3, {"thickness": 0.002}), (1.3, {"width_m": 3.0})],
)
def test_an_impossible_piece_is_refused(mass, changes):
    with pytest.raises(OutOfRangeError):
        dimensions(cut(RIBS), mass, **changes)


def test_thickness_in_other_words_is_refused():
    with pytest.raises(NotFoundError, match="thin"):
        dimensions(cut(RIBS), 1.3, thickness="thinn")


@pytest.mark.parametrize("key", ["turkey-whole", "chicken-whole", "duck-whole", "turkey-half"])
def test_a_ruler_on_a_bird_is_set_aside_in_words(key):
    # their half thickness stands in for meat round a cavity: 20 cm across is not 20 cm of meat
    bird = cut(key)
    usual = dimensions(bird, bird.usual_mass_kg)
    for sizes in ({"thickness": 0.20}, {"width_m": 0.3}, {"thickness": 0.20, "length_m": 0.4}):
        found = dimensions(bird, bird.usual_mass_kg, **sizes)
        assert found.half_m == usual.half_m
        assert not found.measured
        assert [warning.key for warning in found.warnings] == ["ruler-set-aside"]
        assert bird.name.lower() in found.warnings[0].text
    assert dimensions(bird, bird.usual_mass_kg, thickness="thick").warnings == ()
    assert not cut("chicken-opened-flat").ruler
    assert cut(RIBS).ruler


def test_a_weight_that_is_impossible_is_said_as_cooks_weigh():
    with pytest.raises(
        OutOfRangeError, match=r"Chicken thigh, bone-in of 5 lb \(2\.27 kg\)"
    ) as said:
        dimensions(cut("chicken-thigh"), 2.26796)
    assert "14 oz" in said.value.allowed
