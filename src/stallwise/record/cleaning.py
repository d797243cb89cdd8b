"""Values that a probe cannot have measured where it was meant to be; nothing is put in their place.

What is left out has a reason, and can be brought back. Where two readings of a probe are both
possible (it was moved within the meat), both stay and a word is said.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

__all__ = [
    "HIGHEST_C",
    "LOWEST_C",
    "OUT_OF_MEAT",
    "RESET_C",
    "RESET_STEP_K",
    "Cleaned",
    "Series",
    "clean",
    "reads_the_pit",
]

# What a cook sees of these is in data/record_limits.csv; a test compares.
#: What a probe at a fire can have measured [°C].
LOWEST_C, HIGHEST_C = -60.0, 600.0
#: What a digital sensor says after it lost its current or its wire [°C], and how far from both
#: neighbours [K] it then stands; a true 85 °C in a climb is kept. The last is 0 °F.
RESET_C, RESET_STEP_K = (85.0, -0.0625, -0.06, 0.0, -17.7778), 10.0
#: A value with nothing near it in time [s] is told by nothing.
NEAR_S, POWER_UP_S = 1200.0, 120.0
#: What meat cannot do [K] within this time [s]; and how near a value that comes back must be.
MEAT_STEP_K, MEAT_STEP_S, MEAT_BACK_K = 12.0, 180.0, 6.0
#: Meat does not cool by that much in this time either [s].
MEAT_FALL_S = 600.0
#: How long a probe may be out of the meat for a look [s] to count as one spike.
MEAT_SPIKE_S = 600.0
#: A pit does not leap so far [K] and back in this time [s], whatever is opened.
PIT_STEP_K, PIT_SPIKE_S = 80.0, 120.0
#: A probe that came out reads less than this [°C], or reads the pit to within this [K].
OUT_C, PIT_NEAR_K = 45.0, 10.0
#: In a cooler pit [°C] meat may come as warm as the pit itself.
PIT_HOT_C = 80.0
#: How long a probe may lie about before it goes into the meat [s].
BEFORE_S = 3600.0
#: A step this large [K] is worth a word, though both sides are possible.
MOVED_K = 8.0
#: A leap is over in this time [s]; a climb that lasts longer is heat.
LEAP_S = 360.0

_MELTED = "a sensor that lost contact says this"
_SPIKE = "a leap and back that {} cannot make: a loose plug, or the probe out for a moment"
_BEFORE = "the probe was not in the meat yet"
_OUT = "the probe was out of the meat"
_PIT = "the probe was out of the meat and read the pit"
OUT_OF_MEAT = frozenset({_OUT, _PIT})


@dataclass(frozen=True)
class Series:
    """Values of one probe: seconds, ascending, and temperatures [°C]."""

    time_s: Sequence[float]
    temperature_c: Sequence[float]


@dataclass(frozen=True)
class Cleaned:
    """Reasons by row, and steps (row, before [°C], after [°C]) that are worth a word."""

    reasons: dict[int, str]
    moved: tuple[tuple[int, float, float], ...] = ()


def clean(series: Series, kind: str, *, fine: bool = True, pit: Series | None = None) -> Cleaned:
    """Tell which values cannot be.

    Parameters
    ----------
    series : Series
        All numbers of one probe.
    kind : {"piece", "pit", ""}
        What it measures; where that is not known only codes and the impossible are told.
    fine : bool, default True
        The values have decimals, so that 85.0 °C is a rare number.
    pit : Series, optional
        Readings of the pit over the same time.

    Returns
    -------
    Cleaned
    """
    time, temp = series.time_s, series.temperature_c
    reasons = {
        row: f"no probe at a fire reads this (below {LOWEST_C:g} °C or above {HIGHEST_C:g} °C)"
        for row, value in enumerate(temp)
        if not LOWEST_C <= value <= HIGHEST_C
    }
    kept = [row for row in range(len(temp)) if row not in reasons]
    # In whole degrees Fahrenheit 185 is a number like any other.
    codes = RESET_C if fine else RESET_C[1:]
    found = _codes(time, temp, kept, codes)
    reasons |= found
    kept = [row for row in kept if row not in found] if found else kept
    moved: list[tuple[int, float, float]] = []
    if kind:
        meat = kind == "piece"
        spikes = _spikes(time, temp, kept, meat=meat)
        reasons |= dict.fromkeys(spikes, _SPIKE.format("meat" if meat else "a pit"))
        kept = [row for row in kept if row not in spikes] if spikes else kept
        if meat:
            out, moved = _out_of_meat(time, temp, kept, pit)
            reasons |= out
    return Cleaned(reasons, tuple(moved))


# --- codes ----------------------------------------------------------------------------


def _codes(
    time: Sequence[float], temp: Sequence[float], kept: Sequence[int], codes: Iterable[float]
) -> dict[int, str]:
    """Rows that hold a sensor's code, in runs that stand apart from what is round them."""
    said = {value for value in set(temp) if any(abs(value - code) < 0.006 for code in codes)}
    found: dict[int, str] = {}
    if not said:
        return found
    for run in _runs([at for at, row in enumerate(kept) if temp[row] in said], temp, kept):
        first, last = kept[run[0]], kept[run[-1]]
        before = kept[run[0] - 1] if run[0] else None
        after = kept[run[-1] + 1] if run[-1] + 1 < len(kept) else None
        ends = before is None or after is None
        # A sensor starts with 85; with only one neighbour it has to be close.
        near = POWER_UP_S if ends and abs(temp[first] - RESET_C[0]) < 0.006 else NEAR_S
        steps = [
            temp[first] - temp[side]
            for side, edge in ((before, first), (after, last))
            if side is not None and abs(time[edge] - time[side]) <= near
        ]
        if len(steps) == (1 if ends else 2) and all(
            abs(step) > RESET_STEP_K and (step > 0) == (steps[0] > 0) for step in steps
        ):
            found |= {kept[at]: _MELTED for at in run}
    return found


