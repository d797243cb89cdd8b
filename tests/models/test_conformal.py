"""Widening learned from past misses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import InputError
from stallwise.models.conformal import (
    conformal_quantile,
    miss_widths,
    widen,
    widen_stages,
    widening,
)

RULE = {"level": 0.8, "least": 8, "widest": 2.5}
INF = float("inf")
Z80 = stats.norm.ppf(0.9)


def test_the_next_one_counts_as_beyond_all_others() -> None:
    scores = [0.4, 0.1, 0.3, 0.2]
    assert conformal_quantile(scores, 0.8) == 0.4
    assert conformal_quantile(scores[:3], 0.8) == INF
    assert conformal_quantile([], 0.8) == INF
    # Two alike in one weight of one count as one.
    assert conformal_quantile([1.0, 1.0, 2.0, 3.0], 0.5, [0.5, 0.5, 1.0, 1.0]) == 2.0
    with pytest.raises(InputError, match="weight"):
        conformal_quantile(scores, 0.8, [1.0])


def test_a_miss_counts_in_half_widths_of_its_side() -> None:
    # As of 2 h: 4 h left to the middle, 2 h to the early end, 16 h to the late end.
    window = (4.0, 6.0, 18.0)
    assert miss_widths([6.0, 4.0, 18.0, 3.0, 10.0], window, 2.0) == pytest.approx([0, 1, 1, 2, 0.5])
    assert miss_widths([1.0, 2.0], window, 2.0).tolist() == [INF, INF]
    assert miss_widths([99.0], (4.0, 6.0, INF), -3.0).tolist() == [0.0]
    assert miss_widths([6.0, 6.1], (6.0, 6.0, 6.0)).tolist() == [0.0, INF]
    with pytest.raises(InputError, match="window"):
        miss_widths([1.0], (4.0, 3.0, 5.0))


def test_a_window_drawn_out_holds_misses_of_up_to_the_factor() -> None:
    window, as_of = (4.0, 6.0, 18.0), 2.0
    early, middle, late = widen(window, as_of, 1.7)
    assert middle == 6.0
    assert miss_widths([early, late], window, as_of) == pytest.approx([1.7, 1.7])


@given(
    st.lists(st.floats(0.1, 60.0) | st.just(INF), min_size=1, max_size=40),
    st.floats(-5.0, 50.0),
    st.floats(1.0, 2.5),
)
def test_widening_keeps_order_median_and_the_past(times: list, as_of: float, factor: float) -> None:
    given_times = np.sort(times)
    drawn = widen(given_times, as_of, factor)
    assert np.all(drawn[1:] >= drawn[:-1])
    past = given_times <= max(as_of, 0.0)
    assert np.array_equal(drawn[past], given_times[past])
    assert np.all(drawn[~past] >= max(as_of, 0.0))
    assert np.array_equal(np.isinf(drawn), np.isinf(given_times))
    middle = (len(times) - 1) // 2
    if len(times) % 2 and np.isfinite(given_times[middle]):
        assert drawn[middle] == pytest.approx(given_times[middle])


def test_few_cooks_teach_nothing_and_no_factor_is_beyond_the_limit() -> None:
    assert widening([], **RULE).asked is None
    few = widening([[2.0]] * 7, **RULE)
    assert (few.factor, few.cooks, few.enough) == (1.0, 7, False)
    assert widening([[2.0], *[[]] * 5, *[[2.0]] * 7], **RULE).factor == 2.0
    assert widening([[0.3]] * 9, **RULE).factor == 1.0
    assert widening([[9.0]] * 9, **RULE).factor == 2.5


def test_one_cook_with_many_forecasts_counts_once() -> None:
    calm = [[0.5]] * 20
    assert widening([*calm, [2.0] * 500], **RULE).asked == 0.5


def _next_day_is_inside(days: np.random.Generator, cooks: int, spread: float) -> bool:
    """Learn from some cooks whose windows are too narrow or wide, then look at the next one."""
    true = days.normal(0.0, 0.2 * spread, cooks + 1)
    window = tuple(8.0 * np.exp(0.2 * Z80 * np.array([-1.0, 0.0, 1.0])))
    misses = [miss_widths([8.0 * np.exp(day)], window) for day in true[:-1]]
    early, _, late = widen(window, 0.0, widening(misses, **RULE).factor)
    return bool(early <= 8.0 * np.exp(true[-1]) <= late)


@pytest.mark.parametrize(
    ("spread", "low", "high"), [(1.0, 0.80, 0.90), (1.6, 0.78, 0.88), (0.5, 0.97, 1.0)]
)
def test_windows_hold_on_the_next_cook(spread: float, low: float, high: float) -> None:
    """Right, too narrow and too wide forecasts; never drawn in, so more than 80 % may be held."""
    days = np.random.default_rng(11)
    held = np.mean([_next_day_is_inside(days, 12, spread) for _ in range(3000)])
    assert low <= held <= high


def test_without_limits_the_level_is_kept_exactly() -> None:
    """Exchangeable misses: ceil(0.8 (n + 1)) of n + 1 places, here 8 of 10 for nine cooks."""
    days = np.random.default_rng(3)
    held = [
        (each := days.lognormal(size=10))[-1] <= conformal_quantile(each[:-1], 0.8)
        for _ in range(6000)
    ]
    # Three standard errors of 6000 throws.
    assert np.mean(held) == pytest.approx(0.8, abs=3 * np.sqrt(0.16 / 6000))


def test_forecasts_that_are_too_narrow_are_widened() -> None:
    days = np.random.default_rng(5)
    window = tuple(8.0 * np.exp(0.1 * Z80 * np.array([-1.0, 0.0, 1.0])))
    misses = [miss_widths([8.0 * np.exp(day)], window) for day in days.normal(0.0, 0.17, 400)]
    assert widening(misses, **RULE).factor == pytest.approx(1.7, abs=0.15)


def _days(rng: np.random.Generator, as_of: float, count: int = 60) -> tuple[dict, np.ndarray]:
    """Stages of made-up days, some never tender, each in the order in which stages come."""
    start = max(as_of, 0.0)
    tender = start + 6.0 * np.exp(0.3 * rng.normal(size=count))
    tender[rng.random(count) < 0.1] = INF
    stall = np.where(np.isfinite(tender), 0.4 * tender, 3.0)
    stages = {
        "bark_set": 0.3 * stall,
        "stall_start": stall,
        "wrapped": np.where(tender > 5.0, 5.0, INF),
        "stall_end": np.where(np.isfinite(tender), 0.8 * tender, 9.0),
        "tender": tender,
        "rested": tender + 0.75,
    }
    return stages, rng.uniform(0.2, 1.0, count)


@given(st.integers(0, 10_000), st.floats(-3.0, 8.0))
def test_a_factor_of_one_changes_no_bit(seed: int, as_of: float) -> None:
    stages, weights = _days(np.random.default_rng(seed), as_of)
    drawn = widen_stages(stages, as_of, 1.0, weights)
    assert list(drawn) == list(stages)
    assert all(drawn[name].tobytes() == stages[name].tobytes() for name in stages)


@given(
    st.integers(0, 10_000),
    st.floats(-3.0, 8.0),
    st.floats(1.0, 2.5),
    st.floats(1.0, 2.5),
)
def test_a_bigger_factor_never_narrows_and_days_stay_days(
    seed: int, as_of: float, one: float, other: float
) -> None:
    stages, weights = _days(np.random.default_rng(seed), as_of)
    small, large = (widen_stages(stages, as_of, f, weights) for f in sorted((one, other)))
    levels = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
    narrow, wide = (quantiles(each["tender"], levels, weights) for each in (small, large))
    slack = 1e-9 * np.where(np.isfinite(narrow), narrow, 1.0)
    assert np.all(wide[:3] <= narrow[:3] + slack[:3])
    assert np.all(wide[4:] >= narrow[4:] - slack[4:])
    assert wide[3] == pytest.approx(narrow[3], rel=0.01)
    order = np.argsort(stages["tender"], kind="stable")
    finish = large["tender"]
    assert np.all(finish[order][1:] >= finish[order][:-1])
    # Each day goes in its order, nothing of the past is moved, and the rest is as long as it was.
    reached = np.isfinite(finish)
    assert np.array_equal(reached, np.isfinite(stages["tender"]))
    assert np.all(large["stall_end"][reached] <= finish[reached] + 1e-9)
    assert np.allclose(large["rested"][reached] - finish[reached], 0.75)
    assert np.all(large["wrapped"][np.isfinite(large["wrapped"])] == 5.0)
    for name in ("bark_set", "stall_start", "stall_end"):
        past = stages[name] <= max(as_of, 0.0)
        assert np.array_equal(large[name][past], stages[name][past])
