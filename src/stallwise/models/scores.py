"""How well a forecast did: scores of a few quantiles against an outcome that was only bracketed.

Nobody sees the minute at which a piece turns tender: a cook sees "not yet" at one look and
"tender" at the next. An outcome is therefore a bracket, and a score is the mean over it, each
moment in it weighed as the forecast weighs it. If the forecast is right, that mean is what an
endless watch would have given, however far apart the looks are.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Range

__all__ = ["crps_from_quantiles", "inside_share", "likely_times", "probability_by", "time_at"]

_LEVEL = Range("share of a window", 0.0, 1.0)
_PROBABILITY = Range("probability", 0.0, 1.0)
#: Less of a forecast than this between two looks tells nothing of where in between it was.
_NOTHING = 1e-9
_COUNT = 16
_NORMAL = NormalDist()

Floats = NDArray[np.float64]


def crps_from_quantiles(
    outcome: float, values: Sequence[float], probabilities: Sequence[float]
) -> float:
    """Continuous ranked probability score, from a few quantiles.

    Twice the mean pinball loss: 2/M sum of (outcome - q)(p - 1[outcome < q]). It tends to the
    integral as quantiles are added; with seven it leaves out the tails beyond them, so compare
    it only between forecasts with the same probabilities.

    Parameters
    ----------
    outcome : float
        What happened, in the unit of `values`.
    values : sequence of float
        Quantiles, ascending.
    probabilities : sequence of float
        Of each [-], between 0 and 1.

    Returns
    -------
    float
        Score in the same unit, 0 at best.

    Raises
    ------
    InputError
        If the two are not of one length, or not ascending.

    References
    ----------
    [gneiting-raftery-2007]_

    Examples
    --------
    >>> round(crps_from_quantiles(9.3, [8.0, 10.0, 13.0], [0.1, 0.5, 0.9]), 3)
    0.567
    """
    quantile, level = _checked(values, probabilities)
    losses = (outcome - quantile) * (level - (outcome < quantile))
    return float(2.0 * losses.mean())


def probability_by(time: float, values: Sequence[float], probabilities: Sequence[float]) -> float:
    """Chance that a forecast gives to an outcome up to a time.

    Between the quantiles a straight line on normal paper; beyond the outermost the line from the
    middle one through it goes on, at most to the lowest probability that was not reached.

    Parameters
    ----------
    time : float
        In the unit of `values`; may be infinite.
    values : sequence of float
        Quantiles, ascending; an infinite one was not reached and only says that it is late.
    probabilities : sequence of float
        Of each [-].

    Returns
    -------
    float
        Probability [-].

    Raises
    ------
    InputError
        If the two are not of one length or not ascending, or fewer than two are finite.
    """
    quantile, score = _on_normal_paper(values, probabilities)
    if np.isinf(time):
        return float(time > 0.0)
    if time < quantile[0] or time > quantile[-1]:
        end = 0 if time < quantile[0] else -1
        beyond = _NORMAL.cdf(score[end] + (time - quantile[end]) / _slope(quantile, score, end))
        return min(beyond, _reachable(values, probabilities))
    # Where several quantiles stand at one time, the middle of them.
    same = score[quantile == time]
    return _NORMAL.cdf(float(np.mean(same) if len(same) else np.interp(time, quantile, score)))


def time_at(probability: float, values: Sequence[float], probabilities: Sequence[float]) -> float:
    """Quantile of a forecast between and beyond those kept; the inverse of `probability_by`.

    Parameters
    ----------
    probability : float
        Between 0 and 1.
    values, probabilities
        As for `probability_by`.

    Returns
    -------
    float
        In the unit of `values`; infinite at 0 and 1.
    """
    _PROBABILITY.require(probability)
    quantile, score = _on_normal_paper(values, probabilities)
    if probability == 0.0:
        return -np.inf
    if probability == 1.0 or probability > _reachable(values, probabilities):
        return np.inf
    wanted = _NORMAL.inv_cdf(probability)
    if wanted < score[0] or wanted > score[-1]:
        end = 0 if wanted < score[0] else -1
        return float(quantile[end] + (wanted - score[end]) * _slope(quantile, score, end))
    return float(np.interp(wanted, score, quantile))


def inside_share(
    values: Sequence[float],
    probabilities: Sequence[float],
    bracket: tuple[float, float],
    level: float,
) -> float:
    """How much of a bracketed outcome lies inside a forecast's central window.

    Of the chance that the forecast gives to the bracket, the share that is inside the window: 1 or
    0 where the bracket is all in or all out, in between where it lies across an end. For a right
    forecast its expectation is `level`, whatever the looks; "inside where they touch" would be too
    kind by about the distance of two looks.

    Parameters
    ----------
    values, probabilities
        Quantiles of the forecast, as for `probability_by`.
    bracket : (float, float)
        Latest time at which it had not happened, and earliest at which it had; alike for an
        instant. An end that nobody saw is 0 or infinite.
    level : float
        Share of the central window [-], 0.8 for four in five.

    Returns
    -------
    float
        Share [-], 0 to 1.

    Raises
    ------
    InputError
        If the bracket ends before it begins, or as for `probability_by`.

    References
    ----------
    [czado-2009]_
    """
    _LEVEL.require(level)
    low, high = (1.0 - level) / 2.0, (1.0 + level) / 2.0
    start, end = (probability_by(at, values, probabilities) for at in _bracket(bracket))
    if end - start < _NOTHING:
        return float(low <= (start + end) / 2.0 <= high)
    return max(0.0, min(end, high) - max(start, low)) / (end - start)


def likely_times(
    values: Sequence[float],
    probabilities: Sequence[float],
    bracket: tuple[float, float],
    count: int = _COUNT,
) -> Floats:
    """Draw moments at which a bracketed outcome may have happened, each as likely as the next.

    Parameters
    ----------
    values, probabilities, bracket
        As for `inside_share`.
    count : int
        How many.

    Returns
    -------
    array (count,)
        Times, ascending, inside the bracket: in slices that the forecast finds equally likely, or,
        where it gives the bracket nothing, evenly.
    """
    low, high = _bracket(bracket)
    middles = (np.arange(count) + 0.5) / count
    start, end = (probability_by(at, values, probabilities) for at in (low, high))
    if end - start < _NOTHING:
        return low + middles * (high - low) if np.isfinite(high) else np.full(count, low)
    times = [time_at(start + share * (end - start), values, probabilities) for share in middles]
    return np.clip(times, low, high)


def _bracket(bracket: tuple[float, float]) -> tuple[float, float]:
    low, high = bracket
    if not low <= high:
        raise InputError(f"a bracket from {low:g} to {high:g}", "one that ends after it begins")
    return low, high


def _checked(values: Sequence[float], probabilities: Sequence[float]) -> tuple[Floats, Floats]:
    quantile = np.asarray(values, dtype=np.float64)
    level = np.asarray(probabilities, dtype=np.float64)
    if quantile.shape != level.shape or quantile.ndim != 1 or not len(quantile):
        raise InputError(
            f"{len(np.atleast_1d(quantile))} quantiles with {len(np.atleast_1d(level))} "
            "probabilities",
            "one probability for each quantile",
        )
    if np.any(np.isnan(quantile)) or np.any(quantile[1:] < quantile[:-1]):
        raise InputError(f"quantiles {quantile.tolist()}", "ascending numbers")
    if not np.all((level > 0.0) & (level < 1.0)) or np.any(np.diff(level) <= 0.0):
        raise InputError(f"probabilities {level.tolist()}", "ascending, between 0 and 1")
    return quantile, level


def _on_normal_paper(
    values: Sequence[float], probabilities: Sequence[float]
) -> tuple[Floats, Floats]:
    quantile, level = _checked(values, probabilities)
    there = np.isfinite(quantile)
    if there.sum() < 2:
        raise InputError("a forecast with fewer than two quantiles that are reached", "two or more")
    return quantile[there], np.array([_NORMAL.inv_cdf(p) for p in level[there].tolist()])


def _reachable(values: Sequence[float], probabilities: Sequence[float]) -> float:
    """Most that a forecast gives to any hour that was tried: short of its first open quantile."""
    open_ends = (p for v, p in zip(values, probabilities, strict=True) if np.isinf(v))
    return min(open_ends, default=1.0)


def _slope(quantile: Floats, score: Floats, end: int) -> float:
    """Time for each unit of the normal score, from the middle quantile out to an end."""
    middle = len(quantile) // 2 if len(quantile) > 2 else -1 - end
    rise = (quantile[end] - quantile[middle]) / (score[end] - score[middle])
    return max(float(rise), 1e-12)
