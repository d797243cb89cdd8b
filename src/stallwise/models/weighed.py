"""Yields learned from a cook's own scales: after three cooks of a cut they stand for the table's."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

__all__ = ["ENOUGH", "Band", "learned_band"]

#: From so many cooks of a cut on, its own weigh-ins are believed.
ENOUGH = 3
#: Two cooks are never more alike than scales and knives allow.
_LEAST_SPREAD = 0.01
#: Student's t at 0.9 for 2 to 10 degrees of freedom; beyond, the normal's with a little more.
_T90 = (1.886, 1.638, 1.533, 1.476, 1.440, 1.415, 1.397, 1.383, 1.372)
_NORMAL90 = 1.2816


@dataclass(frozen=True)
class Band:
    """A share with the ends between which the next cook falls four times in five."""

    low: float
    middle: float
    high: float
    count: int


def learned_band(shares: Sequence[float], *, most: float = 1.0) -> Band | None:
    """Middle and spread of a share over past cooks, one value a cook; None before three.

    The ends are those of a prediction for one more cook, wider than the cooks' own spread, and no
    larger than `most`.

    Examples
    --------
    >>> band = learned_band([0.40, 0.44, 0.48])
    >>> round(band.low, 2), round(band.middle, 2), round(band.high, 2)
    (0.35, 0.44, 0.53)
    """
    count = len(shares)
    if count < ENOUGH:
        return None
    spread = max(stdev(shares), _LEAST_SPREAD)
    reach = _t90(count - 1) * spread * math.sqrt(1.0 + 1.0 / count)
    middle = fmean(shares)
    return Band(max(middle - reach, 0.01), middle, min(middle + reach, most), count)


def _t90(freedom: int) -> float:
    if freedom - 2 < len(_T90):
        return _T90[freedom - 2]
    return _NORMAL90 * (1.0 + 1.0 / freedom)
