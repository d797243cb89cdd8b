"""Limits over readings: exact at their lines, unknown in gaps, and never kinder for knowing less."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models.limitclock import oven_fits_roasts
from stallwise.models.limitcurve import Probe, coldest, is_covered
from stallwise.models.limits import (
    held_at,
    kept_hot,
    least_temperature,
    left_out,
    reheat_time,
    reheated,
)
from stallwise.models.limittime import set_out
from stallwise.models.standing import Moments
from stallwise.tables.limits import hold_tables, minimum
from tests.models.hiding import keep

C145, C165 = minimum("whole").temperature_c, minimum("poultry").temperature_c
TOLERANCE = 10 / 9
SERVED = Moments(now_s=20_000, on_s=0, off_s=18_000, cut_s=19_000)


def probe(pairs, tolerance=0.0, name="core"):
    times, values = zip(*pairs, strict=True) if pairs else ((), ())
    return Probe(name, np.array(times, float), np.array(values, float), tolerance)


def steady(value, from_s=0, to_s=20_000, step=600, **given):
    return probe([(t, value) for t in range(from_s, to_s + 1, step)], **given)


def test_the_coldest_probe_less_its_tolerance_counts():
    at = dataclasses.replace(SERVED, cut_s=None, off_s=None)
    assert (
        least_temperature([steady(C165 + TOLERANCE, tolerance=TOLERANCE)], C165, at).state == "met"
    )
    assert least_temperature([steady(C165 + 1.0, tolerance=TOLERANCE)], C165, at).state == "running"
    warm, cold = steady(80.0), steady(70.0, name="thigh")
    assert least_temperature([warm], C165, at).state == "met"
    assert least_temperature([warm, cold], C165, at).state == "running"


def test_a_probe_that_was_never_checked_meets_nothing_and_asks():
    found = least_temperature([steady(90.0, tolerance=None)], C165, SERVED)
    assert (found.state, found.needs) == ("unknown", ("probe_check",))
    # What it missed stays missed: that favours nobody.
    cold = least_temperature([steady(50.0, tolerance=None)], C165, SERVED)
    assert cold.state == "missed"


@pytest.mark.parametrize(
    ("cut_s", "state"),
    [(18_179.4, "missed"), (18_179.6, "met"), (18_180, "met"), (18_100, "missed")],
)
def test_a_rest_counts_from_off_the_heat_to_the_second(cut_s, state):
    at = dataclasses.replace(SERVED, cut_s=cut_s)
    assert least_temperature([steady(70.0)], C145, at, rest_s=180).state == state


def test_a_rest_counts_from_the_last_spot_that_got_there():
    late = probe([(0, 60.0), (18_050, 60.0), (18_060, 70.0), (19_000, 70.0)], name="bone")
    spots = [steady(70.0), late]
    for cut_s, state in ((18_200, "missed"), (18_240, "met")):
        at = dataclasses.replace(SERVED, cut_s=cut_s)
        assert least_temperature(spots, C145, at, rest_s=180).state == state


def test_a_rest_runs_until_it_is_over_and_asks_when_it_came_off():
    off = Moments(now_s=18_100, on_s=0, off_s=18_000)
    found = least_temperature([steady(70.0)], C145, off, rest_s=180)
    assert (found.state, found.seen["until_s"]) == ("running", 18_180)
    later = dataclasses.replace(off, now_s=18_180)
    assert least_temperature([steady(70.0)], C145, later, rest_s=180).state == "met"
    unsaid = Moments(now_s=20_000, on_s=0, cut_s=19_000)
    assert least_temperature([steady(70.0)], C145, unsaid, rest_s=180).needs == ("off",)


def test_not_reached_is_missed_only_where_every_minute_was_seen():
    assert least_temperature([steady(60.0)], C145, SERVED).state == "missed"
    gap = probe([(t, 60.0) for t in range(0, 20_001, 600) if not 6000 < t < 8400])
    assert least_temperature([gap], C145, SERVED).state == "unknown"
    late = steady(60.0, from_s=3000)
    found = least_temperature([late], C145, SERVED)
    assert (found.state, found.needs) == ("unknown", ("readings",))


def test_no_readings_is_unknown():
    for found in (
        least_temperature([], C145, SERVED),
        least_temperature([probe([])], C145, SERVED),
        held_at([], "food-code-roast", SERVED),
        kept_hot([], 60.0, SERVED),
    ):
        assert (found.state, found.needs[0]) == ("unknown", "readings")


@pytest.mark.parametrize("name", ["food-code-roast", "appendix-a-6.5", "poultry-12"])
def test_each_row_of_a_table_is_met_by_its_own_time_and_not_by_less(name):
    for row in hold_tables()[name]:
        at = Moments(now_s=10_000, on_s=0)
        held = max(row.hold_s, 1.0)
        line = probe([(0, row.temperature_c), (held, row.temperature_c)])
        assert held_at([line], name, at, gap_s=1e5).state == "met", row.key
        if row.hold_s:
            short = probe([(0, row.temperature_c), (row.hold_s - 0.5, row.temperature_c)])
            assert held_at([short], name, at, gap_s=1e5).state == "running", row.key


def test_all_spots_are_hot_at_the_same_time_or_it_does_not_count():
    first = probe([(0, 65.0), (600, 65.0), (1200, 40.0)])
    second = probe([(0, 40.0), (600, 65.0), (1200, 65.0)], name="other")
    at = Moments(now_s=10_000, on_s=0)
    assert coldest([first, second], 1200).longest_s(60.0) == 0.0
    assert held_at([first, second], "food-code-worked", at).state == "running"
    assert held_at([first, first], "food-code-worked", at).state == "met"


def test_a_hold_is_met_by_readings_all_the_way_and_missed_by_one_below():
    held = steady(62.0, from_s=18_000)
    at = Moments(now_s=20_000, on_s=0, off_s=18_000, cut_s=19_800)
    assert kept_hot([held], 60.0, at).state == "met"
    assert kept_hot([held], 60.0, dataclasses.replace(at, cut_s=None)).state == "running"
    assert kept_hot([steady(60.5, from_s=18_000, tolerance=TOLERANCE)], 60.0, at).state == "missed"
    silent = probe([(18_000, 62.0), (19_800, 62.0)])
    assert kept_hot([silent], 60.0, at).state == "unknown"
    assert kept_hot([held], 60.0, Moments(now_s=20_000)).needs == ("off",)


@pytest.mark.parametrize(
    ("chilled_s", "ambient_c", "state"),
    [
        (7200, 20.0, "met"),
        (7201, 20.0, "missed"),
        (3600, 35.0, "met"),
        (3601, 35.0, "missed"),
        (3600, None, "met"),
        (5400, None, "unknown"),
        (7201, None, "missed"),
    ],
)
def test_two_hours_or_one_on_a_hot_day(chilled_s, ambient_c, state):
    at = Moments(now_s=9000, off_s=0, chilled_s=chilled_s)
    cool = probe([(t, 50.0) for t in range(0, 9001, 600)])
    found = left_out([cool], at, ambient_c=ambient_c)
    assert found.state == state
    assert ("ambient" in found.needs) == (state == "unknown")


def test_what_was_never_read_cool_may_have_been_held_hot():
    # Within its time counted from off the heat it needs no probe; beyond it nobody knows.
    assert left_out([], Moments(9000, off_s=0, chilled_s=7200), ambient_c=20.0).state == "met"
    found = left_out([], Moments(20_000, off_s=0, chilled_s=18_000), ambient_c=20.0)
    assert (found.state, found.needs) == ("unknown", ("readings",))


def test_the_two_hours_begin_when_it_was_last_known_hot():
    held = probe([(t, 65.0) for t in range(0, 7201, 600)] + [(7800, 55.0)])
    at = Moments(now_s=14_000, off_s=0, chilled_s=7200 + 7200)
    assert left_out([held], at, ambient_c=20.0).state == "met"
    unchecked = dataclasses.replace(held, tolerance_k=None)
    assert left_out([unchecked], at, ambient_c=20.0).state == "unknown"
    assert left_out([], Moments(now_s=3000, off_s=0), ambient_c=20.0).seen["until_s"] == 7200
    over = left_out([], Moments(now_s=9000, off_s=0), ambient_c=20.0)
    assert (over.state, over.needs) == ("unknown", ("chilled",))


def test_reheated_to_its_line():
    assert reheated([probe([(0, 73.889)])], C165, Moments(now_s=10, on_s=0)).state == "met"
    assert (
        reheated([probe([(0, 73.8)])], C165, Moments(now_s=10, on_s=0, cut_s=5)).state == "unknown"
    )


@pytest.mark.parametrize(
    ("points", "now_s", "state"),
    [
        ([(7200, C165)], 7200, "met"),
        # Cool looks past the two hours, each no colder than the last: it was not there before.
        ([(1800, 40.0), (3600, 52.0), (7500, 60.0)], 7500, "missed"),
        # As cool, but it was hotter once and nobody looked for an hour: it may have been there.
        ([(1800, 60.0), (7500, 55.0)], 7500, "unknown"),
        # A cool look within the time, and none since.
        ([(1800, 40.0)], 7500, "unknown"),
        ([(1800, 40.0)], 7200, "running"),
        # Hot at the first look after the time: it may have been hot before.
        ([(1800, 40.0), (7500, 80.0)], 7500, "unknown"),
        ([(1800, 40.0), (7201, 50.0), (7500, 80.0)], 7500, "missed"),
        ([], 7500, "unknown"),
    ],
)
def test_reheating_takes_two_hours_at_most(points, now_s, state):
    spots = [probe(points)] if points else []
    found = reheat_time(spots, C165, 7200.0, Moments(now_s=now_s, on_s=0))
    assert found.state == state
    assert reheat_time(spots, C165, 7200.0, Moments(now_s=now_s)).needs == ("on",)


def test_the_two_hours_begin_at_a_look_that_was_hot_unless_it_was_warmed_again():
    looked = probe([(0, 93.0), (5400, 85.0)])
    at = Moments(now_s=14_000, off_s=0, chilled_s=10_800)
    assert left_out([looked], at, ambient_c=20.0).seen["worst_s"] == 5400
    assert left_out([looked], at, ambient_c=20.0).state == "met"
    again = left_out([looked], at, ambient_c=20.0, warmed=True)
    assert (again.state, again.seen["worst_s"]) == ("unknown", 10_800)
    # Hot after it was not: the clock began before.
    wavers = probe([(0, 93.0), (1800, 55.0), (5400, 85.0)])
    assert left_out([wavers], at, ambient_c=20.0).seen["from_s"] == 0


def test_a_dry_oven_is_held_to_its_coldest():
    assert oven_fits_roasts(5.0, 125.0) is True
    assert oven_fits_roasts(5.0, 107.0) is False
    assert oven_fits_roasts(None, 125.0) is None


@pytest.mark.parametrize(
    ("start_c", "later", "cleared_s", "state", "until_s"),
    [
        (60.0, (), 14_400, "met", 14_400),
        (60.0, (), 14_401, "missed", 14_400),
        (60.0, (), None, "running", 14_400),
        (4.0, (), 18_000, "missed", 14_400),
        (4.0, "cool", 21_600, "met", 21_600),
        (4.0, "cool", 21_601, "missed", 21_600),
        (4.0, "warm", 18_000, "missed", 14_400),
        (30.0, (), 3600, "unknown", 14_400),
        (None, (), 3600, "unknown", 14_400),
    ],
)
def test_food_by_the_clock_starts_hot_or_cold_and_has_its_hours(
    start_c, later, cleared_s, state, until_s
):
    warm = {"cool": 18.0, "warm": 25.0}
    points = [] if start_c is None else [(-60, start_c)]
    points += [(t, warm[later]) for t in range(600, 22_000, 600)] if later else []
    at = Moments(now_s=cleared_s or 7200, on_s=0, cut_s=cleared_s)
    found = set_out(probe(points), at)
    assert (found.state, found.seen["until_s"]) == (state, until_s)
    assert ("set_out" in found.needs) == (start_c in {None, 30.0})


def test_food_by_the_clock_that_nobody_cleared_is_asked_after():
    late = set_out(probe([(-60, 60.0)]), Moments(now_s=20_000, on_s=0))
    assert (late.state, late.needs) == ("unknown", ("cleared",))
    unchecked = set_out(probe([(-60, 60.0)], None), Moments(now_s=9, on_s=0, cut_s=9))
    assert (unchecked.state, unchecked.needs) == ("unknown", ("probe_check",))


def test_a_stretch_is_covered_to_its_ends():
    line = probe([(0, 1.0), (1000, 1.0), (2000, 1.0)])
    assert is_covered(line, 0, 2000, 1200)
    assert is_covered(line, 100, 3000, 1200)
    assert not is_covered(line, 100, 3300, 1200)
    assert not is_covered(line, None, 100, 1200)
    assert is_covered(probe([(0, 1.0), (1000, 1.0)]), 100, 900, 1200)
    assert not is_covered(probe([(0, 1.0), (1300, 1.0)]), 100, 900, 1200)


def test_a_probe_in_boiling_water_before_the_cook_reaches_nothing():
    early = probe([(-600, 99.5), (0, 4.0), (600, 20.0), (1200, 40.0)])
    at = Moments(now_s=1200, on_s=0)
    assert least_temperature([early], C165, at).state == "running"
    assert held_at([early], "food-code-roast", at).state == "running"
    # Nobody said when it went on: a hot reading may be of anything.
    found = least_temperature([early], C165, Moments(now_s=1200))
    assert (found.state, found.needs) == ("unknown", ("on",))


def test_a_silence_that_all_probes_share_is_a_silence():
    ends = probe([(0, 70.0), (3000, 70.0)])
    at = Moments(now_s=10_000, on_s=0)
    assert coldest([ends, ends], 1200).longest_s(60.0) == 0.0
    assert held_at([ends, ends], "food-code-roast", at).state == "met"  # 70 °C is at once
    assert held_at([ends, ends], "food-code-intact", at).state == "running"


def test_the_first_spot_to_cool_starts_the_two_hours():
    hot = probe([(t, 65.0) for t in range(0, 9001, 600)])
    cool = probe([(t, 65.0 if t < 2000 else 50.0) for t in range(0, 9001, 600)], name="edge")
    at = Moments(now_s=14_000, off_s=0, chilled_s=9000)
    assert left_out([hot], at, ambient_c=35.0).state == "met"
    assert left_out([hot, cool], at, ambient_c=35.0).state == "missed"


# --- what must hold whatever was read ----------------------------------------------------------


def _curve(points):
    return (np.cumsum([s for s, _ in points]).astype(float), np.array([c for _, c in points]))


steps = st.one_of(st.integers(1, 1500), st.sampled_from([300, 600, 1200]))
#: Anything, and what lies about the lines for most of the time, as meat does.
curves = st.one_of(
    st.lists(st.tuples(steps, st.floats(0.0, 100.0)), min_size=1, max_size=40).map(_curve),
    st.tuples(
        st.floats(54.0, 72.0),
        st.lists(
            st.tuples(steps, st.sampled_from([0, 0, 0, 0, 1, -1, -8])), min_size=4, max_size=40
        ),
    ).map(lambda flat: _curve([(step, flat[0] + off) for step, off in flat[1]])),
)
probes_ = st.lists(curves, min_size=1, max_size=3)
moments = st.builds(
    lambda on, off, cut, ended: Moments(60_000.0, on, off, cut, None, ended),
    st.sampled_from([None, 0.0, 500.0]),
    st.sampled_from([None, 600.0, 5000.0, 20_000.0]),
    st.sampled_from([None, 4000.0, 5100.0, 9000.0, 30_000.0]),
    st.booleans(),
)
LIMITS = {
    "least": lambda some, at: least_temperature(some, C145, at, rest_s=180.0),
    "roast": lambda some, at: held_at(some, "food-code-roast", at),
    "plant": lambda some, at: held_at(some, "appendix-a-6.5", at),
    "hold": lambda some, at: kept_hot(some, 60.0, at),
    "left out": lambda some, at: left_out(
        some,
        dataclasses.replace(at, chilled_s=(at.off_s or 0.0) + 9000.0),
        ambient_c=20.0,
        warmed=True,
    ),
    "reheated": lambda some, at: reheated(some, C145, at),
    "reheated in time": lambda some, at: reheat_time(some, C145, 7200.0, at),
}


def made(given_curves, tolerance):
    return [Probe(str(n), times, temps, tolerance) for n, (times, temps) in enumerate(given_curves)]


@pytest.mark.parametrize("limit", LIMITS)
@settings(max_examples=150, deadline=None)
@given(probes_, moments, st.data())
def test_adding_heat_never_turns_met_to_missed(limit, some, at, data):
    cold = made(some, TOLERANCE)
    warm = [
        dataclasses.replace(
            one,
            temperature_c=one.temperature_c
            + np.array(
                data.draw(
                    st.lists(st.floats(0, 40), min_size=len(one.time_s), max_size=len(one.time_s))
                )
            ),
        )
        for one in cold
    ]
    if LIMITS[limit](cold, at).state == "met":
        assert LIMITS[limit](warm, at).state == "met"


#: Meat on a fire and off it: up, then down. A dip between two hot readings is a probe that was moved,
#: and one that is hidden hides it too: holds and the two hours are tried on these.
humps = st.tuples(
    st.lists(st.tuples(steps, st.floats(0.0, 12.0)), min_size=1, max_size=12),
    st.lists(st.tuples(steps, st.floats(0.0, 1.5)), max_size=20),
    st.lists(st.tuples(steps, st.floats(0.0, 12.0)), max_size=12),
    st.floats(58.0, 75.0),
).map(
    lambda one: _curve(
        [
            *zip(
                [s for s, _ in one[0]],
                one[3] - np.cumsum([c for _, c in one[0]])[::-1],
                strict=True,
            ),
            *((s, one[3]) for s, _ in one[1]),
            *zip([s for s, _ in one[2]], one[3] - np.cumsum([c for _, c in one[2]]), strict=True),
        ]
    )
)
WILD = {"least", "hold", "reheated", "reheated in time"}


def hide(data, seen):
    kept = [keep(data, len(one.time_s)) for one in seen]
    return [
        dataclasses.replace(one, time_s=one.time_s[each], temperature_c=one.temperature_c[each])
        for one, each in zip(seen, kept, strict=True)
    ]


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize("tolerance", [TOLERANCE, None])
@settings(max_examples=150, deadline=None)
@given(st.data(), moments)
def test_hiding_readings_never_turns_unknown_to_met(limit, tolerance, data, at):
    some = data.draw(st.lists(curves if limit in WILD else humps, min_size=1, max_size=3))
    seen = made(some, tolerance)
    if LIMITS[limit](seen, at).state == "unknown":
        assert LIMITS[limit](hide(data, seen), at).state != "met"


falls = st.lists(
    st.tuples(st.integers(60, 7200), st.floats(0.0, 9.0)), min_size=2, max_size=12
).map(
    lambda steps: (
        np.cumsum([s for s, _ in steps]).astype(float),
        90.0 - np.cumsum([c for _, c in steps]),
    )
)


@settings(max_examples=300, deadline=None)
@given(st.lists(falls, min_size=1, max_size=2), st.integers(3600, 30_000), st.data())
def test_of_food_that_cools_more_heat_and_more_readings_never_cost_the_two_hours(
    some, chilled_s, data
):
    at = Moments(60_000.0, 0.0, 0.0, None, float(chilled_s))
    cold = made(some, TOLERANCE)
    warm = [
        dataclasses.replace(one, temperature_c=one.temperature_c + data.draw(st.floats(0, 20)))
        for one in cold
    ]
    found = left_out(cold, at, ambient_c=20.0).state
    if found == "met":
        assert left_out(warm, at, ambient_c=20.0).state == "met"
    if found == "unknown":
        assert left_out(hide(data, cold), at, ambient_c=20.0).state != "met"


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(hold_tables())), st.floats(40, 100), st.floats(0, 40))
def test_a_colder_core_is_never_asked_for_less(name, warm_c, colder_k):
    from stallwise.tables.limits import hold_s

    asked, colder = hold_s(name, warm_c), hold_s(name, warm_c - colder_k)
    assert colder is None or (asked is not None and colder >= asked)
