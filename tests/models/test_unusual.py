"""Plans outside what was checked: each is said with the range, the impossible is refused with it."""

from __future__ import annotations

import pytest

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.models.plan import Body, Facts, PiecePlan, PitCurve
from stallwise.models.unusual import unusual
from stallwise.tables.catalogue import _tables, cut, dimensions
from stallwise.tables.cut import read_cut

BRISKET = cut("beef-brisket-whole")


def plan(pit_c=121.0, mass_kg=5.9, half_m=0.043, **more):
    body = Body(mass_kg, half_m, 0.11, 0.15, BRISKET.composition, "lean", "beef")
    pit = PitCurve.steady(pit_c)
    return PiecePlan("A", BRISKET.key, body, BRISKET.finish().target, pit, **more)


def test_a_usual_plan_needs_no_words():
    assert unusual(plan()) == ()


@pytest.mark.parametrize(("one", "key", "allowed"), [
    (plan(190.0), "unusual-pit-high", "at 374 °F (190 °C), hotter"),
    (plan(190.0), "unusual-pit-high", "199 to 356 °F (93 to 180 °C)"),
    (plan(80.0), "unusual-pit-low", "199 to 356 °F (93 to 180 °C)"),
    (plan(mass_kg=9.0), "unusual-mass-high", "1.3 to 18 lb (0.6 to 8 kg)"),
    (plan(mass_kg=0.4), "unusual-mass-low", "1.3 to 18 lb (0.6 to 8 kg)"),
    (plan(half_m=0.1), "unusual-half-thickness-high", "0.94 to 6.7 in (24 to 170 mm)"),
    (plan(half_m=0.01), "unusual-half-thickness-low", "0.94 to 6.7 in (24 to 170 mm)"),
    (plan(pressure_pa=75_000.0), "unusual-pressure-low", "sea level to 6,394 ft (1,949 m)"),
    (plan(start_core_c=25.0), "unusual-start-core-high", "30 to 59 °F (-1 to 15 °C)"),
    (plan(humidity_ratio=0.2), "unusual-humidity-high", "8 to 80 g of water"),
    (plan(humidity_factor=6.0), "unusual-humidity-high", "8 to 80 g of water"),
    (plan(humidity_ratio=0.001), "unusual-humidity-low", "8 to 80 g of water"),
])  # fmt: skip
def test_what_was_never_checked_is_said_with_the_range_that_was(one, key, allowed):
    found = {warning.key: warning.text for warning in unusual(one)}
    assert allowed in found[key]
    assert found[key].endswith(".")


def test_a_pit_no_warmer_than_the_meat_cooks_nothing():
    found = {warning.key: warning.text for warning in unusual(plan(10.0, start_core_c=12.0))}
    assert "50 °F (10 °C)" in found["pit-cold"]
    assert "54 °F (12 °C)" in found["pit-cold"]
    assert "pit-cold" not in {warning.key for warning in unusual(plan(80.0))}


def test_sizes_against_the_scales_are_said_by_how_much():
    ribs = cut("pork-spare-ribs-trimmed")
    found = dimensions(ribs, 1.3, thickness=0.03, width_m=0.25, length_m=0.60).warnings
    (text,) = [warning.text for warning in found if warning.key == "sizes-and-mass"]
    # 0.03 × 0.25 × 0.60 m of meat at some 1030 kg/m3 is 4.6 kg
    assert "(4.6 kg)" in text
    assert "1.3 kg" in text


def test_a_cut_without_its_composition_is_refused_by_the_name_of_what_is_missing():
    table = {key: value for key, value in _tables()[BRISKET.key].items() if key != "composition"}
    with pytest.raises(InputError, match="no composition") as caught:
        read_cut("mine", table, where="cuts/mine.toml")
    assert "cuts/mine.toml" in str(caught.value)


@pytest.mark.parametrize(("make", "allowed"), [
    (lambda: plan(pressure_pa=20_000.0), "50,000 to 110,000 Pa"),
    (lambda: plan(humidity_ratio=0.6), "0 to 0.4 kg/kg"),
    (lambda: plan(humidity_factor=50.0), "0.1 to 20"),
    (lambda: plan(pit_c=500.0), "-40 to 400 °C"),
    (lambda: plan(start_core_c=-5.0), "-1 to 60 °C"),
    (lambda: plan(mass_kg=80.0), "0.05 to 60 kg"),
    (lambda: units.parse("elevation", "12000 m"), "where anyone cooks"),
])  # fmt: skip
def test_the_impossible_is_refused_with_what_is_allowed(make, allowed):
    with pytest.raises(InputError) as caught:
        make()
    assert allowed in str(caught.value)


def _watched(*points, as_of_s=14_400.0, planned_c=121.0):
    seen = PitCurve(*(tuple(column) for column in zip(*points, strict=True)))
    facts = Facts(as_of_s=as_of_s, pit=seen)
    return {w.key: w.text for w in unusual(plan(planned_c, facts=facts)) if "pit" in w.key}


def test_a_dip_that_was_read_is_no_plan():
    # a lid for ten minutes, down to 60 °C, and a flare of ten
    dip = ((0.0, 121.0), (3600.0, 121.0), (3700.0, 60.0), (4200.0, 60.0), (4300.0, 121.0))
    assert _watched(*dip, (7200.0, 121.0), (7260.0, 220.0), (7800.0, 220.0), (7900.0, 121.0)) == {}
    # the last reading is the dip itself
    assert _watched((0.0, 121.0), (14_000.0, 121.0), (14_100.0, 60.0)) == {}


def test_a_pit_that_was_cold_for_a_good_while_is_said_as_seen():
    found = _watched((0.0, 121.0), (3600.0, 80.0), (7200.0, 80.0), (7300.0, 121.0))
    assert set(found) == {"seen-pit-low"}
    assert found["seen-pit-low"].startswith("The pit was colder than any cook")
    assert "1 h 20 min on end" in found["seen-pit-low"]
    assert "planned" not in found["seen-pit-low"]


def test_a_plan_ahead_that_was_never_checked_is_said_as_planned_once():
    found = _watched((0.0, 80.0), (14_000.0, 80.0), planned_c=80.0)
    assert set(found) == {"unusual-pit-low"}
    assert "planned at 176 °F (80 °C), colder" in found["unusual-pit-low"]
