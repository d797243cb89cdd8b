"""Two-stage cooling over readings."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models.limitcooling import cooling
from stallwise.models.limitcurve import Probe
from stallwise.models.standing import Moments
from tests.models.hiding import keep, stretches

H = 3600.0
F135, F70, F41 = 57.222, 21.111, 5.0
DONE = Moments(now_s=30_000, ended=True)


def probe(pairs, tolerance=0.0):
    times, values = zip(*pairs, strict=True)
    return Probe("stock", np.array(times, float), np.array(values, float), tolerance)


@pytest.mark.parametrize(
    ("middle_h", "cold_h", "state"),
    [
        (1.9, 5.9, "met"),
        (2.0, 6.0, "met"),
        (1.0, 6.0, "met"),
        (2.1, 4.0, "missed"),
        (1.0, 6.1, "missed"),
    ],
)
def test_two_hours_and_six_in_all(middle_h, cold_h, state):
    # A second before each line it is still above it for certain.
    line = probe(
        [
            (0, F135), (1, F135 - 0.01), (middle_h * H - 1, F70 + 0.01), (middle_h * H, F70),
            (cold_h * H - 1, F41 + 0.01), (cold_h * H, F41),
        ]
    )  # fmt: skip
    assert cooling([line], DONE).state == state


def test_at_the_line_is_there_and_a_hair_above_is_not():
    reached = probe([(0, F135), (7200, F70), (21_600, F41)])
    assert cooling([reached], DONE).state == "met"
    above = probe([(0, F135), (7200, F70), (21_600, F41 + 0.01), (22_000, F41)])
    assert cooling([above], DONE).state == "unknown"


def test_a_log_that_starts_below_the_line_asks_when_it_was_hot():
    found = cooling([probe([(0, 50.0), (3600, 20.0), (7200, 4.0)])], DONE)
    assert (found.state, found.needs) == ("unknown", ("hot",))


def test_it_runs_with_its_next_line_and_is_missed_when_still_warm():
    line = [(0, F135), (1800, 45.0)]
    run = cooling([probe(line)], Moments(now_s=3600))
    assert (run.state, run.seen["until_s"]) == ("running", 7200)
    second = cooling([probe([*line, (6000, 20.0)])], Moments(now_s=7000))
    assert (second.state, second.seen["until_s"]) == ("running", 21_600)
    warm = cooling([probe([*line, (9200, 30.0)])], Moments(now_s=9200))
    assert warm.state == "missed"
    silent = cooling([probe(line)], Moments(now_s=9200))
    assert (silent.state, silent.needs) == ("unknown", ("readings",))


def test_the_warmest_probe_with_its_tolerance_counts():
    quick = probe([(0, F135 + 2), (3600, 20.0), (7200, 3.0)])
    slow = probe(
        [(0, F135 + 2), (60, 56.0), (3600, 40.0), (9000, 30.0), (12_000, 20.0), (20_000, 4.0)]
    )
    assert cooling([quick], DONE).state == "met"
    assert cooling([quick, slow], DONE).state == "missed"
    hair = probe([(0, F135 + 2), (7200, F70), (20_000, 3.0)], tolerance=1.0)
    assert cooling([hair], DONE).state == "unknown"
    unchecked = dataclasses.replace(quick, tolerance_k=None)
    assert cooling([unchecked], DONE).needs == ("probe_check",)


falling = st.lists(
    st.tuples(st.integers(60, 5000), st.floats(0.0, 12.0)), min_size=2, max_size=25
).map(
    lambda steps: (
        np.cumsum([s for s, _ in steps]).astype(float),
        70.0 - np.cumsum([c for _, c in steps]),
    )
)


@settings(max_examples=300, deadline=None)
@given(falling, st.data(), st.booleans())
def test_hiding_readings_of_a_fall_never_turns_unknown_to_met(curve, data, ended):
    times, values = curve
    kept = keep(data, len(times))
    at = Moments(now_s=200_000, ended=ended)
    seen = cooling([Probe("stock", times, values, 0.5)], at)
    less = cooling([Probe("stock", times[kept], values[kept], 0.5)], at)
    # What was missed is not met by knowing less either.
    if seen.state in {"unknown", "missed"}:
        assert less.state != "met"


@settings(max_examples=300, deadline=None)
@given(falling, st.floats(0.0, 10.0))
def test_a_colder_pot_is_never_worse_once_it_left_the_heat(curve, less_k):
    times, values = curve
    colder = np.where(values < 54.0, values - less_k, values)
    at = Moments(now_s=200_000, ended=True)
    if cooling([Probe("stock", times, values, 0.5)], at).state == "met":
        assert cooling([Probe("stock", times, colder, 0.5)], at).state == "met"


@pytest.mark.parametrize("hours", [1.0, 1.9, 2.1, 3.0, 5.0])
def test_no_stretch_that_is_hidden_makes_a_slow_pot_quick(hours):
    times = np.linspace(0.0, hours * 3600.0 * 4.0, 18)
    # Newton's law: 135 to 70 °F in so many hours, in air of 0 °C.
    values = 62.0 * np.exp(-times / (hours * 3600.0 / np.log(57.2 / 21.1)))
    seen = cooling([Probe("stock", times, values, 0.0)], DONE)
    for kept in stretches(len(times)):
        less = cooling([Probe("stock", times[kept], values[kept], 0.0)], DONE)
        assert seen.state == "met" or less.state != "met"
