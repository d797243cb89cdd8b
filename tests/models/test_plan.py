"""Plans: pit curves, wraps, facts, and the steps made of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError, OutOfRangeError
from stallwise.models.draws import draw
from stallwise.models.plan import (
    Body,
    Facts,
    Knowledge,
    Learned,
    PiecePlan,
    PitChange,
    PitCurve,
    Spritz,
    Target,
    Wrap,
)
from stallwise.models.schedule import pit_ahead, schedule
from stallwise.tables.properties import Composition

HOUR = 3600.0
MEAT = Composition(water=0.69, protein=0.17, fat=0.12, ash=0.01)
SHOULDER = Body(3.6, 0.0575, 0.076, 0.097, MEAT, "lean", "pork-shoulder")


def plan(**changes):
    given = {"key": "A", "cut": "pork-shoulder-bone-in", "body": SHOULDER}
    given |= {"target": Target("dose", 1.0), "pit": PitCurve.steady(110.0)}
    return PiecePlan(**(given | changes))


def steps(piece, hours=10.0, **changes):
    usual = {"horizon_s": hours * HOUR, "step_s": 120.0, "record_s": 600.0}
    return schedule(piece, **(usual | changes))


def test_a_pit_curve_is_straight_between_points_and_held_at_the_ends():
    curve = PitCurve((0.0, 3600.0, 7200.0), (107.0, 107.0, 135.0))
    assert curve.at(np.array([-10.0, 1800.0, 5400.0, 9000.0])).tolist() == [107, 107, 121, 135]


def test_a_jump_has_two_sides():
    curve = PitCurve((0.0, 100.0, 100.0), (90.0, 90.0, 150.0))
    assert (float(curve.at(100.0, before=True)), float(curve.at(100.0))) == (90.0, 150.0)


@given(
    st.lists(st.tuples(st.floats(0, 1e5), st.floats(20, 300)), min_size=1, max_size=8),
    st.floats(-1e4, 2e5),
    st.floats(1.0, 1e4),
)
def test_the_integral_of_a_curve_is_the_area_under_it(points, start, length):
    points.sort()
    curve = PitCurve(*(tuple(column) for column in zip(*points, strict=True)))
    time = np.linspace(start, start + length, 2001)
    area = np.trapezoid(curve.at(time), time)
    found = float(curve.integral(start + length) - curve.integral(start))
    assert found == pytest.approx(area, abs=280.0 * length / 2000 * (len(points) + 1))


@pytest.mark.parametrize(
    ("times", "values", "error"),
    [
        ((), (), InputError),
        ((0.0,), (107.0, 120.0), InputError),
        ((10.0, 0.0), (107.0, 120.0), InputError),
        ((0.0,), (900.0,), OutOfRangeError),
    ],
)
def test_an_impossible_curve_is_refused(times, values, error):
    with pytest.raises(error):
        PitCurve(times, values)


def test_a_wrap_needs_to_know_when():
    for wrong in (
        {"kind": "foil"},
        {"kind": "foil", "earliest_s": 9.0},
        {"kind": "foil", "earliest_s": 9.0, "latest_s": 8.0},
        {"kind": "foil", "at_s": 9.0, "core_c": 70.0},
    ):
        with pytest.raises(InputError):
            Wrap(**wrong)
    with pytest.raises(NotFoundError, match="paper"):
        Wrap("papr", at_s=1.0)


def test_frozen_meat_is_refused_with_what_to_do():
    with pytest.raises(OutOfRangeError, match="Thaw"):
        plan(start_core_c=-5.0)


def test_tender_before_not_yet_is_refused():
    with pytest.raises(InputError, match="not yet"):
        Facts(20_000.0, not_tender_s=18_000.0, tender_s=17_000.0)


def test_each_day_draws_its_own_moment_in_the_window():
    early, late = 2.75 * HOUR, 3.5 * HOUR
    drawn = draw(plan(wrap=Wrap("foil", early, late)), seed=1, members=200).members
    moments = drawn["wrap_latest_s"]
    assert np.array_equal(moments, drawn["wrap_earliest_s"])
    assert early < np.min(moments) < np.max(moments) < late
    assert np.median(moments) == pytest.approx((early + late) / 2.0, abs=30.0)
    # triangular: half of the days lie in the middle 29 % of the window
    inner = np.abs(moments - (early + late) / 2.0) < 0.1465 * (late - early)
    assert np.mean(inner) == pytest.approx(0.5, abs=0.02)


def test_a_window_bounds_a_wrap_by_core_temperature():
    drawn = draw(plan(wrap=Wrap("foil", 3.0 * HOUR, 6.0 * HOUR, core_c=71.0)), seed=1, members=20)
    row = drawn.members[0]
    assert (row["wrap_earliest_s"], row["wrap_latest_s"], row["wrap_core_c"]) == (10800, 21600, 71)


def test_what_is_logged_wins_over_what_was_planned():
    facts = Facts(5.0 * HOUR, wrapped_s=4.0 * HOUR, wrap_kind="paper")
    row = draw(plan(wrap=Wrap("foil", at_s=HOUR), facts=facts), seed=1, members=20).members[0]
    assert row["wrap_latest_s"] == 4.0 * HOUR
    assert row["wrap_leak"] == 0.0  # paper leaks as it breathes
    still_bare = plan(wrap=Wrap("foil", HOUR, 2.0 * HOUR), facts=Facts(5.0 * HOUR))
    assert np.all(draw(still_bare, seed=1, members=20).members["wrap_latest_s"] == 5.0 * HOUR)


def test_knowledge_replaces_middle_and_spread():
    learned = Knowledge(
        "seven cooks",
        pits={"smoker": {"pit.offset.grate": Learned(-8.0, 1.0)}},
        cuts={"pork-shoulder-bone-in": {"tender.t95": Learned(12_000.0, 0.1)}},
    )
    piece = plan(pit_name="smoker")
    usual = draw(piece, seed=1, members=200)
    taught = draw(piece, seed=1, members=200, knowledge=learned)
    offset = taught.drawn["smoker: pit.offset.grate"]
    assert (np.mean(offset), np.std(offset)) == pytest.approx((-8.0, 1.0), abs=0.02)
    assert np.array_equal(taught.pits[:, 0, 0], offset)
    assert np.median(taught.members["finish_dose"]) > np.median(usual.members["finish_dose"])
    assert np.array_equal(taught.drawn["meat.thickness"], usual.drawn["meat.thickness"])
    elsewhere = draw(plan(pit_name="oven"), seed=1, members=200, knowledge=learned)
    assert np.mean(elsewhere.drawn["oven: pit.offset.grate"]) == pytest.approx(0.5, abs=0.05)


def test_readings_then_plan_with_half_of_the_difference():
    facts = Facts(4.0 * HOUR, pit=PitCurve((0.0, 4.0 * HOUR), (100.0, 100.0)))
    ahead = pit_ahead(plan(facts=facts))
    assert float(ahead.at(2.0 * HOUR)) == 100.0
    assert float(ahead.at(4.0 * HOUR, before=True)) == 100.0
    assert float(ahead.at(6.0 * HOUR)) == pytest.approx(105.0)


def test_a_move_ends_what_the_first_pit_taught():
    facts = Facts(4.0 * HOUR, pit=PitCurve((0.0,), (100.0,)))
    curve = PitCurve((0.0, 6.0 * HOUR, 6.0 * HOUR), (110.0, 110.0, 140.0))
    moved = plan(facts=facts, pit=curve, pit_changes=(PitChange(6.0 * HOUR, "kitchen"),))
    ahead = pit_ahead(moved)
    assert float(ahead.at(5.0 * HOUR)) == pytest.approx(105.0)
    assert float(ahead.at(7.0 * HOUR)) == 140.0


def test_every_shared_event_lies_on_the_grid():
    curve = PitCurve((0.0, 5000.5, 9000.25), (107.0, 107.0, 135.0))
    piece = plan(
        pit=curve,
        spritz=(Spritz(8888.8, 0.2),),
        pit_changes=(PitChange(12_345.6, "kitchen"),),
        facts=Facts(7777.7),
    )
    made = steps(piece, spritz_stays=0.5)
    for time in (5000.5, 9000.25, 8888.8, 12_345.6, 7777.7):
        assert np.min(np.abs(made.times - time)) < 1e-6
    starts = made.times[:-1]
    assert np.max(np.diff(made.times)) <= 120.0
    assert made.spray[np.searchsorted(starts, 8888.8)] == pytest.approx(0.1)
    assert np.sum(made.spray) == pytest.approx(0.1)
    assert np.array_equal(made.pit_of_step, (starts >= 12_345.6).astype(int))
    assert np.array_equal(made.later, starts >= 7777.7)
    assert np.array_equal(made.times[made.row_at >= 0], np.arange(61) * 600.0)


def test_a_dense_trace_is_averaged_not_cut():
    time = np.arange(0.0, 10 * HOUR, 10.0)
    noisy = PitCurve(tuple(time), tuple(107.0 + 5.0 * np.sin(time / 3.0)))
    made = steps(plan(pit=noisy))
    assert len(made.times) == 301
    whole = float(noisy.integral(10 * HOUR))
    assert np.sum(made.nominal_c[:, 0] * np.diff(made.times)) == pytest.approx(whole)


def test_steps_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="step"):
        steps(plan(), step_s=0.0)
