"""Time instead of temperature: food that is set out by the clock and thrown away after it."""

from __future__ import annotations

import numpy as np

from stallwise.models.limitclock import discard_at_s
from stallwise.models.limitcurve import Probe, above_each, is_covered
from stallwise.models.standing import Moments, Standing, span_state, unchecked, unless_unchecked
from stallwise.tables.limits import at_least, clock, figure

__all__ = ["set_out"]


def set_out(read: Probe, at: Moments) -> Standing:
    """Food under time as control, from when it was set out to when it was cleared away.

    Parameters
    ----------
    read : Probe
        Readings of it before and after, empty for none.
    at : Moments
        Set out at `on_s`, cleared away at `cut_s`.

    Notes
    -----
    It has to start cold or hot, and has 4 h. The 6 h that the rule has for food that starts cold
    and never passes 70 °F count only where readings without a gap say so.

    References
    ----------
    [fda-food-code]_
    """
    if at.on_s is None:
        return Standing("unknown", ("set_out",))
    start = _start(read, at.on_s)
    key = "time-cold" if start == "cold" and _stays_cool(read, at.on_s, at.until_s) else "time-hot"
    until_s = discard_at_s(at.on_s, key)
    seen = {"from_s": at.on_s, "until_s": until_s}
    if at.cut_s is not None:
        seen["worst_s"] = seen["best_s"] = out_s = at.cut_s - at.on_s
        found = Standing(span_state(until_s - at.on_s, out_s, out_s), (), seen)
    elif not at.ended and at.now_s <= until_s:
        found = Standing("running", (), seen)
    else:
        found = Standing("unknown", ("cleared",), seen)
    if start is None and found.state != "missed":
        return Standing("unknown", ("set_out", *found.needs), seen)
    return unless_unchecked(found, unchecked([read]))


def _start(read: Probe, on_s: float) -> str | None:
    """Whether it was cold or hot by the last reading before, not long ago; None for neither."""
    before = read.between(on_s - figure("gap").si, on_s)
    if not len(before.time_s):
        return None
    hot, cold = figure("hot-hold").si, figure("cold-hold").si
    if at_least(float(before.less_c[-1]), hot):
        return "hot"
    return "cold" if at_least(cold, float(before.more_c[-1])) else None


def _stays_cool(read: Probe, from_s: float, to_s: float) -> bool:
    most_c = clock("time-cold").to_c
    inside = read.between(from_s, to_s)
    if most_c is None or bool(np.any(above_each(inside.more_c, most_c))):
        return False
    return is_covered(read, from_s, to_s, figure("gap").si)
