"""Stages of a day read from the probes: stalls, wraps, meat on, cooling, a time to feel.

A stall is slow for how far the pit is away, so that a core that nears its pit does not stall.
What is read at a moment rests on what came before and on the half hour after it at most: later
readings take nothing back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stallwise.models.pitsigns import lid_openings, sags
from stallwise.models.probesigns import Cleaned, cleaned
from stallwise.models.tracegrid import (
    STEP_S,
    Array,
    Mask,
    Sign,
    climb_k_s,
    even,
    onto,
    runs,
    smooth,
    stretches,
)
from stallwise.tables.parameters import parameter

__all__ = ["core_signs", "pit_signs"]

_GAP_WHY = "there is a gap in the readings"
_HOUR_S = 3600.0
#: What takes from or adds to confidence.
_UNSEEN, _GUESSED_PIT, _FOLLOWING = 0.5, 0.85, 0.6
_LOW_FIRE = 0.35
_WIDE = 3
#: A wrap comes within a stall where it was slow in these minutes before.
_BEFORE_ROWS = 10
#: A fall of the pit so long before a turn of the core is about the same thing [s].
_TOGETHER_S = 600.0


@dataclass(frozen=True, eq=False)
class _Climb:
    """How fast a core climbs, a row a minute.

    Attributes
    ----------
    probe : Cleaned
    rate_k_s : array
        Climb by the window [K/s].
    pace : array
        Climb as a share of the fastest so far.
    share : array
        Climb over the distance to the pit, as a share of the best so far.
    wide_pace, wide_share : array
        The same by thrice the window, where there is as much.
    pit_known : bool
        The pit was measured for most of it.
    """

    probe: Cleaned
    rate_k_s: Array
    pace: Array
    share: Array
    wide_pace: Array
    wide_share: Array
    pit_known: bool

    @property
    def time_s(self) -> Array:
        return self.probe.core.time_s


def core_signs(
    time_s: Array,
    core_c: Array,
    *,
    pit_s: Array | None = None,
    pit_c: Array | None = None,
    plan_s: Array | None = None,
    plan_c: Array | None = None,
    half_m: float | None = None,
    wraps_s: Sequence[float] = (),
    off_s: float | None = None,
    hint_c: float | None = None,
) -> tuple[Sign, ...]:
    """Read stages from a probe in a piece.

    Parameters
    ----------
    time_s, core_c : arrays
        Times [s] and readings [°C]; nan where there is none. A second apart or ten minutes.
    pit_s, pit_c : arrays, optional
        What a probe in its pit read.
    plan_s, plan_c : arrays, optional
        What the pit was to hold, used where nothing was read; ``trace.pit_guess`` by default.
    half_m : float, optional
        Half of the piece's thickness [m]; a large piece by default.
    wraps_s : sequence of float
        When it was wrapped, as logged [s].
    off_s : float, optional
        When it came off, as logged [s]: no stall is looked for afterwards.
    hint_c : float, optional
        Core from which a feel check is worth while [°C]; no such hint by default.

    Returns
    -------
    tuple of Sign
        In order of time; nothing that is less sure than ``trace.doubt``.

    References
    ----------
    [own-fit]_
    """
    core = even(time_s, core_c)
    if core is None:
        return ()
    pit = None if pit_s is None or pit_c is None else even(pit_s, pit_c)
    measured = np.full(len(core), np.nan) if pit is None else onto(pit, core.time_s)
    probe = cleaned(core, measured, half_m=half_m)
    opened = () if pit is None else lid_openings(pit)
    signs = list(probe.signs)
    climb = _climb(probe, measured, _planned(core.time_s, plan_s, plan_c))
    off = _cooling(climb, measured)
    # A fire that has gone down is no end: what comes after still counts.
    ends = [sign.at_s for sign in off if sign.confidence > _LOW_FIRE]
    end_s = min([*ends, np.inf if off_s is None else off_s], default=np.inf)
    spells = _stalls(climb, wraps_s, end_s)
    signs += [_stall(climb, span) for span in spells]
    signs += [s for span in spells if (s := _wrap(climb, span, opened)) is not None]
    signs += _meat_on(probe, opened)
    signs += off
    if hint_c is not None:
        signs += _hint(probe, hint_c, end_s)
    return _told(signs)


def pit_signs(
    time_s: Array, pit_c: Array, *, set_s: Sequence[float] = (), until_s: float | None = None
) -> tuple[Sign, ...]:
    """Read lid openings and sags from a probe in a pit.

    Parameters
    ----------
    time_s, pit_c : arrays
        Times [s] and readings [°C]; nan where there is none.
    set_s : sequence of float
        When it was set to another temperature [s].
    until_s : float, optional
        When the last piece came off [s]: a fire may go down then.
    """
    if until_s is not None:
        time_s, pit_c = time_s[time_s <= until_s], pit_c[time_s <= until_s]
    pit = even(time_s, pit_c)
    if pit is None:
        return ()
    return _told([*lid_openings(pit), *sags(pit, set_s)])


def _told(signs: Sequence[Sign]) -> tuple[Sign, ...]:
    least = parameter("trace.doubt").value
    kept = (sign for sign in signs if sign.confidence >= least)
    return tuple(sorted(kept, key=lambda sign: (sign.at_s, sign.kind)))


def _planned(time_s: Array, plan_s: Array | None, plan_c: Array | None) -> Array:
    if plan_s is None or plan_c is None or not len(plan_s):
        return np.full(len(time_s), np.nan)
    return np.interp(time_s, plan_s, plan_c)


def _climb(probe: Cleaned, measured: Array, planned: Array) -> _Climb:
    """Work out how the climb stands to the best so far, a row a minute."""
    half = round(parameter("trace.window").value / STEP_S)
    known = np.isfinite(measured)
    guess = np.where(np.isfinite(planned), planned, parameter("trace.pit_guess").value)
    # A lid that was open a few minutes is no other pit.
    pit = np.where(known, smooth(measured, half), guess)
    rate = climb_k_s(probe.level_c, half)
    wide = climb_k_s(probe.level_c, _WIDE * half)
    wide = np.where(np.isfinite(wide), wide, rate)
    away = pit - smooth(np.where(probe.meat, probe.core.value_c, probe.level_c), half)
    drive = np.where(away >= parameter("trace.drive").value, away, np.nan)
    risen = probe.level_c - np.fmin.accumulate(probe.level_c)
    best = _best(rate / drive, probe.meat)
    fast = _best(rate, probe.meat)
    can = (fast >= parameter("trace.stall_climb").value) & (best > 0.0)
    can &= risen >= parameter("trace.stall_rise").value
    best, fast = np.where(can, best, np.nan), np.where(can, fast, np.nan)
    seen = bool(known.mean() > _UNSEEN)
    return _Climb(
        probe, rate, rate / fast, rate / drive / best, wide / fast, wide / drive / best, seen
    )


def _best(values: Array, meat: Mask) -> Array:
    """Highest value so far."""
    return np.maximum.accumulate(np.where(meat & np.isfinite(values), values, -np.inf))


def _stalls(climb: _Climb, wraps_s: Sequence[float], end_s: float) -> list[tuple[int, int]]:
    """Spells of slow climb, as rows; one that begins just after a wrap is left out."""
    time = climb.time_s
    core = np.where(climb.probe.meat, climb.probe.core.value_c, climb.probe.level_c)
    falling = climb.rate_k_s < -parameter("trace.cooling").value
    inside = (
        (core >= parameter("trace.stall_low").value)
        & (core <= parameter("trace.stall_high").value)
        & ~falling
        & (time < end_s)
    )
    leave, most = parameter("trace.stall_leave").value, parameter("trace.stall_share").value
    # Where the pit is hardly hotter a slow core tells nothing: a stall begun before may go on.
    idle = inside & ~np.isfinite(climb.share) & (climb.wide_pace < leave)
    slower = inside & (climb.wide_share < most) & (climb.wide_pace < leave)
    slow = inside & (climb.share < most) & (climb.pace < parameter("stall.share").value)
    dip = parameter("trace.wrap_dip").value
    for wrap in wraps_s:
        at = int(np.searchsorted(time, wrap))
        if not slow[max(at - _BEFORE_ROWS, 0) : at].any():
            after = (time >= wrap) & (time < wrap + dip)
            slow &= ~after
            slower &= ~after
    least = parameter("trace.stall_shortest").value / STEP_S
    sure = np.zeros(len(time), dtype=np.bool_)
    for start, end in runs(slow):
        if end - start >= least:
            sure[start:end] = True
    apart = round(parameter("trace.stall_apart").value / STEP_S)
    told = slower | sure
    spells = []
    for start, end in stretches(told | idle, apart):
        certain, slow_rows = np.flatnonzero(sure[start:end]), np.flatnonzero(told[start:end])
        # It begins where it is slow for certain: sooner, and later readings could take it back.
        if len(certain):
            spells.append((start + int(certain[0]), start + int(slow_rows[-1]) + 1))
    return spells


def _stall(climb: _Climb, span: tuple[int, int]) -> Sign:
    start, end = span
    time, rows = climb.time_s, slice(start, end)
    last = int(np.flatnonzero(np.isfinite(climb.rate_k_s))[-1])
    half = parameter("trace.window").value
    lasting = end > last and time[-1] - time[last] <= half + STEP_S
    pace = float(np.nanmedian(climb.pace[rows]))
    depth = np.clip(1.0 - pace / parameter("trace.stall_leave").value, 0.0, 1.0)
    long = min((end - start) * STEP_S / _HOUR_S, 1.0)
    sure = 0.35 + 0.35 * float(depth) + 0.25 * long
    why = "the core climbs slowly though the pit is hotter by far"
    edges = climb.probe.core.seen[max(start - 1, 0) : end + 1]
    if not edges.all():
        sure *= _UNSEEN + (1.0 - _UNSEEN) * float(edges.mean()) ** 2
        why += f"; {_GAP_WHY}"
    if not climb.pit_known:
        sure *= _GUESSED_PIT
    if climb.probe.follows[rows].mean() > _UNSEEN:
        sure *= _FOLLOWING
        why += "; the probe follows the pit"
    middle = float(np.median(climb.probe.core.value_c[rows]))
    until = None if lasting else float(time[min(end, last)])
    return Sign("stall", float(time[start]), until, middle, sure, why)


def _about(row: int, half: int, rows: int) -> slice:
    """Rows about one, that there are."""
    return slice(max(row - 2 * half, 0), min(row + 2 * half, rows))


def _wrap(climb: _Climb, span: tuple[int, int], opened: Sequence[Sign]) -> Sign | None:
    """Tell a stall that ends with a sharp turn: it was wrapped a while before."""
    time, level = climb.time_s, climb.probe.level_c
    half = round(parameter("trace.window").value / STEP_S)
    near = range(max(span[1] - half, half), min(span[1] + half, len(time) - half))
    if not near or span[1] + half >= len(time):
        return None
    if not climb.probe.meat[_about(span[1], half, len(time))].all():
        return None  # the probe was touched: its turn is not the meat's
    arm = np.arange(-half / 2.0, half / 2.0 + 0.5)
    weight = arm / (arm @ arm) / STEP_S

    def turn_k_s(row: int) -> float:
        before, after = level[row - half : row + 1], level[row : row + half + 1]
        return float(weight @ after - weight @ before)

    turns = [turn_k_s(row) for row in near]
    best = int(np.argmax(turns))
    row = near[best]
    fastest = float(np.nanmax(climb.rate_k_s[: row + 1]))
    if not turns[best] >= parameter("trace.wrap_turn").value * fastest:
        return None
    lag = parameter("trace.wrap_before").value
    at = float(time[row])
    seen = [s for s in opened if at - lag <= s.at_s <= at + _TOGETHER_S]
    if seen:
        one = max(seen, key=lambda s: s.confidence)
        at, sure, why = one.at_s, 0.6, "the lid was open and the core turned upwards soon after"
    else:
        sure, why = 0.35, "the stall ended with a sharp turn"
    if not climb.probe.core.seen[row - half : row + half].all():
        sure, why = sure * _UNSEEN, f"{why}; {_GAP_WHY}"
    core = float(np.interp(at, time, climb.probe.core.value_c))
    return Sign("wrapped", at, None, core, sure, why)


def _meat_on(probe: Cleaned, opened: Sequence[Sign]) -> list[Sign]:
    """Tell when a cold core began to warm; the lid or the probe's own fall tells the minute."""
    time, value = probe.core.time_s, np.where(probe.meat, probe.core.value_c, np.nan)
    low = np.fmin.accumulate(value)
    known = np.flatnonzero(probe.meat)
    if not len(known) or value[known[0]] > parameter("trace.on_below").value:
        return []
    risen = np.flatnonzero(value >= low + parameter("trace.on_rise").value)
    if not len(risen):
        return []
    rise = float(time[risen[0]])
    lag = parameter("trace.on_lag").value
    lids = [s.at_s for s in opened if rise - lag <= s.at_s <= rise]
    first = float(time[known[0]])
    if lids:
        at, sure, why = lids[-1], 0.7, "the lid was open just before the core began to warm"
    elif probe.inserted_s is not None and probe.inserted_s >= rise - lag:
        at, sure, why = probe.inserted_s, 0.65, "the probe fell to cold meat, which began to warm"
    elif first >= rise - lag:
        at, sure, why = first, 0.4, "the readings begin with cold meat that soon warms"
    else:
        at, sure, why = rise, 0.35, "the core began to warm; it went on some time before"
    if not probe.core.seen[: risen[0]].all():
        sure, why = sure * _UNSEEN, f"{why}; {_GAP_WHY}"
    return [Sign("meat_on", at, None, float(value[known[0]]), sure, why)]


