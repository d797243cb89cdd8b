"""Time between two temperatures on the way up: the come-up of meat on a slow fire."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from stallwise.models.limitcurve import Probe, at_least_each
from stallwise.models.standing import (
    READINGS,
    Moments,
    Standing,
    span_state,
    unchecked,
    unless_unchecked,
    worst_state,
)
from stallwise.tables.limits import Clock, figure

__all__ = ["climb"]


def climb(
    probes: Sequence[Probe],
    one: Clock,
    at: Moments,
    *,
    start_c: float | None = None,
) -> Standing:
    """Time between two temperatures on the way up, at each probe; the slowest counts.

    Parameters
    ----------
    probes : sequence of Probe
        At the spot that the rule names.
    one : Clock
        The rule's clock, with both temperatures.
    at : Moments
        What happened when.
    start_c : float, optional
        Temperature of the meat as it went on, where the cook has said so [°C].

    References
    ----------
    [fsis-appendix-a]_
    """
    if one.from_c is None or one.to_c is None or not any(len(probe.time_s) for probe in probes):
        return Standing("unknown", (READINGS,))
    found = [_climb(probe, one, at, start_c) for probe in probes]
    missing = unchecked(probes)
    state = worst_state(*(each.state for each in found))
    worst = max(found, key=lambda each: each.seen.get("worst_s", -1.0))
    needs = tuple(dict.fromkeys(need for each in found for need in each.needs))
    return unless_unchecked(Standing(state, needs, worst.seen), missing)


def _climb(probe: Probe, one: Clock, at: Moments, start_c: float | None) -> Standing:
    mine = probe.between(at.on_s, None)
    if not len(mine.time_s):
        return Standing("unknown", (READINGS,))
    enter_early, enter_late = _entered(mine, float(one.from_c or 0.0), at, start_c)
    if math.isinf(enter_early):
        enter_early = _cold_before(probe, float(one.from_c or 0.0), at)
    if math.isnan(enter_early):
        return Standing("running") if at.open else Standing("unknown", (READINGS,))
    leave_early, leave_late = _reached(mine, float(one.to_c or 0.0))
    best = leave_early - enter_late
    best = max(best, 0.0) if math.isfinite(best) else 0.0
    seen: dict[str, float] = {"best_s": best}
    if math.isfinite(enter_early):
        seen |= {"from_s": enter_early, "until_s": enter_early + one.limit_s}
    if math.isfinite(leave_late):
        seen["reached_s"] = leave_late
        if math.isfinite(enter_early):
            seen["worst_s"] = leave_late - enter_early
    state = span_state(one.limit_s, leave_late - enter_early, best)
    if state != "unknown":
        return Standing(state, (), seen)
    if not math.isfinite(enter_early):
        warm = start_c is not None and one.from_c is not None and start_c > one.from_c
        asked = "on" if at.on_s is None else "warm_start" if warm else "start_core"
        return Standing("unknown", (asked,), seen)
    # Past its time without a reading it may have passed the line, or the time.
    in_time = at.now_s - enter_early <= one.limit_s
    if math.isinf(leave_late) and at.open and in_time:
        return Standing("running", (), seen)
    return Standing("unknown", (READINGS,), seen)


def _entered(mine: Probe, from_c: float, at: Moments, start_c: float | None) -> tuple[float, float]:
    """Earliest and latest moment at which it can have come over the lower line; nan for not yet."""
    over = mine.more_c > from_c
    if not over.any():
        return math.nan, math.nan
    first = int(np.argmax(over))
    early = float(mine.time_s[first - 1]) if first else -math.inf
    if not first and at.on_s is not None and start_c is not None and start_c <= from_c:
        early = at.on_s
    sure = mine.less_c > from_c
    return early, float(mine.time_s[int(np.argmax(sure))]) if sure.any() else math.inf


def _cold_before(probe: Probe, from_c: float, at: Moments) -> float:
    """Last reading under the lower line shortly before it went on; -inf for none."""
    if at.on_s is None:
        return -math.inf
    before = probe.between(at.on_s - figure("gap").si, at.on_s)
    cold = before.time_s[before.more_c <= from_c]
    return float(cold[-1]) if len(cold) else -math.inf


def _reached(mine: Probe, to_c: float) -> tuple[float, float]:
    """Last moment at which it was short of the upper line, and first at which it was there."""
    there = at_least_each(mine.less_c, to_c)
    late = float(mine.time_s[int(np.argmax(there))]) if there.any() else math.inf
    under = (mine.time_s < late) & ~at_least_each(mine.more_c, to_c)
    return (float(mine.time_s[under][-1]) if under.any() else -math.inf), late
