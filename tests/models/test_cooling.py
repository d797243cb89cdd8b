"""Stock and leftovers: what was measured in kitchens, and what more depth or ice does."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError, OutOfRangeError
from stallwise.models.body import equivalent_body
from stallwise.models.cooling import (
    PLACES,
    CoolStage,
    Portion,
    cooling_forecast,
)
from stallwise.models.settling import core_after_c, core_time_s
from stallwise.models.vessel import layer_for_time_m, portion_depth_m, pot_body

HOUR = 3600.0
INCH = 0.0254


def fahrenheit(f):
    return (f - 32.0) / 1.8


def cool(portion, *stages, start=75.0, **more):
    return cooling_forecast(portion, start, stages, **{"seed": 1, "members": 100, **more})


def stages_h(found):
    return [float(np.median(times)) / HOUR for times in found.stage_times_s()]


def thick_pan(inches, **more):
    return Portion("pan", "thick", inches * INCH, **{"covered": False, **more})


def test_only_the_freezer_and_two_inches_come_down_in_both_spans():
    """Roberts and others 2013, Food Protection Trends 33, 27 (abstract).

    Chili and tomato sauce in open steel pans, 2 and 3 in deep, in a walk-in refrigerator, in a
    walk-in freezer, and in an ice bath in the refrigerator: only 2 in in the freezer came from 135
    to 70 °F within 2 h and to 41 °F within 6 h.
    """
    for inches in (2, 3):
        for place in ("walk-in", "freezer", "ice bath"):
            first, total = stages_h(cool(thick_pan(inches), CoolStage(place)))
            both = first <= 2.0 and total <= 6.0
            assert both == (inches == 2 and place == "freezer"), (inches, place, first, total)


def test_eight_gallons_of_white_sauce():
    """Dickerson and Read (abstract): 25 h from 105 to 57 °F; the shape of the container is not told.

    Their 14 gallons of stew took 84 h from 115 to 50 °F, which no upright pot of ours does in a
    cold fridge (47 h): a warmer fridge or a crowded one.
    """
    width = (4 * 8 * 3.785e-3 / np.pi) ** (1 / 3)
    sauce = Portion("pot", "thick", width, width)
    found = cool(sauce, CoolStage("fridge"), start=fahrenheit(105), horizon_s=7 * 86_400.0)
    hours = found.below_s(fahrenheit(57)) / HOUR
    assert np.quantile(hours, 0.1) < 25.0 < np.quantile(hours, 0.9)
    assert np.median(hours) == pytest.approx(25.0, rel=0.15)


def test_a_full_pot_in_the_fridge_takes_all_night():
    """USDA advice: a pot of soup 8 in deep takes far too long in a refrigerator."""
    pot = Portion("pot", "liquid", 8 * INCH, 0.3)
    assert stages_h(cool(pot, CoolStage("fridge")))[0] > 5.0
    assert stages_h(cool(pot, CoolStage("ice bath")))[1] < 1.5


def test_a_short_cylinder_and_a_beam_of_a_textbook():
    """Cengel 4-8: 63 °C in the middle of a brass cylinder; Som 4.10: nearly 1200 s for a beam."""
    short = pot_body(0.1, 0.12, 60.0, 110.0)
    middle = core_after_c(
        900.0, start_c=120.0, surroundings_c=25.0, shape_n=short.shape_n, radius_m=short.radius_m,
        conductivity_w_m_k=110.0 * short.conductivity_factor, heat_capacity_j_m3_k=110 / 3.39e-5,
        exchange_w_m2_k=60.0,
    )  # fmt: skip
    assert middle == pytest.approx(63.0, abs=3.0)
    beam = equivalent_body([0.15, 0.10, np.inf], 100.0, 73.0)
    time = core_time_s(
        310.0, start_c=30.0, surroundings_c=730.0, shape_n=beam.shape_n, radius_m=beam.radius_m,
        conductivity_w_m_k=73.0 * beam.conductivity_factor, heat_capacity_j_m3_k=73 / 2.034e-5,
        exchange_w_m2_k=100.0,
    )  # fmt: skip
    assert time == pytest.approx(1200.0, rel=0.12)  # both factors were read from charts


@pytest.mark.parametrize("place", PLACES)
def test_deeper_covered_and_thicker_take_longer(place):
    def total(portion):
        times = cool(portion, CoolStage(place), horizon_s=7 * 86_400.0, members=60).below_s(30.0)
        return np.minimum(times, 1e9)

    usual = total(thick_pan(2))
    assert np.all(total(thick_pan(3)) >= usual)
    lid = 1.0 if place == "ice bath" else 1.05
    reached = usual < 1e9
    assert np.all(total(thick_pan(2, covered=True))[reached] >= lid * usual[reached] - 1.0)
    assert np.all(total(Portion("pan", "liquid", 2 * INCH, covered=False)) < usual)


def test_ice_first_then_the_fridge():
    pot = Portion("pot", "liquid", 0.2, 0.3)
    both = cool(pot, CoolStage("ice bath", 0.5 * HOUR), CoolStage("fridge"))
    alone = cool(pot, CoolStage("fridge"))
    assert np.all(both.warmest_c <= alone.warmest_c + 0.5)
    at = np.searchsorted(both.time_s, 0.5 * HOUR)
    assert np.abs(both.warmest_c[:, at] - both.warmest_c[:, at - 1]).max() < 12.0


def test_stages_are_counted_from_where_they_begin():
    pan = thick_pan(2)
    hot, warm = cool(pan, CoolStage("walk-in"), start=95.0), cool(pan, CoolStage("walk-in"))
    first = [each.stage_times_s()[0] for each in (hot, warm)]
    assert first[0] == pytest.approx(first[1], rel=0.05)
    assert np.all(hot.below_s(57.2) > warm.below_s(57.2))
    never = cool(pan, CoolStage("counter")).stage_times_s()
    assert np.all(np.isinf(never[1]))


def test_a_known_place_is_not_drawn():
    pan = thick_pan(2)
    days = {"horizon_s": 3 * 86_400.0, "members": 60}
    cold = cool(pan, CoolStage("fridge", temperature_c=1.0), **days).warmest_c[:, -1]
    assert cold == pytest.approx(np.full(60, 1.0), abs=0.1)
    assert np.ptp(cool(pan, CoolStage("fridge"), **days).warmest_c[:, -1]) > 2.0


@settings(max_examples=10)
@given(st.floats(1800.0, 20_000.0), st.floats(5.0, 40.0), st.floats(1.0, 40.0))
def test_the_deepest_layer_takes_just_the_time(time, top, bottom):
    food = {"start_c": 57.2, "surroundings_c": 3.0}
    inside = {"conductivity_w_m_k": 0.52, "heat_capacity_j_m3_k": 3.8e6}
    depth = layer_for_time_m(time, 21.1, **food, top_w_m2_k=top, bottom_w_m2_k=bottom, **inside)
    taken = core_time_s(
        21.1, **food, shape_n=1.0, radius_m=depth, exchange_w_m2_k=top, back_w_m2_k=bottom,
        **inside,
    )  # fmt: skip
    assert taken == pytest.approx(time, rel=1e-3) or depth == pytest.approx(0.002)


def test_sharing_out_halves_the_depth():
    assert portion_depth_m(0.008, 4, 0.5, 0.3) == portion_depth_m(0.008, 2, 0.5, 0.3) / 2
    with pytest.raises(InputError, match="at least one"):
        portion_depth_m(0.008, 0, 0.5, 0.3)


def test_what_cannot_be_is_refused():
    with pytest.raises(NotFoundError, match="fridge"):
        CoolStage("frigde")
    with pytest.raises(NotFoundError, match="pot"):
        Portion("pots", "thick", 0.05)
    with pytest.raises(OutOfRangeError, match=r"0\.002 to 1 m \(1/8 to 39 in\)"):
        Portion("pan", "thick", 50.0)
    with pytest.raises(InputError, match="counter"):
        cool(thick_pan(2))
    with pytest.raises(InputError, match="between 60 and 3"):
        layer_for_time_m(
            3600.0, 70.0, start_c=60.0, surroundings_c=3.0, top_w_m2_k=5.0, bottom_w_m2_k=5.0,
            conductivity_w_m_k=0.5, heat_capacity_j_m3_k=4e6,
        )  # fmt: skip