def _cooling(climb: _Climb, measured: Array) -> list[Sign]:
    """Tell when a hot core began to fall for good."""
    core, time = climb.probe.core, climb.time_s
    falling = climb.rate_k_s < -parameter("trace.cooling").value
    falling &= (core.value_c > parameter("trace.stall_low").value) & climb.probe.meat
    least = parameter("trace.cooling_shortest").value / STEP_S
    found: list[Sign] = []
    for start, end in stretches(falling, 2):
        if end - start < least:
            continue
        pit = measured[start : start + int(least)]
        pit = pit[np.isfinite(pit)]
        peak = float(core.value_c[start])
        low = len(pit) > 0 and float(np.median(pit)) < peak
        if low and found:
            continue
        sure = _LOW_FIRE if low else 0.7 if len(pit) else 0.6
        why = "the core cools"
        why += "; the pit is colder than the meat: off, or the fire has gone down" if low else ""
        if not core.seen[start:end].all():
            sure, why = sure * _UNSEEN, f"{why}; {_GAP_WHY}"
        found.append(Sign("off", float(time[start]), None, peak, sure, why))
        if not low:
            break
    return found


def _hint(probe: Cleaned, hint_c: float, end_s: float) -> list[Sign]:
    """Tell when it is worth while to feel a piece; whether it is tender a probe does not know."""
    time = probe.core.time_s
    hot = (probe.core.value_c >= hint_c) & probe.meat & (time < end_s)
    for start, end in runs(hot):
        if (end - start) * STEP_S < parameter("trace.settle").value:
            continue
        sign = Sign(
            "feel_check",
            float(time[start]),
            None,
            float(probe.core.value_c[start]),
            parameter("trace.hint_confidence").value,
            "the core is as hot as such a piece often is when tender: feel it",
        )
        if not probe.core.seen[start]:
            sign = replace(
                sign, confidence=sign.confidence * _UNSEEN, why=f"{sign.why}; {_GAP_WHY}"
            )
        return [sign]
    return []
