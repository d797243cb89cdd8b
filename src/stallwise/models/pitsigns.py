"""Signs in the readings of a pit: the lid opened, the fire sagging."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from stallwise.models.tracegrid import STEP_S, Array, Even, Sign, smooth
from stallwise.tables.parameters import parameter

__all__ = ["lid_openings", "sags"]

#: The usual swing of a pit is taken over this long before [s].
_USUAL_S = 7200.0
_QUARTER_S = 900.0
_MAD = 1.4826
_SHARE = 55.0
#: A sag is looked for every so many rows.
_EVERY = 5
_LONG_ENOUGH = 0.6
_LEAST, _MOST = 0.35, 0.9
_UNKNOWN_S, _EARLY = 1800.0, 0.6


def lid_openings(pit: Even) -> tuple[Sign, ...]:
    """Find quick falls of a pit that come back.

    Parameters
    ----------
    pit : Even
        The pit's probe.

    Returns
    -------
    tuple of Sign
        ``lid_open`` with the lowest temperature read; none across a gap, and none that is not
        yet half way back.

    Notes
    -----
    A pit that swings by itself has to fall further than it does anyway.
    """
    before = round(parameter("trace.lid_before").value / STEP_S)
    back = round(parameter("trace.lid_back").value / STEP_S)
    value = pit.value_c
    if len(pit) <= before:
        return ()
    base = np.full(len(pit), np.nan)
    base[before:] = np.median(sliding_window_view(value, before), axis=1)[: len(pit) - before]
    least = _least_fall(value, base)
    fell = base - value >= least
    found: list[Sign] = []
    row = before
    for start in np.flatnonzero(fell & pit.seen).tolist():
        if start < row:
            continue
        height, stop = base[start], min(start + back + 1, len(pit))
        after = value[start:stop]
        lowest = np.minimum.accumulate(after)
        home = np.flatnonzero(after >= (height + lowest) / 2.0)
        if not len(home) or not pit.seen[start:stop].all():
            continue
        end = start + int(home[0])
        low = start + int(np.argmin(after[: int(home[0])]))
        found.append(_opened(pit, start, low, end, (height, least[start])))
        # What is left of a fall on its way back is no second one.
        up = np.flatnonzero(~fell[end:])
        row = end + (int(up[0]) if len(up) else len(pit))
    return tuple(found)


def _least_fall(value: Array, base: Array) -> Array:
    """How far a pit has to fall to have been opened [K], by its swings of the hours before."""
    usual = round(_USUAL_S / STEP_S)
    off = np.abs(np.where(np.isfinite(base), value - base, 0.0))
    swing = np.array([np.median(off[: row + 1]) for row in range(min(usual, len(off)))])
    if len(off) > usual:
        later = np.median(sliding_window_view(off[:-1], usual), axis=1)
        swing = np.concatenate((swing, later))
    least: Array = np.maximum.reduce(
        [
            np.full(len(value), parameter("trace.lid_drop").value),
            parameter("trace.lid_share").value * np.nan_to_num(base),
            parameter("trace.lid_spread").value * _MAD * swing,
        ]
    )
    return least


def _opened(pit: Even, start: int, low: int, end: int, fall: tuple[float, float]) -> Sign:
    height, least = fall
    depth = (height - pit.value_c[low]) / least
    # Points of the probe itself between the edges: a straight line between two tells little.
    own = np.count_nonzero((pit.point_s >= pit.time_s[start]) & (pit.point_s <= pit.time_s[end]))
    early = _EARLY if (start * STEP_S) < _UNKNOWN_S else 1.0  # its own swing is not known yet
    fine = 1.0 if own >= 3 else 0.5
    sure = float(np.clip(_LEAST + 0.3 * (depth - 1.0) + 0.2, 0.0, _MOST)) * fine * early
    why = "the pit fell within minutes and came back"
    # The fall began before it was deep enough to be told.
    top = start
    while top > 0 and pit.value_c[top - 1] > pit.value_c[top] and pit.value_c[top] < height - 1.0:
        top -= 1
    return Sign(
        "lid_open",
        float(pit.time_s[top]),
        float(pit.time_s[end]),
        float(pit.value_c[low]),
        sure,
        why,
    )


def sags(pit: Even, set_s: Sequence[float] = ()) -> tuple[Sign, ...]:
    """Find when a pit lay well below where it was held.

    Parameters
    ----------
    pit : Even
        The pit's probe.
    set_s : sequence of float
        When it was set to another temperature [s]: its level is learned anew.

    Returns
    -------
    tuple of Sign
        ``pit_sag`` with the lowest temperature of a quarter of an hour.
    """
    quarter = round(_QUARTER_S / STEP_S)
    mean = smooth(pit.value_c, quarter // 2)
    level = parameter("trace.sag_level").value
    drop, end = parameter("trace.sag_drop").value, parameter("trace.sag_end").value
    ready = parameter("trace.sag_before").value
    since = pit.time_s[0]
    found: list[tuple[int, int]] = []
    start: int | None = None
    held = np.nan
    new = sorted(set_s)
    for row in range(0, len(pit), _EVERY):
        now = pit.time_s[row]
        while new and new[0] <= now:
            since = max(since, new.pop(0))
            if start is not None:
                found.append((start, row))
            start = None
        if start is None:
            from_row = np.searchsorted(pit.time_s, max(since, now - level))
            if now - since < ready:
                continue
            held = float(np.percentile(mean[from_row : row + 1], _SHARE))
            if mean[row] < held - drop:
                start = row
        elif mean[row] > held - end:
            found.append((start, row))
            start = None
    if start is not None:
        found.append((start, len(pit)))
    return tuple(
        _sagged(pit, mean, span)
        for span in found
        if (span[1] - span[0]) * STEP_S >= parameter("trace.sag_shortest").value
    )


def _sagged(pit: Even, mean: Array, span: tuple[int, int]) -> Sign:
    start, end = span
    long = min((end - start) * STEP_S / 7200.0, 1.0)
    sure = (_LONG_ENOUGH + 0.25 * long) * (0.5 + 0.5 * float(pit.seen[start:end].mean()))
    until = None if end >= len(pit) else float(pit.time_s[end])
    why = "the pit lay well below where it was held"
    return Sign("pit_sag", float(pit.time_s[start]), until, float(mean[start:end].min()), sure, why)
