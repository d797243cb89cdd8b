"""Ways of asking in which a taster also decides how sure is sure; distance and habit come together.

They are: same or different, is it this one, and which of two with a box for "can't say".
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

from stallwise.ground.errors import InputError
from stallwise.models.tasting.psychometric import normal_cdf

__all__ = ["Distance", "fisher", "is_it_this_one", "same_or_different", "two_with_neither"]

_ROOT2 = math.sqrt(2.0)
_FARTHEST = 10.0


@dataclass(frozen=True)
class Distance:
    """A distance with what still fits.

    Attributes
    ----------
    dprime : float
        Most likely distance [-]; may be infinite.
    low, high : float
        Distances that still fit [-].
    tau : float
        How sure a taster wants to be: half width of "can't say" or of "same" [-]; nan where it
        is not part of the answer.
    p_value : float
        How often guessing alone looks so much like a difference [-].
    """

    dprime: float
    low: float
    high: float
    tau: float
    p_value: float


def two_with_neither(first: int, neither: int, second: int, *, level: float = 0.95) -> Distance:
    """Two bites and a box for "can't say" (2-AC).

    Parameters
    ----------
    first, neither, second : int
        Answers for one arm, for neither, for the other.
    level : float, default 0.95
        Of the interval, by the profile of the likelihood [-].

    Returns
    -------
    Distance
        Positive where the second arm wins. The p-value is that of the likelihood ratio, two sides.

    References
    ----------
    [christensen-lee-brockhoff-2012]_, [sensr-tests]_
    """
    total = _counted(first, neither, second)

    def likelihood(d: float, tau: float) -> float:
        low, high = normal_cdf((-tau - d) / _ROOT2), normal_cdf((tau - d) / _ROOT2)
        chances = (low, high - low, 1.0 - high)
        return _log_likelihood((first, neither, second), chances)

    a, b = _quantile(first / total), _quantile((first + neither) / total)
    dprime, tau = -(a + b) / _ROOT2, (b - a) / _ROOT2
    if not math.isfinite(dprime):
        dprime = 0.0 if first == second else math.copysign(math.inf, second - first)
    return _profiled(likelihood, dprime, tau, (0.0, _FARTHEST), level=level, lowest=-_FARTHEST)


def same_or_different(
    same_same: int,
    same_different: int,
    mixed_same: int,
    mixed_different: int,
    *,
    level: float = 0.95,
) -> Distance:
    """Pairs that were the same or not, and called the same or not.

    Parameters
    ----------
    same_same, same_different : int
        Pairs of one arm that were called the same, and different.
    mixed_same, mixed_different : int
        Pairs of both arms, likewise.
    level : float, default 0.95
        Of the interval [-].

    Returns
    -------
    Distance
        The p-value is exact (Fisher), one side.
    """
    _counted(same_same, same_different)
    _counted(mixed_same, mixed_different)

    def likelihood(d: float, tau: float) -> float:
        alike = 2.0 * normal_cdf(tau / _ROOT2) - 1.0
        mixed = normal_cdf((tau - d) / _ROOT2) - normal_cdf((-tau - d) / _ROOT2)
        return _log_likelihood(
            (same_same, same_different, mixed_same, mixed_different),
            (alike, 1.0 - alike, mixed, 1.0 - mixed),
        )

    same, mixed = same_same + same_different, mixed_same + mixed_different
    tau = _ROOT2 * _quantile(0.5 * (1.0 + same_same / same))
    dprime = _apart(tau, mixed_same / mixed, same_same / same)
    found = _profiled(likelihood, dprime, tau, (0.0, _FARTHEST), level=level, lowest=0.0)
    p_value = fisher(mixed_different, mixed, same_different, same)
    return Distance(found.dprime, found.low, found.high, tau, p_value)


def _apart(tau: float, mixed_same: float, alike: float) -> float:
    """Distance at which mixed pairs are called the same so often."""
    if mixed_same >= alike:
        return 0.0
    if mixed_same <= 0.0 or not math.isfinite(tau):
        return math.inf

    def gap(d: float) -> float:
        return normal_cdf((tau - d) / _ROOT2) - normal_cdf((-tau - d) / _ROOT2) - mixed_same

    return _root(gap, 0.0, 4.0 * _FARTHEST)


def is_it_this_one(
    hits: int, shown: int, false_alarms: int, others: int, *, level: float = 0.95
) -> Distance:
    """One bite at a time, said to be the one that was shown before, or not (A-not-A).

    Parameters
    ----------
    hits, shown : int
        Bites of the arm called so, and all bites of it.
    false_alarms, others : int
        Bites of the other arm called so, and all of it.
    level : float, default 0.95
        Of the interval [-].

    Returns
    -------
    Distance
        The p-value is exact (Fisher), one side.

    References
    ----------
    [sensr-tests]_
    """
    _counted(hits, shown - hits)
    _counted(false_alarms, others - false_alarms)

    def likelihood(d: float, cut: float) -> float:
        hit, alarm = normal_cdf(cut + d), normal_cdf(cut)
        return _log_likelihood(
            (hits, shown - hits, false_alarms, others - false_alarms),
            (hit, 1.0 - hit, alarm, 1.0 - alarm),
        )

    high, low = _quantile(hits / shown), _quantile(false_alarms / others)
    dprime = 0.0 if high == low else high - low
    cut = low if math.isfinite(low) else math.copysign(3.0, low)
    habit = (-_FARTHEST, _FARTHEST)
    found = _profiled(likelihood, dprime, cut, habit, level=level, lowest=-_FARTHEST)
    p_value = fisher(hits, shown, false_alarms, others)
    return Distance(dprime, found.low, found.high, math.nan, p_value)


def _counted(*counts: int) -> int:
    if min(counts) < 0 or sum(counts) == 0:
        raise InputError(f"counts {counts}", "at least one answer, and none below zero")
    return sum(counts)


def _quantile(share: float) -> float:
    if share <= 0.0:
        return -math.inf
    return math.inf if share >= 1.0 else NormalDist().inv_cdf(share)


def _log_likelihood(counts: tuple[int, ...], chances: tuple[float, ...]) -> float:
    return sum(
        count * math.log(max(chance, 1e-300))
        for count, chance in zip(counts, chances, strict=True)
        if count
    )


def _profiled(
    likelihood: Callable[[float, float], float],
    dprime: float,
    tau: float,
    habit: tuple[float, float],
    *,
    level: float,
    lowest: float,
) -> Distance:
    """Interval where twice the fall of the profiled likelihood stays below its chi-square."""
    from scipy.optimize import minimize_scalar
    from scipy.special import chdtrc

    def profile(d: float) -> float:
        found = minimize_scalar(
            lambda t: -likelihood(d, t), bounds=habit, method="bounded",
            options={"xatol": 1e-8},
        )  # fmt: skip
        return -float(found.fun)

    best = min(max(dprime, lowest), _FARTHEST)
    inside = math.isfinite(dprime) and math.isfinite(tau)
    top = likelihood(best, tau) if inside else profile(best)
    fall = NormalDist().inv_cdf(0.5 + level / 2.0) ** 2

    def below(d: float) -> float:
        return 2.0 * (top - profile(d)) - fall

    low = _root(below, lowest, best) if below(lowest) > 0.0 else lowest
    open_end = not math.isfinite(dprime) or below(_FARTHEST) <= 0.0
    high = math.inf if open_end else _root(below, best, _FARTHEST)
    p_value = float(chdtrc(1.0, max(0.0, 2.0 * (top - profile(0.0)))))
    return Distance(dprime, -math.inf if low == -_FARTHEST else low, high, tau, p_value)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(function, low, high, xtol=1e-10))


def fisher(marked: int, of: int, other: int, other_of: int) -> float:
    """Chance, with the margins held, of at least so many marked ones in the first group [-]."""
    hit = marked + other
    ways = math.comb(of + other_of, hit)
    top = range(marked, min(of, hit) + 1)
    return sum(math.comb(of, k) * math.comb(other_of, hit - k) for k in top) / ways