def _runs(rows: Sequence[int], temp: Sequence[float], kept: Sequence[int]) -> list[list[int]]:
    runs: list[list[int]] = []
    for at in rows:
        if runs and at == runs[-1][-1] + 1 and abs(temp[kept[at]] - temp[kept[at - 1]]) < 0.1:
            runs[-1].append(at)
        else:
            runs.append([at])
    return runs


# --- leaps and back -------------------------------------------------------------------


def _spikes(
    time: Sequence[float], temp: Sequence[float], kept: Sequence[int], *, meat: bool
) -> set[int]:
    step, longest = (MEAT_STEP_K, MEAT_SPIKE_S) if meat else (PIT_STEP_K, PIT_SPIKE_S)
    back = MEAT_BACK_K if meat else PIT_STEP_K / 3
    edge = 300.0 if meat else PIT_SPIKE_S
    found: set[int] = set()
    leaps = [
        at
        for at, (a, b) in enumerate(pairwise(kept))
        if abs(temp[b] - temp[a]) > step and time[b] - time[a] <= edge
    ]
    for leap in leaps:
        side = temp[kept[leap + 1]] > temp[kept[leap]]
        at = _foot(time, temp, kept, leap) if meat else leap
        start = kept[at]
        if kept[leap] in found:
            continue
        inside: list[int] = []
        for row in kept[at + 1 : at + 2000]:
            if time[row] - time[start] > longest:
                break
            if abs(temp[row] - temp[start]) <= back:
                found.update(inside)
                break
            if (temp[row] > temp[start]) != side:
                break
            inside.append(row)
    return found


def _foot(time: Sequence[float], temp: Sequence[float], kept: Sequence[int], leap: int) -> int:
    """Place from which a leap began, where it took several readings."""
    way = temp[kept[leap + 1]] - temp[kept[leap]]
    at = leap
    while at:
        step = temp[kept[at]] - temp[kept[at - 1]]
        if step * way <= 0 or abs(step) < 2.0 or time[kept[at]] - time[kept[at - 1]] > 60.0:
            break
        at -= 1
    return at


# --- out of the meat ------------------------------------------------------------------


def _out_of_meat(
    time: Sequence[float], temp: Sequence[float], kept: Sequence[int], pit: Series | None
) -> tuple[dict[int, str], list[tuple[int, float, float]]]:
    """Rows in which the probe of a piece was elsewhere, and steps that may be a move."""
    reasons: dict[int, str] = {}
    moved: list[tuple[int, float, float]] = []
    out: tuple[int, float, str] | None = None
    for start, end in _steps(time, temp, kept):
        before, after = temp[kept[start]], temp[kept[end]]
        if out is not None:
            since, level, why = out
            if abs(after - level) <= MEAT_STEP_K and abs(after - before) > MEAT_STEP_K:
                reasons |= dict.fromkeys(kept[since : end + 1], why)
                out = None
            continue
        lasted = time[kept[end]] - time[kept[start]]
        since_on, left = time[kept[start]] - time[kept[0]], time[kept[-1]] - time[kept[end]]
        if after > before and lasted > LEAP_S:
            continue  # a thin piece over a hot fire climbs so
        if after < min(before, OUT_C) and since_on <= BEFORE_S and since_on < left:
            reasons |= dict.fromkeys(kept[: end + 1], _BEFORE)
        elif why := _elsewhere(time, temp, kept, end, before, pit):
            out = (start + 1, before, why)
        elif lasted <= (LEAP_S if after > before else MEAT_FALL_S):
            moved.append((kept[end], before, after))
    if out is not None:
        reasons |= dict.fromkeys(kept[out[0] :], out[2])
    return reasons, moved


