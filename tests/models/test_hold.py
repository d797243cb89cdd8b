"""Rest and hold: what cooks see in boxes, on counters and in ovens; what hotter or heavier does."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.hold import HOT_HOLD_C, HoldForecast, HoldStage, hold_forecast
from stallwise.models.plan import Body, Hold
from stallwise.tables.properties import Composition

HOUR = 3600.0
BRISKET = Body(
    5.8, 0.043, 0.11, 0.145, Composition(0.58, 0.165, 0.245, 0.01), "lean", "beef"
)  # fmt: skip
ROAST = Body(2.3, 0.055, 0.08, 0.1, Composition(0.7, 0.2, 0.08, 0.01), "roast", "beef")
BOX = HoldStage(Hold("box", 22.0))
COUNTER = HoldStage(Hold("counter", 22.0))


def rest(*stages, body=BRISKET, core=95.0, surface=96.0, **more):
    more = {"seed": 1, "members": 200, **more}
    return hold_forecast(body, core, surface, stages, **more)


def core_at(found, hours):
    return found.core_c[:, np.searchsorted(found.time_s, hours * HOUR)]


def test_a_box_with_towels_falls_as_cooks_say():
    """Common practice, no source: 10 °F an hour for two hours (5 to 18), then 7 (3 to 11)."""
    found = rest(BOX)
    early = (core_at(found, 0) - core_at(found, 2)) / 2 * 1.8
    later = (core_at(found, 2) - core_at(found, 8)) / 6 * 1.8
    assert np.median(early) == pytest.approx(10.0, abs=1.5)
    assert np.median(later) == pytest.approx(7.0, abs=1.5)
    for fall, low, high in ((early, 5.0, 18.0), (later, 3.0, 11.0)):
        assert np.mean((fall > low) & (fall < high)) > 0.9


def test_a_box_keeps_longer_than_the_counter_and_a_warm_oven_longest():
    box, counter = rest(BOX).core_below_s(HOT_HOLD_C), rest(COUNTER).core_below_s(HOT_HOLD_C)
    oven = rest(HoldStage(Hold("oven", 66.0))).core_below_s(HOT_HOLD_C)
    assert np.all(box > counter)
    assert np.all(np.isinf(oven))


def test_a_warm_box_keeps_longer_than_a_cold_one():
    warm = rest(HoldStage(Hold("box", 22.0), box_c=70.0))
    cold = rest(BOX)
    assert np.all(core_at(warm, 4) > core_at(cold, 4) + 1.0)
    assert np.all(warm.core_below_s(HOT_HOLD_C) >= cold.core_below_s(HOT_HOLD_C))


def test_a_roast_carries_over():
    """Common practice, no source: a big roast off a low fire rises by 6 °F, 3 to 10."""
    rise = (rest(COUNTER, body=ROAST, core=54.0, surface=66.0).peak_c() - 54.0) * 1.8
    assert np.all((rise > 3.0) & (rise < 10.0))
    hotter = rest(COUNTER, body=ROAST, core=54.0, surface=85.0).peak_c() - 54.0
    assert np.all(hotter * 1.8 > rise)


def test_counter_then_oven_comes_to_a_serving_core():
    found = rest(HoldStage(Hold("counter", 22.0), 45 * 60.0), HoldStage(Hold("oven", 66.0)))
    ready, over = found.serving_window_s(71.0, HOT_HOLD_C)
    assert np.all((ready > 2 * HOUR) & (ready < 12 * HOUR))
    assert np.all(np.isinf(over))
    # The middle goes on as it was: no jump where the piece changes place.
    assert np.abs(np.diff(found.core_c, axis=1)).max() < 1.0


def test_places_in_turn_are_one_place_when_they_are_alike():
    parts = rest(HoldStage(Hold("counter", 22.0), 30 * 60.0), COUNTER, members=20)
    whole = rest(COUNTER, members=20)
    # Only the radiation is taken at another mean.
    assert parts.core_c == pytest.approx(whole.core_c, abs=1.0)


def test_the_core_never_passes_what_is_round_it():
    found = rest(HoldStage(Hold("oven", 66.0)))
    assert np.all(found.peak_c() <= 96.0)
    assert np.all(found.core_c > 66.0 - 1e-6)
    assert np.all(found.surface_c <= 96.0 + 1e-6)


def test_a_lighter_piece_cools_sooner():
    light = rest(BOX, cooked_mass_kg=2.0).core_below_s(HOT_HOLD_C)
    assert np.all(light < rest(BOX, cooked_mass_kg=4.0).core_below_s(HOT_HOLD_C))


def test_a_forecast_hands_over_its_members():
    cores = np.linspace(88.0, 98.0, 200)
    found = rest(BOX, core=cores, surface=cores + 1.0)
    assert found.core_c[:, 0] == pytest.approx(cores, abs=0.01)
    assert np.array_equal(found.core_c, rest(BOX, core=cores, surface=cores + 1.0).core_c)


def test_crossings_are_read_off_the_curve():
    curve = HoldForecast(np.array([0.0, 60.0, 120.0, 180.0]), np.array([
        [50.0, 62.0, 61.0, 59.0], [50.0, 51.0, 50.0, 49.0], [70.0, 69.0, 68.0, 67.0],
    ]), np.zeros((3, 4)))  # fmt: skip
    assert curve.core_below_s(60.0) == pytest.approx([150.0, 0.0, np.inf])


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError, match="counter"):
        rest()
    with pytest.raises(OutOfRangeError, match="core temperature"):
        rest(BOX, core=5.0)
    with pytest.raises(OutOfRangeError, match="just off the fire"):
        rest(BOX, core=95.0, surface=20.0)
    with pytest.raises(InputError, match="hotter one first"):
        rest(BOX, members=5).serving_window_s(60.0, 71.0)
