"""Readings of one probe on an even grid of minutes: medians, gaps, climbs.

The grid stands on whole minutes since hour zero, so that what comes later moves nothing before it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.tables.parameters import parameter

__all__ = ["STEP_S", "Even", "Sign", "climb_k_s", "even", "onto", "runs", "smooth", "stretches"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

#: Step of the grid [s].
STEP_S = 60.0


@dataclass(frozen=True)
class Sign:
    """Something that readings suggest.

    Attributes
    ----------
    kind : str
        As `stallwise.joins.result.Inferred` has them.
    at_s, until_s : float, float or None
        When it began and ended [s]; None while it lasts, and for a moment.
    temperature_c : float or None
        What was read then [°C].
    confidence : float
        0 to 1.
    why : str
        What in the readings says so.
    """

    kind: str
    at_s: float
    until_s: float | None
    temperature_c: float | None
    confidence: float
    why: str


@dataclass(frozen=True, eq=False)
class Even:
    """One probe on the grid.

    Attributes
    ----------
    time_s : array (rows,)
        Whole minutes from the first reading to the last [s].
    value_c : array (rows,)
        Temperatures [°C], straight lines between medians, across gaps too.
    seen : array of bool (rows,)
        False within a gap longer than ``trace.gap``.
    point_s, point_c : arrays
        The medians themselves.
    """

    time_s: Array
    value_c: Array
    seen: Mask
    point_s: Array
    point_c: Array

    def __len__(self) -> int:
        return len(self.time_s)


def even(time_s: Array, value_c: Array) -> Even | None:
    """Take readings together in medians of a minute and lay them on the grid.

    Parameters
    ----------
    time_s : array
        Times [s], in any order.
    value_c : array
        Temperatures [°C]; nan where there is no reading.

    Returns
    -------
    Even or None
        None where fewer than two minutes have a reading.
    """
    known = np.isfinite(value_c) & np.isfinite(time_s)
    minute = np.floor(time_s[known] / STEP_S + 0.5)
    order = np.lexsort((value_c[known], minute))
    minute, value = minute[order], value_c[known][order]
    at, first, count = np.unique(minute, return_index=True, return_counts=True)
    if len(at) < 2:
        return None
    middle = (value[first + (count - 1) // 2] + value[first + count // 2]) / 2.0
    grid = np.arange(at[0], at[-1] + 1.0)
    after = np.clip(np.searchsorted(at, grid), 1, len(at) - 1)
    width = at[after] - at[after - 1]
    seen = (width * STEP_S <= parameter("trace.gap").value) | np.isin(grid, at)
    return Even(grid * STEP_S, np.interp(grid, at, middle), seen, at * STEP_S, middle)


def onto(other: Even, time_s: Array) -> Array:
    """Lay one probe on another one's times [°C]; nan where it was not seen."""
    value = np.interp(time_s, other.time_s, other.value_c, left=np.nan, right=np.nan)
    seen = np.interp(time_s, other.time_s, other.seen.astype(np.float64), left=0.0, right=0.0)
    return np.where(seen > 0.5, value, np.nan)


def climb_k_s(value_c: Array, half: int) -> Array:
    """Slope of the straight line by least squares through `half` steps on both sides [K/s].

    nan where there are not as many.
    """
    out = np.full(len(value_c), np.nan)
    if len(value_c) > 2 * half:
        arm = np.arange(-half, half + 1, dtype=np.float64)
        weight = arm / (arm @ arm) / STEP_S
        out[half : len(value_c) - half] = np.convolve(value_c, weight[::-1], mode="valid")
    return out


def smooth(value_c: Array, half: int) -> Array:
    """Mean over `half` steps on both sides, of those that there are; nan is left out."""
    known = np.isfinite(value_c)
    box = np.ones(2 * half + 1)

    def total(values: Array) -> Array:
        wide = np.convolve(np.pad(values, half), box, mode="valid")
        return wide[: len(values)]

    count = total(known.astype(np.float64))
    added = total(np.where(known, value_c, 0.0))
    return np.where(count > 0.0, added / np.maximum(count, 1.0), np.nan)


def runs(mask: Mask) -> list[tuple[int, int]]:
    """Stretches where a mask holds, each as its first row and the row after its last."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def stretches(mask: Mask, apart: int) -> list[tuple[int, int]]:
    """Find `runs`, those no more than `apart` rows from one another taken as one."""
    joined: list[tuple[int, int]] = []
    for start, end in runs(mask):
        if joined and start - joined[-1][1] <= apart:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined
