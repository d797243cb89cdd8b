"""Two-stage cooling of cooked food over readings."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from stallwise.models.limitcurve import Probe, above_each, at_least_each
from stallwise.models.standing import (
    READINGS,
    Moments,
    Standing,
    State,
    span_state,
    unchecked,
    unless_unchecked,
    worst_state,
)
from stallwise.tables.limits import clock

__all__ = ["cooling"]


def cooling(probes: Sequence[Probe], at: Moments) -> Standing:
    """Two-stage cooling over readings; the warmest probe with its tolerance counts.

    Parameters
    ----------
    probes : sequence of Probe
        In the food that cools.
    at : Moments
        `now_s` and `ended` are used.

    References
    ----------
    [fda-food-code]_
    """
    if not any(len(one.time_s) for one in probes):
        return Standing("unknown", (READINGS,))
    if not all(len(one.time_s) for one in probes):
        return Standing("unknown", (READINGS, *unchecked(probes)))
    first, total = clock("cool-first"), clock("cool-total")
    begun = [_left(one, float(first.from_c or 0.0)) for one in probes]
    start_s = min(early for early, _ in begun)
    late_s = min(late for _, late in begun)
    needs = ["hot"] if math.isinf(start_s) else []
    seen = {} if math.isinf(start_s) else {"start_s": start_s}
    states: list[State] = []
    for name, stage in (("middle", first), ("cold", total)):
        ends = [_fell(one, float(stage.to_c or 0.0)) for one in probes]
        earliest = max(early for early, _ in ends)
        latest = max(late for _, late in ends)
        if math.isfinite(latest):
            seen[f"{name}_s"] = latest
            state: State = span_state(stage.limit_s, latest - start_s, max(earliest - late_s, 0.0))
        elif math.isfinite(late_s) and earliest - late_s > stage.limit_s:
            state = "missed"
            seen[f"above_{name}_s"] = earliest
        elif math.isinf(start_s) or at.ended:
            state = "unknown"
        else:
            seen.setdefault("until_s", start_s + stage.limit_s)
            # Nothing was read lately: it may have passed the line or the time unseen.
            state = "running" if at.now_s - start_s <= stage.limit_s else "unknown"
        states.append(state)
        if state == "unknown" and not needs:
            needs.append(READINGS)
    state = worst_state(*states)
    # What is missed stays so, whatever else is read.
    asked = () if state == "missed" else tuple(needs)
    return unless_unchecked(Standing(state, asked, seen), unchecked(probes))


def _left(one: Probe, hot_c: float) -> tuple[float, float]:
    """Earliest and latest moment at which a probe can have come below a temperature."""
    hot = at_least_each(one.less_c, hot_c)
    early = -math.inf
    if hot[0]:
        first_cool = int(np.argmax(~hot)) if not hot.all() else len(hot)
        early = float(one.time_s[first_cool - 1])
    cool = ~at_least_each(one.more_c, hot_c)
    late = float(one.time_s[np.argmax(cool)]) if cool.any() else math.inf
    return early, late


def _fell(one: Probe, cold_c: float) -> tuple[float, float]:
    """Latest moment at which it was still too warm for certain, and first at which it was not."""
    warm, sure = above_each(one.more_c, cold_c), above_each(one.less_c, cold_c)
    late = float(one.time_s[int(np.argmax(~warm))]) if not warm.all() else math.inf
    still = one.time_s[(one.time_s < late) & sure]
    return (float(still[-1]) if len(still) else -math.inf), late
