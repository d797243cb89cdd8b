"""Come-up: the earliest and the latest that the readings leave open, judged to the second."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models.limitclimb import climb
from stallwise.models.limitcurve import Probe
from stallwise.models.standing import Moments
from stallwise.tables.limits import clock
from tests.models.hiding import keep, stretches

CUT = clock("come-up")
COLD, HOT = 9.9, 54.5
H = 3600.0


def probe(pairs, tolerance=0.0):
    times, values = zip(*pairs, strict=True)
    return Probe("core", np.array(times, float), np.array(values, float), tolerance)


def up(seconds, tolerance=0.0):
    """Over the lower line at 60 s, over the upper `seconds` later, known to the second."""
    return probe(
        [(59, COLD), (60, 10.01), (58 + seconds, 54.3), (59 + seconds, HOT), (80_000, 90)],
        tolerance,
    )


@pytest.mark.parametrize(
    ("seconds", "state"), [(21_540, "met"), (21_600, "met"), (21_660, "missed")]
)
def test_six_hours_to_the_second(seconds, state):
    at = Moments(now_s=90_000, on_s=0, cut_s=85_000)
    assert climb([up(seconds)], CUT, at).state == state


@pytest.mark.parametrize("seconds", [(21_540, 21_660), (21_660, 21_540)])
def test_the_slowest_spot_counts(seconds):
    at = Moments(now_s=90_000, on_s=0, cut_s=85_000)
    assert climb([up(each) for each in seconds], CUT, at).state == "missed"
    assert climb([up(21_540), up(21_540)], CUT, at).state == "met"


def test_a_line_inside_a_gap_is_unknown_and_not_guessed():
    wide = probe([(0, 5.0), (2 * H, 30.0), (5.5 * H, 50.0), (7 * H, 60.0)])
    found = climb([wide], CUT, Moments(now_s=8 * H, on_s=0))
    assert (found.state, found.needs) == ("unknown", ("readings",))
    assert found.seen["best_s"] == 3.5 * H
    assert found.seen["worst_s"] == 7 * H


def test_a_log_that_starts_late_asks_for_the_start():
    late = probe([(3 * H, 30.0), (4 * H, 56.0)])
    found = climb([late], CUT, Moments(now_s=5 * H, on_s=0))
    assert (found.state, found.needs) == ("unknown", ("start_core",))
    said = climb([late], CUT, Moments(now_s=5 * H, on_s=0), start_c=4.0)
    assert (said.state, said.seen["worst_s"]) == ("met", 4 * H)
    # Warm when it went on: it was on its way before.
    warm = climb([late], CUT, Moments(now_s=5 * H, on_s=0), start_c=12.0)
    assert (warm.state, warm.needs) == ("unknown", ("warm_start",))
    # A cold reading just before it went on says as much as the cook's word.
    before = probe([(-600, 4.0), (2 * H, 30.0), (4 * H, 56.0)])
    seen = climb([before], CUT, Moments(now_s=5 * H, on_s=0))
    assert (seen.state, seen.seen["worst_s"]) == ("met", 4 * H + 600)
    assert climb([late], CUT, Moments(now_s=5 * H), start_c=4.0).needs == ("on",)


def test_the_clock_runs_and_then_is_missed():
    cold = [(0, 5.0), (600, 20.0)]
    run = climb([probe([*cold, (5 * H, 40.0)])], CUT, Moments(now_s=5 * H, on_s=0))
    assert (run.state, run.seen["until_s"]) == ("running", 6 * H)
    over = climb([probe([*cold, (6.3 * H, 50.0)])], CUT, Moments(now_s=6.3 * H, on_s=0))
    assert over.state == "missed"
    silent = climb([probe([*cold, (5 * H, 40.0)])], CUT, Moments(now_s=7 * H, on_s=0))
    assert silent.state == "unknown"


def test_a_tolerance_counts_against_the_cook_at_both_lines():
    at = Moments(now_s=90_000, on_s=0, cut_s=85_000)
    wide = climb([up(21_540, tolerance=1.0)], CUT, at)
    assert wide.state == "unknown"


def test_an_unchecked_probe_asks():
    one = dataclasses.replace(up(7200), tolerance_k=None)
    found = climb([one], CUT, Moments(now_s=90_000, on_s=0, cut_s=85_000), start_c=4.0)
    assert "probe_check" in found.needs
    assert found.state != "met"


rising = st.lists(
    st.tuples(st.integers(60, 6000), st.floats(0.0, 16.0)), min_size=6, max_size=30
).map(
    lambda steps: (
        np.cumsum([s for s, _ in steps]).astype(float),
        2.0 + np.cumsum([c for _, c in steps]),
    )
)


@settings(max_examples=300, deadline=None)
@given(rising, st.data(), st.sampled_from([0.5, None]), st.sampled_from([4.0, None]))
def test_hiding_readings_of_a_climb_never_turns_unknown_to_met(curve, data, tolerance, start_c):
    times, values = curve
    kept = keep(data, len(times))
    at = Moments(now_s=200_000, on_s=0, cut_s=190_000)
    seen = climb([Probe("core", times, values, tolerance)], CUT, at, start_c=start_c)
    less = climb([Probe("core", times[kept], values[kept], tolerance)], CUT, at, start_c=start_c)
    # What was missed is not met by knowing less either.
    if seen.state in {"unknown", "missed"}:
        assert less.state != "met"


@settings(max_examples=300, deadline=None)
@given(rising, st.floats(0, 40))
def test_heat_once_the_clock_runs_never_turns_met_to_missed(curve, more_k):
    times, values = curve
    at = Moments(now_s=200_000, on_s=0, cut_s=190_000)
    warmer = np.where(values > CUT.from_c + 2.0, values + more_k, values)
    if climb([Probe("core", times, values, 0.5)], CUT, at, start_c=4.0).state == "met":
        assert climb([Probe("core", times, warmer, 0.5)], CUT, at, start_c=4.0).state == "met"


@pytest.mark.parametrize("hours", [4.0, 5.9, 6.1, 7.0, 9.0, 14.0])
@pytest.mark.parametrize("start_c", [4.0, None])
def test_no_stretch_that_is_hidden_makes_a_slow_climb_quick(hours, start_c):
    times = np.linspace(0.0, hours * H * 1.1, 15)
    values = 9.0 + 46.0 * times / (hours * H)
    at = Moments(now_s=200_000, on_s=0, cut_s=190_000)
    seen = climb([Probe("core", times, values, 0.0)], CUT, at, start_c=start_c)
    for kept in stretches(len(times)):
        less = climb([Probe("core", times[kept], values[kept], 0.0)], CUT, at, start_c=start_c)
        assert seen.state == "met" or less.state != "met"
