"""Scores of a few quantiles against outcomes that were only bracketed."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stallwise.ground.errors import InputError
from stallwise.models.scores import (
    crps_from_quantiles,
    inside_share,
    likely_times,
    probability_by,
    time_at,
)

LEVELS = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]
WINDOW = [7.5, 8.0, 9.0, 10.0, 11.2, 12.8, 14.0]
INF = float("inf")


def test_the_pinball_sum_tends_to_the_integral_for_a_normal() -> None:
    # Closed form for a normal distribution: Gneiting and Raftery 2007, section 4.2, eq. 21.
    z = 0.7
    closed = z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - 1 / np.sqrt(np.pi)
    levels = (np.arange(4000) + 0.5) / 4000
    assert crps_from_quantiles(z, stats.norm.ppf(levels), levels) == pytest.approx(closed, abs=1e-4)


def test_a_normal_forecast_is_known_between_and_beyond_its_quantiles() -> None:
    values = stats.norm(10, 2).ppf(LEVELS)
    for time in (3.0, 7.1, 9.4, 10.0, 12.9, 15.0):
        assert probability_by(time, values, LEVELS) == pytest.approx(stats.norm.cdf(time, 10, 2))
    for probability in (0.001, 0.05, 0.4, 0.99):
        assert probability_by(
            time_at(probability, WINDOW, LEVELS), WINDOW, LEVELS
        ) == pytest.approx(probability)
    assert [time_at(p, WINDOW, LEVELS) for p in (0.0, 1.0)] == [-INF, INF]
    assert time_at(0.92, [*WINDOW[:5], INF, INF], LEVELS) == INF


def test_a_bracket_is_in_out_or_across_an_end() -> None:
    assert inside_share(WINDOW, LEVELS, (9.0, 9.5), 0.8) == 1.0
    assert inside_share(WINDOW, LEVELS, (6.0, 7.9), 0.8) == 0.0
    assert 0.3 < inside_share(WINDOW, LEVELS, (7.7, 8.3), 0.8) < 0.9
    assert inside_share(WINDOW, LEVELS, (8.0, 8.0), 0.8) == 1.0
    assert inside_share(WINDOW, LEVELS, (40.0, 41.0), 0.8) == 0.0
    # Nobody looked before it was tender: all that is left open weighs as the forecast says.
    assert inside_share(WINDOW, LEVELS, (0.0, INF), 0.8) == pytest.approx(0.8)
    assert inside_share([*WINDOW[:5], 12.8, INF], LEVELS, (13.0, 14.0), 0.8) == 0.0
    # A late end that was not reached is open: nothing is later.
    assert inside_share([*WINDOW[:5], INF, INF], LEVELS, (30.0, 31.0), 0.8) == 1.0
    assert inside_share([9.0] * 7, LEVELS, (9.0, 9.0), 0.8) == 1.0


def test_likely_times_lie_in_the_bracket_and_follow_the_forecast() -> None:
    times = likely_times(WINDOW, LEVELS, (7.0, 10.0), 200)
    assert np.all((times >= 7.0) & (times <= 10.0) & (np.diff(times, prepend=0.0) > 0.0))
    early = probability_by(8.0, WINDOW, LEVELS) - probability_by(7.0, WINDOW, LEVELS)
    whole = 0.5 - probability_by(7.0, WINDOW, LEVELS)
    assert np.mean(times < 8.0) == pytest.approx(early / whole, abs=0.01)
    assert likely_times(WINDOW, LEVELS, (90.0, 91.0), 2).tolist() == [90.25, 90.75]
    assert likely_times(WINDOW, LEVELS, (90.0, INF), 2).tolist() == [90.0, 90.0]


@pytest.mark.parametrize("every", [0.25, 0.5, 1.5])
@pytest.mark.parametrize("level", [0.5, 0.8, 0.9])
def test_looks_apart_bias_nothing(every: float, level: float) -> None:
    """Looks every so often from 8 h on give the coverage that an endless watch gives."""
    days = np.random.default_rng(7)
    middle, sd = np.log(10.0), 0.12
    count = 3000
    # The forecasts know part of what makes the day; the rest is their spread.
    known = days.normal(0.0, 0.1, count)
    truth = np.exp(middle + known + days.normal(0.0, sd, count))
    got, exact = [], []
    bends = sd * stats.norm.ppf(LEVELS)
    for at, day in zip(truth, known, strict=True):
        values = np.exp(middle + day + bends)
        first = 8.0 + days.uniform(0.0, every)
        step = np.ceil((at - first) / every)
        high = first + max(step, 0) * every
        low = high - every if step > 0 else 0.0
        got.append(inside_share(values, LEVELS, (low, high), level))
        low_end, high_end = (
            np.interp(p, LEVELS, values) for p in (0.5 - level / 2, 0.5 + level / 2)
        )
        exact.append(low_end <= at <= high_end)
    assert np.mean(got) == pytest.approx(level, abs=0.015)
    assert np.mean(got) == pytest.approx(np.mean(exact), abs=0.02)


def test_what_is_no_forecast_is_refused() -> None:
    with pytest.raises(InputError, match="ascending"):
        probability_by(1.0, [2.0, 1.0], [0.1, 0.9])
    with pytest.raises(InputError, match="one probability"):
        crps_from_quantiles(1.0, [2.0], [0.1, 0.9])
    with pytest.raises(InputError, match="two or more"):
        probability_by(1.0, [2.0, INF], [0.1, 0.9])
    with pytest.raises(InputError, match="bracket"):
        inside_share(WINDOW, LEVELS, (5.0, 4.0), 0.8)
