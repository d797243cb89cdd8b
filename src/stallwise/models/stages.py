"""Stages read from a core curve: the stall."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stallwise.tables.parameters import parameter

__all__ = ["stall"]


def stall(
    time_s: NDArray[np.float64], core_c: NDArray[np.float64], finish_s: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Start and end of each member's longest stall.

    A stall is a stretch of at least ``stall.shortest`` in which the core, between ``stall.low`` and
    ``stall.high``, climbs more slowly than the share ``stall.share`` of its fastest climb so far.
    There may be none.

    Parameters
    ----------
    time_s : array (rows,)
        Evenly spaced times [s].
    core_c : array (members, rows)
        Core temperatures [°C].
    finish_s : array (members,)
        When each member is finished [s], inf for never; no stall is looked for afterwards.

    Returns
    -------
    start_s, end_s : arrays (members,)
        inf where there is no stall, or where it has not ended by the last row.

    References
    ----------
    [own-fit]_
    """
    step = time_s[1] - time_s[0]
    climb = np.diff(core_c, axis=1)
    fastest = np.maximum.accumulate(climb, axis=1)
    middle = (core_c[:, 1:] + core_c[:, :-1]) / 2.0
    slow = (
        (climb < parameter("stall.share").value * fastest)
        & (middle >= parameter("stall.low").value)
        & (middle <= parameter("stall.high").value)
        & (time_s[None, 1:] <= finish_s[:, None] + step)
    )
    length = np.zeros(len(core_c), dtype=np.int64)
    best = np.zeros_like(length)
    last = np.zeros_like(length)
    for row in range(slow.shape[1]):
        length = np.where(slow[:, row], length + 1, 0)
        longer = length > best
        best = np.where(longer, length, best)
        last = np.where(longer, row + 1, last)
    found = best * step >= parameter("stall.shortest").value
    start = np.where(found, time_s[last - best], np.inf)
    open_end = last == slow.shape[1]
    end = np.where(found & ~open_end, np.minimum(time_s[last], finish_s), np.inf)
    return start, end
