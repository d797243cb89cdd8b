"""Shifts between two clocks: found from what both told, and nothing made of nothing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models.traceclock import SHIFT_S, Clue, clocks_apart, of_moment, of_values, on_s
from tests.models import traces as made
from tests.models.traces import HOUR

TIME_S = made.times(10.0)
CORE_C = made.noisy(made.curve(TIME_S, made.ONE))
SAID = [(hour * HOUR, float(np.interp(hour * HOUR, TIME_S, CORE_C))) for hour in (1, 2, 3, 5, 8, 9)]


def cores(shift_h: float, said=SAID) -> Clue:
    clue = of_values("cores", TIME_S + shift_h * HOUR, CORE_C, said, doubt_k=3.0, lasting_k=6.0)
    assert clue is not None
    return clue


@settings(max_examples=40, deadline=None)
@given(st.integers(-36, 36).filter(lambda steps: abs(steps) > 3))
def test_any_shift_is_found_from_cores_and_a_moment(steps):
    """Steps of five minutes, to three hours either way."""
    shift_s = steps * 300.0
    clues = [cores(shift_s / HOUR), of_moment("on", shift_s, 0.0, 600.0)]
    apart = clocks_apart(clues)
    # a whole hour is likelier than what lies near it
    assert apart is not None
    assert apart.shift_s == pytest.approx(shift_s, abs=900.0)


def test_clocks_that_agree_are_not_asked_about():
    assert clocks_apart([]) is None
    assert clocks_apart([cores(0.0), of_moment("on", 240.0, 0.0, 600.0)]) is None
    # minutes are no clock, however sure
    assert clocks_apart([of_moment(name, 660.0, 0.0, 60.0) for name in ("on", "off")]) is None
    assert clocks_apart([cores(0.15), of_moment("on", 540.0, 0.0, 600.0)]) is None


def test_a_probe_that_always_reads_lower_is_no_other_clock():
    low = [(at, value - 5.0) for at, value in SAID]
    assert clocks_apart([cores(0.0, low)]) is None
    assert clocks_apart([cores(1.0, low), of_moment("on", HOUR, 0.0, 900.0)]).shift_s == HOUR


def test_what_lies_outside_the_readings_pulls_no_clock():
    late = TIME_S > 9.5 * HOUR
    there = {"doubt_k": 3.0, "lasting_k": 6.0}
    assert of_values("cores", TIME_S[late], CORE_C[late], SAID, **there) is None


def test_what_fits_nowhere_says_nothing():
    rng = np.random.default_rng(1)
    wild = [(at, float(value)) for (at, _), value in zip(SAID, rng.uniform(0, 90, 6), strict=True)]
    assert clocks_apart([cores(0.0, wild)]) is None


def test_clues_are_named_by_what_they_say():
    apart = clocks_apart([of_moment("on", HOUR, 0.0, 600.0), of_moment("off", 9.0, 0.0, 1e6)])
    assert apart.why == ("on",)
    assert SHIFT_S[np.argmin(of_moment("on", HOUR, 0.0, 600.0).cost)] == HOUR


def test_meat_on_is_told_by_how_its_core_warms():
    at, doubt = on_s(TIME_S, CORE_C)
    assert abs(at) < 2.0 * doubt
    assert doubt < 1200.0
    # an hour in the fridge before it tells the same moment
    cold = np.concatenate([np.full(60, 4.0), CORE_C])
    again, _ = on_s(np.arange(len(cold)) * 60.0, cold)
    assert again - HOUR == pytest.approx(at, abs=120.0)


def test_a_probe_put_in_later_tells_no_meat_on():
    late = TIME_S > 1.2 * HOUR
    assert on_s(TIME_S[late], CORE_C[late]) is None
    assert on_s(TIME_S, CORE_C + 40.0) is None
