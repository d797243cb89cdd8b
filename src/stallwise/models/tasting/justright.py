"""Too little, right, too much: how many say so, and how much less they like it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stallwise.ground.errors import InputError

__all__ = ["Penalties", "Side", "penalties"]


@dataclass(frozen=True)
class Side:
    """Those on one side of right.

    Attributes
    ----------
    count : int
    share : float
        Of all answers [-].
    liking : float
        Their mean liking [points]; nan where nobody is here.
    drop : float
        Mean liking of those who said right, less theirs [points].
    penalty : float
        Share times drop [points].
    p_value : float or None
        By Welch's t; None where either group is too small to say.
    """

    count: int
    share: float
    liking: float
    drop: float
    penalty: float
    p_value: float | None


@dataclass(frozen=True)
class Penalties:
    """Both sides, and those in the middle."""

    right: int
    liking: float
    little: Side
    much: Side


def penalties(codes: Sequence[int], liking: Sequence[float], *, fewest: int = 5) -> Penalties:
    """Compare the liking of those who said too little, right, too much.

    Both sides are common at once, so the codes are never averaged.

    Parameters
    ----------
    codes : sequence of int
        -2, -1 too little; 0 right; 1, 2 too much. One an answer.
    liking : sequence of float
        Overall liking of the same bites [points]; nan where it was not asked.
    fewest : int, default 5
        Groups smaller than this get no p-value.

    Raises
    ------
    InputError
        Unlike lengths, or a code out of scale.
    """
    if len(codes) != len(liking) or not len(codes):
        raise InputError(f"{len(codes)} answers and {len(liking)} likings", "one liking an answer")
    code, liked = np.asarray(codes, dtype=int), np.asarray(liking, dtype=float)
    if np.any(np.abs(code) > 2):
        raise InputError(f"codes {sorted(set(codes))}", "-2 to 2")
    right = liked[(code == 0) & np.isfinite(liked)]
    middle = float(right.mean()) if len(right) else math.nan

    def side(chosen: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Side:
        of = liked[chosen & np.isfinite(liked)]
        mean = float(of.mean()) if len(of) else math.nan
        share = float(np.mean(chosen))
        enough = min(len(of), len(right)) >= fewest
        return Side(
            count=int(chosen.sum()),
            share=share,
            liking=mean,
            drop=middle - mean,
            penalty=share * (middle - mean),
            p_value=_welch(right, of) if enough else None,
        )

    return Penalties(int(np.sum(code == 0)), middle, side(code < 0), side(code > 0))


def _welch(
    a: np.ndarray[tuple[int], np.dtype[np.float64]], b: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> float:
    from scipy.special import stdtr

    va, vb = a.var(ddof=1) / len(a), b.var(ddof=1) / len(b)
    if va + vb == 0.0:
        return 0.0 if a.mean() != b.mean() else 1.0
    t = (a.mean() - b.mean()) / math.sqrt(va + vb)
    df = (va + vb) ** 2 / (va**2 / (len(a) - 1) + vb**2 / (len(b) - 1))
    return 2.0 * float(stdtr(df, -abs(t)))
