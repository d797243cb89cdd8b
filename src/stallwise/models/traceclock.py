"""Two clocks over one day: how far the readings of a file stand from what was written down.

Each thing that was both written down and read says how well a shift of the readings' clock would
fit. No single one may say too much: a log is typed from paper, and a probe can lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stallwise.models.tracegrid import STEP_S, Array, Even, Sign, even
from stallwise.tables.parameters import parameter

__all__ = [
    "SHIFT_S",
    "Apart",
    "Clue",
    "clocks_apart",
    "of_moment",
    "of_openings",
    "of_values",
    "on_s",
]

_HOUR_S = 3600.0
#: Shifts of the readings' clock that are looked at [s]; later than the other clock is positive.
SHIFT_S: Array = np.arange(-14.0 * _HOUR_S, 14.0 * _HOUR_S + 1.0, 300.0)
_NONE = int(np.argmin(np.abs(SHIFT_S)))
#: What a value says where the readings do not reach: as much as a middling fit.
_UNSEEN = 0.5
#: A clock is off by nothing, else by whole hours, else by anything; and rather by little.
_BY_HOURS, _BY_ANY, _PER_HOUR = 0.2, 1.0, 0.02


@dataclass(frozen=True, eq=False)
class Clue:
    """What one thing that was written down makes of each shift.

    Attributes
    ----------
    name : str
        What it is, for the words.
    cost : array (shifts,)
        How badly each of `SHIFT_S` fits; 0 is well.
    """

    name: str
    cost: Array


@dataclass(frozen=True)
class Apart:
    """Two clocks that come apart.

    Attributes
    ----------
    shift_s : float
        How much later the readings stand than what was written down [s].
    why : tuple of str
        Names of the clues that say so, the strongest first.
    """

    shift_s: float
    why: tuple[str, ...]


def clocks_apart(clues: Sequence[Clue]) -> Apart | None:
    """Tell whether another clock fits what was written down better by far.

    Parameters
    ----------
    clues : sequence of Clue

    Returns
    -------
    Apart or None
        None where the clocks agree, or where too little says otherwise.

    References
    ----------
    [own-fit]_
    """
    if not clues:
        return None
    cost = np.sum([clue.cost for clue in clues], axis=0) + _unlikely()
    best = int(np.argmin(cost))
    shift = float(SHIFT_S[best])
    small = abs(shift) < parameter("clock.least").value
    if small or cost[_NONE] - cost[best] < parameter("clock.need").value:
        return None
    gain = {clue.name: float(clue.cost[_NONE] - clue.cost[best]) for clue in clues}
    least = parameter("clock.worth").value
    why = sorted((name for name in gain if gain[name] >= least), key=lambda name: -gain[name])
    return Apart(shift, tuple(why))


def _unlikely() -> Array:
    off = np.abs(SHIFT_S - np.round(SHIFT_S / _HOUR_S) * _HOUR_S)
    some = np.where(off < STEP_S, _BY_HOURS, _BY_ANY) + _PER_HOUR * np.abs(SHIFT_S) / _HOUR_S
    some[_NONE] = 0.0
    return some


def of_moment(name: str, read_s: float, said_s: float, doubt_s: float) -> Clue:
    """Compare a moment that the readings tell with the one written down.

    Parameters
    ----------
    name : str
    read_s, said_s : float
        By the readings' clock and by the other [s].
    doubt_s : float
        Standard deviation of the two together [s].
    """
    off = (read_s - SHIFT_S - said_s) / doubt_s
    return Clue(name, np.minimum(off**2 / 2.0, parameter("clock.moment").value))


def of_values(
    name: str,
    time_s: Array,
    value_c: Array,
    said: Sequence[tuple[float, float]],
    *,
    doubt_k: float,
    lasting_k: float,
    most: float | None = None,
    least: int = 1,
) -> Clue | None:
    """Compare readings with numbers written down, or read by another probe, at the same times.

    Parameters
    ----------
    name : str
    time_s, value_c : arrays
        Readings [s] and [°C].
    said : sequence of (float, float)
        Times [s] and temperatures [°C] by the other clock.
    doubt_k : float
        Scatter between the two [K].
    lasting_k : float
        Doubt of a difference that lasts all day [K]: two probes, two places.
    most : float, optional
        Most that all together may say; ``clock.values`` by default.
    least : int, optional
        Fewer of `said` within the readings, as they stand, tell nothing.

    Returns
    -------
    Clue or None
        None where there is nothing to compare.
    """
    grid = even(time_s, value_c)
    # What lies outside as it is must not pull the clock to where it would lie inside.
    there = [] if grid is None else [one for one in said if _seen(grid, one[0])]
    if grid is None or len(there) < least:
        return None
    times, values = (np.array(column) for column in zip(*there, strict=True))
    wanted = times[None, :] + SHIFT_S[:, None]
    row = np.round((wanted - grid.time_s[0]) / STEP_S).astype(np.int64)
    inside = (row >= 0) & (row < len(grid))
    row = np.clip(row, 0, len(grid) - 1)
    known = inside & grid.seen[row]
    apart = np.where(known, grid.value_c[row] - values, 0.0)
    lasting = np.sum(apart, axis=1) / (known.sum(axis=1) + (doubt_k / lasting_k) ** 2)
    each = np.minimum(((apart - lasting[:, None]) / doubt_k) ** 2 / 2.0, 1.0)
    each = np.where(known, each, _UNSEEN)
    weight = min(1.0, (parameter("clock.values").value if most is None else most) / len(times))
    cost = np.sum(each, axis=1) * weight
    return Clue(name, cost + np.minimum((lasting / lasting_k) ** 2 / 2.0, 1.0))


def _seen(grid: Even, at_s: float) -> bool:
    row = round((at_s - float(grid.time_s[0])) / STEP_S)
    return 0 <= row < len(grid) and bool(grid.seen[row])


def of_openings(name: str, signs: Sequence[Sign], said_s: Sequence[float]) -> Clue | None:
    """Compare lids that the pit shows with what was done at the meat.

    Parameters
    ----------
    name : str
    signs : sequence of Sign
        Openings of the lid by the readings' clock.
    said_s : sequence of float
        Times at which hands were on the meat, by the other clock [s].
    """
    if len(signs) < 2 or len(said_s) < 2:
        return None
    doubt = parameter("clock.lid_doubt").value
    read = np.array([sign.at_s for sign in signs])
    sure = np.array([sign.confidence for sign in signs])
    off = (read[None, None, :] - SHIFT_S[:, None, None] - np.array(said_s)[None, :, None]) / doubt
    fit = np.max(sure * np.exp(-(off**2) / 2.0), axis=2)
    most = parameter("clock.openings").value
    return Clue(name, np.sum(1.0 - fit, axis=1) * min(1.0, most / len(said_s)))


def on_s(time_s: Array, core_c: Array) -> tuple[float, float] | None:
    """Tell when meat went on by how its core began to warm.

    Heat takes a while to the core. How long it is from 2 to 20 K above the coldest tells how slow
    the piece is, and with that how long before it went on.

    Parameters
    ----------
    time_s, core_c : arrays
        Readings of a probe that was in the meat from before it began to warm [s], [°C].

    Returns
    -------
    (float, float) or None
        Moment and its doubt [s]; None where the beginning was not read.

    References
    ----------
    [own-fit]_
    """
    core = even(time_s, core_c)
    if core is None:
        return None
    low = np.fmin.accumulate(core.value_c)
    if low[0] > parameter("trace.on_below").value:
        return None
    begun, later = (
        np.flatnonzero(core.value_c >= low + parameter(f"clock.rise_{which}").value)
        for which in ("begun", "later")
    )
    if not len(begun) or not len(later) or not core.seen[: later[0]].all():
        return None
    first, second = float(core.time_s[begun[0]]), float(core.time_s[later[0]])
    slow = second - first
    # Put in later, it was on before: by how long nobody knows.
    if first - float(core.time_s[0]) < parameter("clock.rise_seen").value * slow:
        return None
    doubt = max(parameter("clock.rise_doubt").value * slow, parameter("clock.on_doubt").value)
    return first - parameter("clock.rise_share").value * slow, doubt
