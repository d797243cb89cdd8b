"""Hours per pound: the table as cooks say it, and a forecaster that others are measured by."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import NotFoundError, OutOfRangeError, OutOfRangeWarning
from stallwise.models.plan import WRAPS, PitCurve, Wrap
from stallwise.models.rules import piece_rule, rule_family, rule_forecast, rule_hours
from stallwise.tables.catalogue import cuts
from stallwise.tables.hours_per_pound import pound_families, pound_rules

spec = importlib.util.spec_from_file_location(
    "forecasts", Path(__file__).with_name("test_forecast.py")
)
forecasts = importlib.util.module_from_spec(spec)
spec.loader.exec_module(forecasts)

FAMILIES = sorted({family for family, _ in pound_rules()})
POUND = 0.45359237


def test_every_family_has_a_bare_rule_for_every_pit():
    for family in FAMILIES:
        rows = pound_rules()[family, "none"]
        assert rows[-1].pit_to_c > 260.0
        assert all(0.0 < row.low < row.high for row in rows)
        hotter = [row.low for row in rows]
        assert hotter == sorted(hotter, reverse=True)


def test_every_cut_with_a_rule_is_in_the_catalogue():
    assert set(pound_families()) <= set(cuts())
    assert set(pound_families().values()) == set(FAMILIES)
    assert rule_family("duck-whole") is None


@given(
    st.sampled_from(FAMILIES),
    st.floats(0.5, 9.0),
    st.floats(85.0, 250.0),
    st.floats(0.0, 60.0),
    st.sampled_from(WRAPS),
)
def test_hotter_lighter_and_wrapped_are_never_slower(family, mass, pit, more, wrap):
    bare = rule_hours(family, mass, pit)
    assert bare.low_h < bare.middle_h < bare.high_h
    assert rule_hours(family, mass, min(pit + more, 255.0)).middle_h <= bare.middle_h
    assert rule_hours(family, 0.9 * mass, pit).middle_h <= bare.middle_h
    assert rule_hours(family, mass, pit, wrap).middle_h <= bare.middle_h


def test_a_brisket_by_wrap_at_225():
    """Common practice, no source."""
    hours = {wrap: rule_hours("brisket", 12 * POUND, 107.0, wrap) for wrap in WRAPS}
    assert (hours["none"].low_h, hours["none"].high_h) == pytest.approx((15.0, 21.0))
    assert (hours["paper"].low_h, hours["paper"].high_h) == pytest.approx((13.2, 18.0))
    assert (hours["foil"].low_h, hours["foil"].high_h) == pytest.approx((12.0, 16.2))
    assert hours["pan"] == hours["foil"]
    assert hours["boat"] == hours["paper"]
    assert rule_hours("shoulder", 3.0, 107.0, "boat") == rule_hours("shoulder", 3.0, 107.0)


def test_a_climbing_pit_is_its_mean():
    climb = PitCurve((0.0, 3600.0, 7200.0), (100.0, 100.0, 140.0))
    found = rule_forecast("shoulder", 8 * POUND, climb)
    # Nearly all of it at 140 °C: the hot rule, not that of the start.
    assert found == rule_hours("shoulder", 8 * POUND, 135.0)
    steady = rule_forecast("ribs", 1.3, PitCurve.steady(107.0), "foil")
    assert steady == rule_hours("ribs", 1.3, 107.0, "foil")


def test_a_piece_as_planned_has_its_rule_or_none():
    plan = forecasts.piece(
        "beef-brisket-whole", 5.8, pit=forecasts.pit_f(250), wrap=Wrap("foil", core_c=71.0)
    )
    mass = plan.body.mass_kg
    assert piece_rule(plan) == rule_hours("brisket", mass, float(plan.pit.at(0.0)), "foil")
    assert piece_rule(replace(plan, cut="duck-whole")) is None
    assert piece_rule(replace(plan, pit=PitCurve.steady(62.0))) is not None  # and no warning


def test_what_has_no_rule_is_said():
    with pytest.raises(NotFoundError, match="brisket"):
        rule_hours("briskett", 5.0, 107.0)
    with pytest.raises(NotFoundError, match="paper"):
        rule_hours("brisket", 5.0, 107.0, "papers")
    with pytest.raises(OutOfRangeError, match="mass"):
        rule_hours("brisket", 0.0, 107.0)
    with pytest.warns(OutOfRangeWarning, match="rules are made for"):
        rule_hours("brisket", 5.0, 60.0)
