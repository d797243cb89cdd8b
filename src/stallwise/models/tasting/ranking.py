"""Three or more arms put in order: whether the tasters agree, and whether in the order expected.

Counted over every order, ties too: scipy's Friedman goes by chi-square, its exact Page knows no ties.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError

__all__ = [
    "Agreement",
    "Trend",
    "friedman",
    "friedman_statistic",
    "page",
    "page_least",
    "rank_gap",
    "smallest_rank_distance",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: More rows than this for the exact distribution take too long at a table.
_MOST_ROWS = 1_500_000
_SAME = 1e-9


@dataclass(frozen=True)
class Agreement:
    """Whether tasters order the arms alike.

    Attributes
    ----------
    sums : tuple of float
        Sum of ranks of each arm; ties count their middle rank.
    statistic : float
        Friedman's, corrected for ties [-]; nan where every taster ties all arms.
    p_value : float
        How often orders drawn at random agree as much [-].
    exact : bool
        By every order there is; else by the chi-square that it nears.
    gap : float
        Two arms whose sums are farther apart than this differ, once there is agreement [-].
    """

    sums: tuple[float, ...]
    statistic: float
    p_value: float
    exact: bool
    gap: float


@dataclass(frozen=True)
class Trend:
    """Whether the order written down before is the tasters'.

    Attributes
    ----------
    statistic : float
        Page's L [-].
    p_value : float
        Exact, one side [-].
    """

    statistic: float
    p_value: float


def friedman(ranks: Sequence[Sequence[float]], *, alpha: float = 0.05) -> Agreement:
    """Test whether tasters order the arms alike.

    Parameters
    ----------
    ranks : sequence of sequences
        One row a taster, one rank an arm, 1 for the first; ties share their middle rank.
    alpha : float, default 0.05
        False-alarm rate of the gap [-].

    Raises
    ------
    InputError
        Fewer than two arms, rows of unlike length, or ranks that skip.

    References
    ----------
    [iso-8587]_, [nag-g08ae]_
    """
    rows = _ranked(ranks)
    tasters, arms = rows.shape
    sums = rows.sum(axis=0)
    statistic = _corrected(rows)
    exact = None if math.isnan(statistic) else _exact(rows)
    if math.isnan(statistic):
        p_value = 1.0
    elif exact is None:
        from scipy.special import chdtrc

        p_value = float(chdtrc(arms - 1, statistic))
    else:
        p_value = exact
    gap = rank_gap(tasters, arms, alpha)
    return Agreement(tuple(map(float, sums)), statistic, p_value, exact is not None, gap)


def friedman_statistic(sums: Sequence[float], tasters: int) -> float:
    """Friedman's statistic from rank sums without ties.

    Parameters
    ----------
    sums : sequence of float
        Sum of ranks of each arm.
    tasters : int
        How many ranked.

    References
    ----------
    [iso-8587]_, [nag-g08ae]_
    """
    arms = len(sums)
    squares = sum(one * one for one in sums)
    return 12.0 / (tasters * arms * (arms + 1)) * squares - 3.0 * tasters * (arms + 1)


def rank_gap(tasters: int, arms: int, alpha: float = 0.05) -> float:
    """How far apart two rank sums have to be, once the tasters agree [-].

    References
    ----------
    [iso-8587]_
    """
    return NormalDist().inv_cdf(1.0 - alpha / 2.0) * math.sqrt(tasters * arms * (arms + 1) / 6.0)


def page(ranks: Sequence[Sequence[float]]) -> Trend:
    """Test the order that was written down before: first column lowest, last highest.

    Parameters
    ----------
    ranks : sequence of sequences
        One row a taster; columns in the expected order, 1 for the arm with least.

    References
    ----------
    [page-1963]_
    """
    rows = _ranked(ranks)
    places = np.arange(1, rows.shape[1] + 1)
    statistic = float(np.sum(rows @ places))
    values, chances = _page_distribution([tuple(row) for row in rows])
    return Trend(statistic, float(chances[values >= 2.0 * statistic - _SAME].sum()))


def page_least(tasters: int, arms: int, alpha: float) -> int | None:
    """Smallest L that orders drawn at random reach at most `alpha` of the time.

    Parameters
    ----------
    tasters, arms : int
    alpha : float
        False-alarm rate [-].

    Returns
    -------
    int or None
        None: so few tasters cannot show it.

    References
    ----------
    [page-1963]_
    """
    row = tuple(float(rank) for rank in range(1, arms + 1))
    values, chances = _page_distribution([row] * tasters)
    above = np.cumsum(chances[::-1])[::-1]
    enough = values[above <= alpha + _SAME]
    return -int(-enough[0] // 2) if len(enough) else None


def _ranked(ranks: Sequence[Sequence[float]]) -> Floats:
    lengths = {len(row) for row in ranks}
    if len(lengths) != 1 or lengths <= {0, 1}:
        raise InputError(
            f"rows of {sorted(lengths)} ranks", "as many ranks from each taster, two arms or more"
        )
    rows = np.array(ranks, dtype=float)
    for row in rows:
        if not np.allclose(np.sort(row), _middle_ranks(np.sort(row))):
            raise InputError(f"ranks {row.tolist()}", "1, 2, 3 … with ties at their middle rank")
    return rows


def _middle_ranks(row: Floats) -> Floats:
    _, back, counts = np.unique(row, return_inverse=True, return_counts=True)
    ends = np.cumsum(counts)
    middle: Floats = (ends - (counts - 1) / 2.0)[back]
    return middle


def _corrected(rows: Floats) -> float:
    tasters, arms = rows.shape
    plain = friedman_statistic(rows.sum(axis=0).tolist(), tasters)
    ties = 0.0
    for row in rows:
        counts = np.unique(row, return_counts=True)[1].astype(float)
        ties += float(np.sum(counts**3 - counts))
    share = 1.0 - ties / (tasters * arms * (arms**2 - 1))
    return plain / share if share > _SAME else math.nan


def _exact(rows: Floats) -> float | None:
    """Chance of rank sums spread at least as widely; None where it takes too long."""
    found = _distribution(rows)
    if found is None:
        return None
    sums, chances = found
    seen = float(np.sum((2.0 * rows).sum(axis=0) ** 2))
    return float(chances[np.sum(sums**2, axis=1) >= seen - _SAME].sum())


def _distribution(rows: Floats) -> tuple[Ints, Floats] | None:
    """Twice the rank sums that chance gives, sorted for no arm is special, and how often each."""
    doubled = np.rint(2.0 * rows).astype(np.int64)
    arms = doubled.shape[1]
    if arms > 6:
        return None
    sums: Ints = np.zeros((1, arms), dtype=np.int64)
    chances: Floats = np.ones(1)
    rows_left = _MOST_ROWS
    for row in doubled:
        orders = np.array(sorted(set(itertools.permutations(row.tolist()))), dtype=np.int64)
        rows_left -= len(sums) * len(orders)
        if rows_left < 0:
            return None
        both = np.sort((sums[:, None, :] + orders[None, :, :]).reshape(-1, arms), axis=1)
        weight = np.repeat(chances, len(orders)) / len(orders)
        sums, chances = _merged(both, weight)
    return sums, chances


def _merged(rows: Ints, weight: Floats) -> tuple[Ints, Floats]:
    width = int(rows.max()) + 1
    code = rows @ (width ** np.arange(rows.shape[1], dtype=np.int64))
    _, first, back = np.unique(code, return_index=True, return_inverse=True)
    return rows[first], np.bincount(back, weights=weight).astype(np.float64)


def _page_distribution(rows: Sequence[tuple[float, ...]]) -> tuple[Floats, Floats]:
    """Twice L and the chance of each."""
    total: Floats = np.ones(1)
    start = 0
    places = np.arange(1, len(rows[0]) + 1)
    for row in rows:
        doubled = np.rint(2.0 * np.array(row)).astype(np.int64)
        sums = np.array([int(places @ order) for order in itertools.permutations(doubled)])
        step = np.bincount(sums - sums.min()) / len(sums)
        total = np.convolve(total, step)
        start += int(sums.min())
    return start + np.arange(len(total), dtype=np.float64), total


def smallest_rank_distance(
    tasters: int, arms: int, *, alpha: float, wanted: float, seed: int, ordered: bool = False
) -> float | None:
    """Smallest distance of the first arm from the last that orders would show so often.

    The others lie evenly between the two. Tasters are drawn, 1000 sittings for each distance, so
    that it is good to a tenth.

    Parameters
    ----------
    tasters, arms : int
    alpha, wanted : float
        False-alarm rate, how often it is to be shown [-].
    seed : int
    ordered : bool, default False
        By the order written down before (`page`) in place of any (`friedman`).

    Returns
    -------
    float or None
        Distance d' [-]; None where so few tasters can never show it.
    """
    least = _least(tasters, arms, alpha, ordered=ordered)
    if least is None:
        return None
    noise = stream(seed, "sittings").normal(size=(1000, tasters, arms))
    places = np.arange(1, arms + 1)
    for tenth in range(2, 100):
        tasted = noise + np.linspace(0.0, tenth / 10.0, arms)
        sums = (np.argsort(np.argsort(tasted, axis=2), axis=2) + 1.0).sum(axis=1)
        seen = sums @ places if ordered else np.sum(sums**2, axis=1)
        if float(np.mean(seen >= least - _SAME)) >= wanted:
            return tenth / 10.0
    return None


def _least(tasters: int, arms: int, alpha: float, *, ordered: bool) -> float | None:
    """Smallest L, or sum of squared rank sums, that chance reaches at most so often."""
    if ordered:
        return page_least(tasters, arms, alpha)
    rows = np.tile(np.arange(1.0, arms + 1.0), (tasters, 1))
    found = _distribution(rows)
    if found is None:
        from scipy.special import chdtri

        limit = float(chdtri(arms - 1, alpha))
        return (limit + 3.0 * tasters * (arms + 1)) * tasters * arms * (arms + 1) / 12.0
    squares = np.sum((found[0] / 2.0) ** 2, axis=1)
    order = np.argsort(squares)[::-1]
    above = np.cumsum(found[1][order])
    values = squares[order]
    # A value counts with all that are as far out.
    last = np.r_[np.diff(values) < -_SAME, True]
    enough = values[last & (above <= alpha + _SAME)]
    return float(enough[-1]) if len(enough) else None
