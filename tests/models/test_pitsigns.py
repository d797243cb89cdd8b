"""A pit that is opened, swings, sags, is set lower, or was too hot at first."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.models.tracestages import pit_signs
from tests.models import traces as made
from tests.models.traces import HOUR

TIME = made.times(12.0)
HELD = made.noisy(np.full(len(TIME), 110.0), spread_k=0.7)


def of(kind, pit_c=HELD, time_s=TIME, **known):
    return [sign for sign in pit_signs(time_s, pit_c, **known) if sign.kind == kind]


def test_a_held_pit_says_nothing():
    assert pit_signs(TIME, HELD) == ()


def test_every_opening_is_seen_at_its_minute():
    hours = [1.0, 2.5, 2.9, 7.0]
    found = of("lid_open", made.opened(TIME, HELD, hours))
    assert [sign.at_s / HOUR for sign in found] == pytest.approx(hours, abs=0.06)
    assert min(sign.confidence for sign in found) > 0.6


@pytest.mark.parametrize("swing_k", [6.0, 12.0])
def test_a_thermostat_opens_no_lid(swing_k):
    found = of("lid_open", made.swinging(TIME, swing_k))
    # In the first half hour nobody knows yet how far this pit swings.
    assert all(sign.at_s < 0.5 * HOUR and sign.confidence < 0.6 for sign in found)


def test_an_opening_stands_out_of_a_thermostats_swings():
    pit_c = made.opened(TIME, made.swinging(TIME, 4.0), [6.0], drop_k=45.0)
    (sign,) = of("lid_open", pit_c)
    assert sign.at_s == pytest.approx(6.0 * HOUR, abs=300.0)


def test_a_fall_that_stays_is_no_opening():
    assert not of("lid_open", np.where(TIME > 4.0 * HOUR, HELD - 40.0, HELD))


def test_readings_ten_minutes_apart_show_an_opening_less_surely():
    pit_c = HELD.copy()
    pit_c[(TIME >= 4.0 * HOUR) & (TIME < 4.1 * HOUR)] = 80.0
    found = of("lid_open", pit_c[::10], TIME[::10])
    assert all(sign.confidence < 0.6 for sign in found)


def test_a_fire_that_sags_overnight_and_is_fed_again():
    sag = np.interp(TIME / HOUR, [4.0, 7.0, 9.0, 9.6], [0.0, 40.0, 45.0, 0.0])
    (sign,) = of("pit_sag", HELD - sag)
    assert 4.5 * HOUR < sign.at_s < 6.0 * HOUR
    assert sign.until_s == pytest.approx(9.5 * HOUR, abs=900.0)
    assert sign.temperature_c == pytest.approx(65.0, abs=3.0)


def test_a_pit_set_lower_does_not_sag():
    lower = np.where(TIME > 5.0 * HOUR, HELD - 25.0, HELD)
    assert of("pit_sag", lower)
    assert not of("pit_sag", lower, set_s=[4.95 * HOUR])


def test_a_pit_too_hot_at_first_does_not_sag_for_the_rest_of_the_day():
    assert not of("pit_sag", HELD + np.interp(TIME / HOUR, [0.5, 0.8], [45.0, 0.0]))


def test_a_fire_may_go_down_after_the_last_piece_is_off():
    cold = HELD - np.interp(TIME / HOUR, [9.0, 11.0], [0.0, 60.0])
    assert of("pit_sag", cold)
    assert not of("pit_sag", cold, until_s=9.0 * HOUR)


def test_nothing_is_told_within_a_gap():
    pit_c = made.opened(TIME, HELD, [4.0])
    pit_c[(TIME > 4.05 * HOUR) & (TIME < 4.4 * HOUR)] = np.nan
    assert not of("lid_open", pit_c)
