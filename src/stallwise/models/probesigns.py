"""Signs that a probe reads something else than the core: moved, pulled out, or near the pit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.models.tracegrid import STEP_S, Array, Even, Mask, Sign, runs, smooth, stretches
from stallwise.tables.parameters import parameter

__all__ = ["Cleaned", "cleaned"]

Integers = NDArray[np.int64]

#: Two fast stretches nearer than this are one jump [s].
_ONE_JUMP_S = 150.0
#: A jump that lands within this of the pit, or ends below the latter, left the meat [K], [°C].
_AT_PIT_K, _COLD_C, _FELL_K = 12.0, 45.0, 15.0
#: A probe that is back is within the larger of these of where it was: [K], share of the jump.
_BACK_K, _BACK_SHARE = 5.0, 0.3
#: The first half hour of a trace is when a probe is put in [s].
_SETTING_S = 1800.0
#: Swings of the pit are looked for in an hour, every half an hour [s].
_HOUR_S = 3600.0
_SURE, _HALF_SURE = 0.8, 0.5
_SURE_OUT, _SURE_NEAR = 0.85, 0.65


@dataclass(frozen=True, eq=False)
class Cleaned:
    """A core trace without what is not the core.

    Attributes
    ----------
    core : Even
        As read.
    level_c : array
        Jumps taken out and bridged, for climbs only [°C].
    meat : array of bool
        Where the probe reads the meat.
    inserted_s : float or None
        When it was put into cold meat, if the trace shows it [s].
    follows : array of bool
        Where it follows the pit's swings and is trusted less.
    signs : tuple of Sign
    """

    core: Even
    level_c: Array
    meat: Mask
    inserted_s: float | None
    follows: Mask
    signs: tuple[Sign, ...]


@dataclass(frozen=True)
class _Jump:
    """A change faster than meat can: first and last point of it."""

    start: int
    end: int
    before_c: float
    after_c: float

    @property
    def step_k(self) -> float:
        return self.after_c - self.before_c


def cleaned(core: Even, pit_c: Array, *, half_m: float | None = None) -> Cleaned:
    """Find where a probe does not read the meat.

    Parameters
    ----------
    core : Even
        The probe.
    pit_c : array
        Pit as measured on the probe's grid [°C]; nan where it was not.
    half_m : float, optional
        Half of the piece's thickness [m]: thin ones may climb faster. The default is a large piece.

    Returns
    -------
    Cleaned
    """
    meat = np.ones(len(core), dtype=np.bool_)
    level = core.value_c.copy()
    signs: list[Sign] = []
    jumps = _jumps(core, _fastest_k_s(half_m))
    inserted, jumps = _insertion(core, jumps, meat)
    while jumps:
        jump, jumps = jumps[0], jumps[1:]
        back = _back(core, jump)
        if back is not None:
            signs.append(_away(core, jump, back))
            meat[_rows(core, jump.start, back)] = False
            jumps = [other for other in jumps if other.start >= back]
        elif _left_meat(core, jump, pit_c):
            signs.append(_out(core, jump))
            meat[_row(core, jump.start) + 1 :] = False
            jumps = _return(core, jump, jumps, meat)
        else:
            signs.append(_elsewhere(core, jump))
            rows = _rows(core, jump.start, jump.end)
            meat[rows] = False
            level[rows.stop :] -= jump.step_k
    boiling = core.value_c > parameter("trace.boiling").value
    signs += _boiling(core, boiling & meat)
    meat &= ~boiling
    follows = _following(core, pit_c, meat)
    signs += _followed(core, follows)
    return Cleaned(core, _bridged(level, meat), meat, inserted, follows, tuple(signs))


def _fastest_k_s(half_m: float | None) -> float:
    usual, large = parameter("trace.fastest").value, parameter("trace.fastest_half").value
    if half_m is None or half_m >= large:
        return usual
    return usual * (large / half_m) ** 2


def _jumps(core: Even, fastest_k_s: float) -> list[_Jump]:
    at, value = core.point_s, core.point_c
    other = np.searchsorted(at, at + parameter("trace.jump_over").value - 1.0)
    other = np.clip(other, 0, len(at) - 1)
    span = at[other] - at
    change = value[other] - value
    least = parameter("trace.jump").value
    fast = (
        (span > 0.0)
        & (span <= parameter("trace.gap").value)
        & (np.abs(change) >= least)
        & (np.abs(change) > fastest_k_s * span)
    )
    found: list[_Jump] = []
    for sign in (1.0, -1.0):
        group: list[tuple[int, int]] = []
        for i in np.flatnonzero(fast & (np.sign(change) == sign)):
            start, end = int(i), int(other[i])
            if group and at[start] - at[group[-1][1]] <= _ONE_JUMP_S:
                group[-1] = (group[-1][0], max(end, group[-1][1]))
            else:
                group.append((start, end))
        found += [_tight(value, start, end, sign) for start, end in group]
    return sorted(found, key=lambda jump: jump.start)


def _tight(value: Array, start: int, end: int, sign: float) -> _Jump:
    """Trim a jump to its own foot and head."""
    part = value[start : end + 1] * sign
    head = start + int(np.argmax(part))
    foot = start + int(
        len(part[: head - start + 1]) - 1 - np.argmin(part[: head - start + 1][::-1])
    )
    return _Jump(foot, head, float(value[foot]), float(value[head]))


def _insertion(core: Even, jumps: list[_Jump], meat: Mask) -> tuple[float | None, list[_Jump]]:
    """Take out what was read before the probe was put into cold meat."""
    begin = core.point_s[0] + _SETTING_S
    cold = parameter("trace.on_below").value
    first = [
        j for j in jumps if j.step_k < 0.0 and j.after_c < cold and core.point_s[j.start] <= begin
    ]
    if not first:
        return None, jumps
    last = first[-1]
    meat[: _row(core, last.end)] = False
    return float(core.point_s[last.end]), [j for j in jumps if j.start >= last.end]


def _back(core: Even, jump: _Jump) -> int | None:
    """First point at which the probe reads again what it did before the jump."""
    at, value = core.point_s, core.point_c
    stop = int(np.searchsorted(at, at[jump.start] + parameter("trace.away").value, side="right"))
    near = max(_BACK_K, _BACK_SHARE * abs(jump.step_k))
    if near >= abs(jump.step_k):
        near = abs(jump.step_k) / 2.0
    past = (value[jump.end : stop] - jump.before_c) * np.sign(jump.step_k)
    hits = np.flatnonzero(past <= near)
    return jump.end + int(hits[0]) if len(hits) else None


def _left_meat(core: Even, jump: _Jump, pit_c: Array) -> bool:
    pit = pit_c[_row(core, jump.end)]
    up = jump.step_k > 0.0 and (
        abs(jump.after_c - pit) < _AT_PIT_K or jump.after_c > parameter("trace.boiling").value
    )
    down = jump.after_c < _COLD_C and jump.step_k < -_FELL_K
    return bool(up or down)


def _return(core: Even, left: _Jump, jumps: list[_Jump], meat: Mask) -> list[_Jump]:
    """Take the probe as back in the meat after a jump the other way, if there is one."""
    for number, jump in enumerate(jumps):
        if jump.step_k * left.step_k < 0.0 and abs(jump.after_c - left.before_c) < 2 * _FELL_K:
            meat[_rows(core, jump.start, jump.end).stop :] = True
            return jumps[number + 1 :]
    return []


def _away(core: Even, jump: _Jump, back: int) -> Sign:
    why = "it jumped and came back to where it was: pulled out and put in again, not the meat"
    at, until = float(core.point_s[jump.start]), float(core.point_s[back])
    return Sign("probe_moved", at, until, jump.before_c, _SURE_OUT, why)


def _out(core: Even, jump: _Jump) -> Sign:
    where = "to the heat of the pit" if jump.step_k > 0.0 else "to the cold"
    why = f"it went {where} faster than meat can: the probe is out of the meat"
    return Sign("probe_moved", float(core.point_s[jump.start]), None, jump.before_c, _SURE, why)


def _elsewhere(core: Even, jump: _Jump) -> Sign:
    if jump.step_k > 0.0:
        why = "it rose faster than a piece of this size can: the probe moved, not the meat"
    else:
        why = "it fell faster than a piece of this size can: the probe sits elsewhere now"
    return Sign(
        "probe_moved", float(core.point_s[jump.start]), None, jump.before_c, _SURE_NEAR, why
    )


def _boiling(core: Even, where: Mask) -> list[Sign]:
    why = "hotter than moist meat can be: the probe reads the pit or a dry edge"
    long = round(parameter("trace.settle").value / STEP_S)
    found = [span for span in stretches(where, long) if span[1] - span[0] >= long]
    return [_stretch(core, span, _SURE_OUT, why) for span in found]


def _followed(core: Even, where: Mask) -> list[Sign]:
    why = "it swings with the pit: the probe lies near the surface, on bone, or in the air"
    return [_stretch(core, span, _SURE_NEAR, why) for span in runs(where)]


def _stretch(core: Even, span: tuple[int, int], confidence: float, why: str) -> Sign:
    start, end = span
    until = None if end >= len(core) else float(core.time_s[end - 1])
    middle = float(np.median(core.value_c[start:end]))
    return Sign("probe_suspect", float(core.time_s[start]), until, middle, confidence, why)


def _following(core: Even, pit_c: Array, meat: Mask) -> Mask:
    """Where the probe sees too much of the pit's swings: hour by hour."""
    found = np.zeros(len(core), dtype=np.bool_)
    arm, hour = round(900.0 / STEP_S), round(_HOUR_S / STEP_S)
    known = meat & core.seen & np.isfinite(pit_c)
    if known.sum() < hour:
        return found
    core_c = np.where(known, core.value_c, np.nan)
    mine, pit = core_c - smooth(core_c, arm), pit_c - smooth(np.where(known, pit_c, np.nan), arm)
    # Hours stand on whole half hours since hour zero, so that later readings move none.
    first = -int(core.time_s[0] // STEP_S) % (hour // 2)
    # The last rows still change with what is read next.
    for start in range(first, len(core) - hour - arm + 1, hour // 2):
        rows = slice(start, start + hour)
        if known[rows].sum() > _HALF_SURE * hour and _is_following(mine[rows], pit[rows]):
            found[rows] = True
    return found


def _is_following(mine: Array, pit: Array) -> bool:
    known = np.isfinite(mine) & np.isfinite(pit)
    mine, pit = mine[known] - mine[known].mean(), pit[known] - pit[known].mean()
    swing, own = float(pit.std()), float(mine.std())
    if swing < parameter("trace.follow_swing").value or own <= 0.0:
        return False
    shared = float((mine * pit).mean())
    return (
        shared / swing**2 >= parameter("trace.follow_gain").value
        and shared / (swing * own) >= parameter("trace.follow_match").value
    )


def _row(core: Even, point: int) -> int:
    return round(float(core.point_s[point] - core.time_s[0]) / STEP_S)


def _rows(core: Even, start: int, end: int) -> slice:
    """Rows from a jump's foot until it has settled."""
    settle = round(parameter("trace.settle").value / STEP_S)
    return slice(_row(core, start), min(_row(core, end) + settle, len(core)))


def _bridged(value_c: Array, meat: Mask) -> Array:
    rows = np.arange(len(value_c), dtype=np.float64)
    if not meat.any():
        return np.full(len(value_c), np.nan)
    return np.interp(rows, rows[meat], value_c[meat], left=np.nan, right=np.nan)
