"""Scores of two arms by the same tasters: one number a taster and arm, then what the tasters say.

Bites of one taster are no new tasters, so that everything starts from each taster's own difference.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError
from stallwise.models.tasting import binomial

__all__ = [
    "PairedMean",
    "Posterior",
    "likely_spread",
    "paired_mean",
    "posterior",
    "sign_p",
    "signed_rank",
    "smallest_difference",
    "tasters_needed",
]

Floats = NDArray[np.float64]

#: Differences of scores nearer than this are the same: sums of tenths are not exact.
_SAME = 1e-9
_MOST_TASTERS = 1000


@dataclass(frozen=True)
class PairedMean:
    """Mean of the tasters' own differences.

    Attributes
    ----------
    tasters : int
    mean : float
        Mean difference [points].
    spread : float
        Standard deviation of the differences [points].
    t : float
        Student's t [-]; infinite where all differ alike.
    p_value : float
        Two sides [-].
    low, high : float
        Means that still fit [points].
    """

    tasters: int
    mean: float
    spread: float
    t: float
    p_value: float
    low: float
    high: float


@dataclass(frozen=True)
class Posterior:
    """What to think of the true difference, with a stated opinion from before.

    Attributes
    ----------
    better : float
        Chance that it is above zero [-].
    small : float
        Chance that it is nearer to zero than `near` [-].
    mean, low, high : float
        Middle, and ends of the stated level [points].
    """

    better: float
    small: float
    mean: float
    low: float
    high: float


def paired_mean(differences: Sequence[float], *, level: float = 0.95) -> PairedMean:
    """Mean of the tasters' differences with Student's t.

    Parameters
    ----------
    differences : sequence of float
        One number a taster [points], two tasters or more.
    level : float, default 0.95
        Of the interval [-].

    Raises
    ------
    InputError
        Fewer than two tasters.
    """
    from scipy.special import stdtr, stdtrit

    values = _finite(differences)
    n = len(values)
    if n < 2:
        raise InputError(f"{n} taster", "two tasters or more", "One taster's spread is not known")
    mean, spread = float(values.mean()), float(values.std(ddof=1))
    error = spread / math.sqrt(n)
    if error == 0.0:
        t = math.copysign(math.inf, mean) if mean else 0.0
        return PairedMean(n, mean, 0.0, t, 0.0 if mean else 1.0, mean, mean)
    t = mean / error
    reach = float(stdtrit(n - 1, 0.5 + level / 2.0)) * error
    p_value = 2.0 * float(stdtr(n - 1, -abs(t)))
    return PairedMean(n, mean, spread, t, p_value, mean - reach, mean + reach)


def signed_rank(differences: Sequence[float], *, sides: int = 2) -> tuple[float, float]:
    """Signed ranks of the differences, exact with ties.

    Differences of nothing are left out; equal ones share their middle rank, and the chance is
    counted over every way the signs could have fallen (scipy's exact count knows no ties).

    Parameters
    ----------
    differences : sequence of float
        One number a taster [points].
    sides : {1, 2}
        1 asks for a difference above zero.

    Returns
    -------
    tuple of float
        Sum of the positive ranks, and how often chance gives as much [-].

    References
    ----------
    [scipy-docs]_
    """
    values = np.round(_finite(differences) / _SAME) * _SAME
    values = values[np.abs(values) > _SAME / 2.0]
    if not len(values):
        return 0.0, 1.0
    sizes = np.round(np.abs(values), 9)
    _, back, counts = np.unique(sizes, return_inverse=True, return_counts=True)
    doubled = (2 * np.cumsum(counts) - counts + 1)[back].astype(np.int64)
    chances: Floats = np.ones(1)
    for rank in doubled:
        with_rank = np.concatenate((np.zeros(rank), chances))
        chances = 0.5 * (with_rank + np.concatenate((chances, np.zeros(rank))))
    seen = int(doubled[values > 0].sum())
    above = float(chances[seen:].sum())
    if sides == 1:
        return seen / 2.0, above
    return seen / 2.0, min(1.0, 2.0 * min(above, float(chances[: seen + 1].sum())))


def sign_p(plus: int, minus: int) -> float:
    """How often a coin falls at least as one-sided, both sides counted [-]; ties are left out."""
    n = plus + minus
    return min(1.0, 2.0 * binomial.tail(max(plus, minus), n, 0.5)) if n else 1.0


def smallest_difference(
    tasters: int, spread: float, *, alpha: float = 0.05, wanted: float = 0.8
) -> float:
    """Smallest true mean difference that so many tasters would find so often.

    Parameters
    ----------
    tasters : int
        Two or more.
    spread : float
        Standard deviation of their differences [points].
    alpha : float, default 0.05
        False-alarm rate, two sides [-].
    wanted : float, default 0.8
        How often it is to be found [-].

    Returns
    -------
    float
        Difference [points].
    """
    from scipy.optimize import brentq

    high = 1.0
    while _t_power(tasters, high, alpha) < wanted:
        high *= 2.0
    return spread * float(
        brentq(lambda effect: _t_power(tasters, effect, alpha) - wanted, 0.0, high, xtol=1e-10)
    )


def tasters_needed(
    difference: float, spread: float, *, alpha: float = 0.05, wanted: float = 0.8
) -> int | None:
    """Tasters needed to find a true mean difference so often; None beyond 1000.

    Parameters
    ----------
    difference, spread : float
        True difference, standard deviation of the tasters' differences [points].
    alpha, wanted
        As in `smallest_difference`.
    """
    for tasters in range(2, _MOST_TASTERS + 1):
        if _t_power(tasters, abs(difference) / spread, alpha) >= wanted:
            return tasters
    return None


def _t_power(tasters: int, effect: float, alpha: float) -> float:
    """Power of the t test at an effect in spreads, by the distribution of the spread seen.

    By hand, for scipy's noncentral t (`nctdtr`) gives nothing for two tasters.
    """
    from scipy.special import chdtri, ndtr, stdtrit

    df = tasters - 1
    needed = float(stdtrit(df, 1.0 - alpha / 2.0))
    # Spreads that are seen, each as likely as the next.
    chances = (np.arange(400) + 0.5) / 400
    ratio = np.sqrt(chdtri(df, chances) / df)
    away = effect * math.sqrt(tasters)
    found = ndtr(away - needed * ratio) + ndtr(-away - needed * ratio)
    return float(np.mean(found))


def likely_spread(differences: Sequence[float], *, usual: float, worth: float) -> float:
    """Spread of tasters' differences, pulled towards the usual one while there are few.

    Parameters
    ----------
    differences : sequence of float
        One number a taster [points]; may be empty.
    usual : float
        Spread before anything was tasted [points].
    worth : float
        How many tasters that opinion counts for [-].

    Returns
    -------
    float
        Standard deviation [points].
    """
    values = _finite(differences)
    n = len(values)
    squares = float(np.sum((values - values.mean()) ** 2)) if n else 0.0
    return math.sqrt((squares + worth * usual**2) / (max(n - 1, 0) + worth))


def posterior(
    differences: Sequence[float],
    *,
    prior_spread: float,
    near: float,
    usual: float,
    worth: float,
    level: float = 0.95,
) -> Posterior:
    """Weigh the tasters' differences with an opinion from before: about zero, so wide.

    Parameters
    ----------
    differences : sequence of float
        One number a taster [points], two or more.
    prior_spread : float
        Standard deviation of true differences before anything was tasted [points].
    near : float
        Differences smaller than this do not matter [points].
    usual, worth : float
        As in `likely_spread`: two tasters of one mind are no proof that all are.
    level : float, default 0.95
        Of the interval [-].
    """
    values = _finite(differences)
    n = len(values)
    mean = float(values.mean())
    reach = 8.0 * prior_spread
    grid = np.linspace(-reach, reach, 4001)
    squares = float(np.sum((values - mean) ** 2)) + worth * usual**2
    # Spread unknown: the likelihood of a mean is Student's.
    likelihood = -0.5 * (n + worth) * np.log(squares + n * (grid - mean) ** 2)
    weight = likelihood - 0.5 * (grid / prior_spread) ** 2
    weight = np.exp(weight - weight.max())
    weight /= weight.sum()
    sums = np.cumsum(weight)
    ends = np.interp([(1.0 - level) / 2.0, (1.0 + level) / 2.0], sums, grid)
    zero = float(weight[np.abs(grid) < _SAME].sum())
    return Posterior(
        better=float(weight[grid > _SAME].sum()) + zero / 2.0,
        small=float(weight[np.abs(grid) < near].sum()),
        mean=float(np.sum(weight * grid)),
        low=float(ends[0]),
        high=float(ends[1]),
    )


def _finite(values: Sequence[float]) -> Floats:
    found = np.asarray(values, dtype=np.float64)
    if found.ndim != 1 or not np.all(np.isfinite(found)):
        raise InputError(f"differences {list(values)}", "one number a taster")
    return found
