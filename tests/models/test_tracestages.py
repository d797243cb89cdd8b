"""Stages read from made-up cores whose stages are known."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models.tracegrid import Sign, even
from stallwise.models.tracestages import core_signs, pit_signs
from tests.models import traces as made
from tests.models.traces import HOUR

PIT_C = 112.0


def read(knots, step_s=60.0, **known):
    time_s = made.times(knots[-1][0], step_s)
    pit = {"pit_s": time_s, "pit_c": np.full(len(time_s), PIT_C)}
    return core_signs(time_s, made.noisy(made.curve(time_s, knots)), **(pit | known))


def of(signs, kind) -> list[Sign]:
    return [sign for sign in signs if sign.kind == kind]


@pytest.mark.parametrize("step_s", [1.0, 60.0, 600.0])
def test_a_stall_is_found_at_any_pace_of_reading(step_s):
    (stall,) = of(read(made.ONE, step_s), "stall")
    assert stall.at_s / HOUR == pytest.approx(4.1, abs=0.35)
    assert stall.until_s / HOUR == pytest.approx(8.0, abs=0.35)
    assert stall.temperature_c == pytest.approx(69.0, abs=1.5)
    assert stall.confidence > 0.6


@pytest.mark.parametrize("known", [True, False])
def test_a_core_that_nears_its_pit_does_not_stall(known):
    time_s = made.times(14.0)
    pit = {"plan_s": np.array([0.0]), "plan_c": np.array([98.0])} if known else {}
    signs = core_signs(time_s, made.noisy(made.nearing(time_s)), **pit)
    # Without a word of the pit it is taken hotter than it is: then only less is sure.
    assert all(sign.confidence < 0.8 for sign in of(signs, "stall"))
    assert not (known and of(signs, "stall"))


def test_two_stalls_are_two():
    first, second = of(read(made.TWO), "stall")
    assert first.until_s < second.at_s
    assert (first.temperature_c, second.temperature_c) == pytest.approx((60.5, 77.8), abs=1.0)


@pytest.mark.parametrize(("knots", "core_c"), [(made.LOW, 60.0), (made.HIGH, 81.1)])
def test_a_stall_may_be_at_140_f_or_at_178_f(knots, core_c):
    (stall,) = of(read(knots), "stall")
    assert stall.temperature_c == pytest.approx(core_c, abs=1.5)


def test_a_dip_after_a_wrap_is_no_stall():
    assert of(read(made.WRAP_DIP), "stall")
    assert not of(read(made.WRAP_DIP, wraps_s=[4.05 * HOUR]), "stall")


def test_a_stall_goes_on_through_its_wrap():
    (stall,) = of(read(made.ONE, wraps_s=[6.0 * HOUR]), "stall")
    assert stall.until_s > 7.5 * HOUR


def test_a_wrap_is_seen_in_a_sharp_turn_and_surer_with_an_open_lid():
    (alone,) = of(read(made.LOW), "wrapped")
    time_s = made.times(8.0)
    pit_c = made.opened(time_s, np.full(len(time_s), PIT_C), [4.8])
    (seen,) = of(read(made.LOW, pit_c=pit_c), "wrapped")
    assert seen.at_s == pytest.approx(4.8 * HOUR, abs=180.0)
    assert seen.confidence > 0.5 > alone.confidence


def test_cooling_is_off_the_fire_and_nothing_stalls_afterwards():
    knots = [*made.ONE, (11.7, 93), (16.0, 62), (20.0, 58)]
    signs = read(knots)
    (off,) = of(signs, "off")
    assert off.at_s / HOUR == pytest.approx(11.7, abs=0.4)
    assert len(of(signs, "stall")) == 1


def test_a_hint_to_feel_is_never_sure_and_only_where_wanted():
    assert not of(read(made.ONE), "feel_check")
    (hint,) = of(read(made.ONE, hint_c=90.6), "feel_check")
    assert hint.at_s > 10.5 * HOUR
    assert hint.confidence < 0.6


def test_a_gap_is_told_and_makes_less_sure():
    time_s = made.times(11.5)
    core_c = made.curve(time_s, made.ONE)
    (whole,) = of(core_signs(time_s, core_c), "stall")
    core_c[(time_s > 4.5 * HOUR) & (time_s < 7.5 * HOUR)] = np.nan
    (torn,) = of(core_signs(time_s, core_c), "stall")
    assert torn.confidence < 0.7 * whole.confidence
    assert "gap" in torn.why


def test_meat_on_is_where_the_probe_fell_to_cold_meat():
    time_s = made.times(6.0)
    core_c = np.interp(time_s / HOUR, [0.0, 0.3, 0.35, 0.8, 6.0], [22.0, 22.0, 4.0, 5.0, 65.0])
    (on,) = of(core_signs(time_s, core_c), "meat_on")
    assert on.at_s == pytest.approx(0.35 * HOUR, abs=300.0)


def test_no_reading_no_stage():
    assert core_signs(np.array([]), np.array([])) == ()
    assert core_signs(np.array([0.0, 60.0]), np.array([np.nan, np.nan])) == ()
    assert even(np.array([0.0]), np.array([4.0])) is None


def everything(time_s, core_c, pit_c, until_s=np.inf):
    seen = time_s <= until_s
    pit = {"pit_s": time_s[seen], "pit_c": pit_c[seen]}
    return [
        *core_signs(time_s[seen], core_c[seen], **pit),
        *pit_signs(time_s[seen], pit_c[seen]),
    ]


DAYS = [made.ONE, made.TWO, made.LOW, made.HIGH]


@settings(max_examples=12, deadline=None)
@given(st.sampled_from(DAYS), st.integers(0, 2**16))
def test_noise_moves_no_stage(knots, seed):
    time_s = made.times(knots[-1][0], 10.0)
    core_c = made.curve(time_s, knots)
    pit_c = made.opened(time_s, made.swinging(time_s, 2.0), [1.5, 3.7])
    calm = everything(time_s, core_c, pit_c)
    rough = everything(time_s, made.noisy(core_c, seed), made.noisy(pit_c, seed + 1))
    assert sorted(one.kind for one in calm) == sorted(one.kind for one in rough)
    key = lambda one: (one.kind, one.at_s)  # noqa: E731 - used once
    for one, other in zip(sorted(calm, key=key), sorted(rough, key=key), strict=True):
        assert abs(one.at_s - other.at_s) <= 600.0
        if one.until_s is not None:
            assert abs(one.until_s - other.until_s) <= 600.0


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(DAYS), st.floats(1.0, 11.0), st.integers(0, 2**16))
def test_later_readings_take_no_stage_back(knots, now_h, seed):
    time_s = made.times(knots[-1][0])
    core_c = made.noisy(made.curve(time_s, knots), seed)
    core_c[(time_s > 5.0 * HOUR) & (time_s < 5.1 * HOUR)] += 25.0
    pit_c = made.noisy(made.opened(time_s, np.full(len(time_s), PIT_C), [1.5, 3.7, 6.2]), seed)
    pit_c -= np.interp(time_s / HOUR, [7.0, 7.5, 8.2, 8.5], [0.0, 30.0, 30.0, 0.0])
    now_s = now_h * HOUR

    def settled(one):
        # a wrap is told by the core, which turns well after it in a thick piece
        return one.at_s <= now_s - (5400.0 if one.kind == "wrapped" else 1800.0)

    def there(until_s):
        signs = everything(time_s, core_c, pit_c, until_s)
        return sorted((one.kind, one.at_s) for one in signs if settled(one))

    assert there(now_s) == there(np.inf)


def test_a_day_of_six_probes_is_read_at_once():
    time_s = np.arange(0.0, 24 * HOUR, 10.0)
    core_c, pit_c = made.noisy(made.nearing(time_s, tau_h=6.0)), made.swinging(time_s)
    core_signs(time_s, core_c, pit_s=time_s, pit_c=pit_c)
    best = np.inf
    for _ in range(3):
        start = time.perf_counter()
        for _ in range(5):
            core_signs(time_s, core_c, pit_s=time_s, pit_c=pit_c)
        pit_signs(time_s, pit_c)
        best = min(best, time.perf_counter() - start)
    assert best < 0.3