def _elsewhere(
    time: Sequence[float],
    temp: Sequence[float],
    kept: Sequence[int],
    end: int,
    before: float,
    pit: Series | None,
) -> str:
    """Where a probe went with a step, if it was out of the meat."""
    after = temp[kept[end]]
    # Half an hour on it has come to rest where it is.
    until = time[kept[end]] + 1800.0
    rest = [temp[row] for row in kept[end : end + 4000] if time[row] <= until]
    if after < before:
        return _OUT if min(rest) < min(OUT_C, before - 1.5 * MEAT_STEP_K) else ""
    if pit is None:
        return ""
    near = [
        abs(temp[row] - level) < PIT_NEAR_K
        for row in kept[end : end + 4000]
        if time[row] <= until and (level := _at(pit, time[row])) is not None and level > PIT_HOT_C
    ]
    return _PIT if len(near) > 2 and sum(near) * 2 > len(near) else ""


def _steps(
    time: Sequence[float], temp: Sequence[float], kept: Sequence[int]
) -> list[tuple[int, int]]:
    """Stretches, as places in `kept`, over which meat would have changed too fast."""
    found: list[tuple[int, int]] = []
    low = 0
    for high in range(1, len(kept)):
        now = time[kept[high]]
        while now - time[kept[low]] > MEAT_STEP_S:
            low += 1
        if low == high and _fell(time, temp, kept[high - 1], kept[high]):
            low = high - 1
        if low == high or abs(temp[kept[high]] - temp[kept[low]]) < MOVED_K:
            continue
        up = temp[kept[high]] > temp[kept[low]]
        same = found and (temp[kept[found[-1][1]]] > temp[kept[found[-1][0]]]) == up
        if same and low <= found[-1][1]:
            found[-1] = (found[-1][0], high)
        else:
            found.append((_edge(temp, kept, low, high), high))
    return [(start, _landing(temp, kept, start, end)) for start, end in found]


def _fell(time: Sequence[float], temp: Sequence[float], before: int, after: int) -> bool:
    """Tell a fall that meat cannot make, where the readings are too far apart for more."""
    return time[after] - time[before] <= MEAT_FALL_S and temp[before] - temp[after] > MEAT_STEP_K


def _edge(temp: Sequence[float], kept: Sequence[int], low: int, high: int) -> int:
    """Last place before a step at which the probe still stood near where it had been."""
    level = temp[kept[low]]
    span = abs(temp[kept[high]] - level)
    return next(
        (at for at in range(high - 1, low, -1) if abs(temp[kept[at]] - level) < span / 8), low
    )


def _landing(temp: Sequence[float], kept: Sequence[int], start: int, end: int) -> int:
    """First place after a step at which the probe stands where it comes to."""
    level = temp[kept[end]]
    span = abs(temp[kept[start]] - level)
    return next((at for at in range(start + 1, end) if abs(temp[kept[at]] - level) < span / 8), end)


# --- a probe that reads the pit -------------------------------------------------------


def reads_the_pit(piece: Series, pit: Series) -> bool:
    """Whether a probe that should be in meat goes with the pit all the time.

    Parameters
    ----------
    piece, pit : Series
        Cleaned.

    Returns
    -------
    bool
        Four readings in five within 5 K of the pit, over an hour and more, with the pit hot.
    """
    step = max(1, len(piece.time_s) // 500)
    pairs = [
        (value, level)
        for second, value in list(zip(piece.time_s, piece.temperature_c, strict=True))[::step]
        if (level := _at(pit, second)) is not None and level > 60.0
    ]
    long = len(piece.time_s) > 5 and piece.time_s[-1] - piece.time_s[0] >= BEFORE_S
    near = sum(1 for value, level in pairs if abs(value - level) <= 5.0)
    return long and len(pairs) > 5 and near * 5 >= len(pairs) * 4


def _at(series: Series, second: float) -> float | None:
    """Value of the reading nearest in time, if there is one within five minutes."""
    at = bisect_left(series.time_s, second)
    near = [row for row in (at - 1, at) if 0 <= row < len(series.time_s)]
    row = min(near, key=lambda each: abs(series.time_s[each] - second), default=None)
    if row is None or abs(series.time_s[row] - second) > 300.0:
        return None
    return series.temperature_c[row]
