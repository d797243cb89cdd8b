"""Whether a published limit is met, over readings, moments and facts; pure, without words.

Four states: `running`, `met`, `missed`, `unknown`. Where food has to be hot the coldest probe
less its tolerance counts, where it has to be cold the warmest with it. A moment that lies in a
gap has an earliest and a latest: a limit is met when the worse of both keeps it, missed when the
better breaks it, else unknown. What the cook has not said is never filled in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from stallwise.models.limitclock import counter_limits_s
from stallwise.models.limitcurve import Probe, at_least_each, coldest, is_covered
from stallwise.models.standing import (
    READINGS,
    Moments,
    Standing,
    State,
    span_state,
    unchecked,
    unless_unchecked,
)
from stallwise.tables.limits import at_least, clock, figure, hold_tables

__all__ = ["held_at", "kept_hot", "least_temperature", "left_out", "reheat_time", "reheated"]


def least_temperature(
    probes: Sequence[Probe],
    minimum_c: float,
    at: Moments,
    *,
    rest_s: float = 0.0,
    gap_s: float | None = None,
) -> Standing:
    """Least temperature in every probed spot, and a rest off the heat.

    Parameters
    ----------
    probes : sequence of Probe
        All that were in the piece.
    minimum_c : float
        Least temperature [°C].
    at : Moments
        What happened when.
    rest_s : float, default 0
        Least time from off the heat, and from that temperature, to the knife [s].
    gap_s : float, optional
        Longest silence that still counts [s]; row ``gap``.

    References
    ----------
    [fsis-consumer-chart]_
    """
    if not any(len(one.time_s) for one in probes):
        return Standing("unknown", (READINGS,))
    # Before it went on a probe may have stood in boiling water, to be checked.
    cut = [one.between(at.on_s, at.until_s) for one in probes]
    seen: dict[str, float] = {}
    hottest = [float(one.less_c.max()) for one in cut if len(one.time_s)]
    if hottest:
        seen["coldest_c"] = min(hottest)
    reached = [_first(one, minimum_c) for one in cut]
    missing = unchecked(probes)
    if any(when is None for when in reached):
        if at.open:
            return Standing("running", missing, seen)
        late = [one for one, when in zip(cut, reached, strict=True) if when is None]
        clear = any(is_covered(one, at.on_s, at.cut_s, _gap(gap_s)) for one in late)
        if clear:
            return Standing("missed", missing, seen)
        return Standing("unknown", (READINGS, *missing), seen)
    when_s = max(when for when in reached if when is not None)
    seen["reached_s"] = when_s
    rested = _rested(when_s, rest_s, at)
    seen |= rested.seen
    found = Standing(rested.state, rested.needs, seen)
    return unless_unchecked(_unless_never_on(found, at), missing)


def held_at(
    probes: Sequence[Probe], table: str, at: Moments, *, gap_s: float | None = None
) -> Standing:
    """One row of a table of holds, in all probed spots at the same time.

    Parameters
    ----------
    probes, at, gap_s
        As for `least_temperature`.
    table : str
        Name of the table, as for `stallwise.tables.limits.hold`.

    Notes
    -----
    The colder of two neighbouring readings counts for the time between them. The rise after the
    heat counts too, up to the cut.
    """
    if not any(len(one.time_s) for one in probes):
        return Standing("unknown", (READINGS,))
    gap = _gap(gap_s)
    cut = [one.between(at.on_s, at.until_s) for one in probes]
    low = coldest(cut, gap)
    missing = unchecked(probes)
    seen: dict[str, float] = {}
    finite = low.low_c[np.isfinite(low.low_c)]
    if len(finite):
        seen["coldest_c"] = float(finite.max())
    for row in reversed(hold_tables()[table]):
        held = low.longest_s(row.temperature_c)
        if held is not None and held >= row.hold_s:
            seen |= {"row_c": row.temperature_c, "row_s": row.hold_s, "held_s": held}
            return unless_unchecked(_unless_never_on(Standing("met", (), seen), at), missing)
    if at.open:
        return Standing("running", missing, seen)
    if all(is_covered(one, at.on_s, at.cut_s, gap) for one in cut):
        return Standing("missed", missing, seen)
    return Standing("unknown", (READINGS, *missing), seen)


def kept_hot(
    probes: Sequence[Probe],
    minimum_c: float,
    at: Moments,
    *,
    gap_s: float | None = None,
) -> Standing:
    """Kept at a temperature or above from off the heat until it is cut.

    Parameters
    ----------
    probes, at, gap_s
        As for `least_temperature`.
    minimum_c : float
        Least temperature of the hold [°C].

    References
    ----------
    [fda-food-code]_, [fsis-basics]_
    """
    if at.off_s is None:
        return Standing("unknown", ("off",))
    gap, missing = _gap(gap_s), unchecked(probes)
    held = [one.between(at.off_s, at.until_s) for one in probes]
    said = [one for one in held if len(one.time_s)]
    seen: dict[str, float] = {"off_s": at.off_s}
    if said:
        seen["coldest_c"] = min(float(one.less_c.min()) for one in said)
        under = [one.time_s[~at_least_each(one.less_c, minimum_c)] for one in said]
        first = min((float(times[0]) for times in under if len(times)), default=math.inf)
        if math.isfinite(first):
            seen["under_s"] = first
            return Standing("missed", missing, seen)
    if not probes or not all(is_covered(one, at.off_s, at.until_s, gap) for one in probes):
        return Standing("unknown", (READINGS, *missing), seen)
    if at.cut_s is not None:
        return unless_unchecked(Standing("met", (), seen), missing)
    return Standing("unknown" if at.ended else "running", ("cut",) if at.ended else missing, seen)


def left_out(
    probes: Sequence[Probe],
    at: Moments,
    *,
    ambient_c: float | None = None,
    warmed: bool = False,
) -> Standing:
    """Time of cooked food between hot and cold, by the two-hour rule for homes.

    Parameters
    ----------
    probes, at
        As for `least_temperature`; it begins when the food was last known to be hot enough.
    ambient_c : float, optional
        Air where it stood [°C]; not known decides nothing in the cook's favour.
    warmed : bool, default False
        Something warmed it after it came off the heat.

    Notes
    -----
    The rule counts time between 40 and 140 °F. Off the heat nothing warms food, so what reads hot
    was hot all along, also where nobody looked in between: the time begins with the last reading
    that was hot before any that was not. Food that was warmed again may have been cold in a gap.

    References
    ----------
    [fsis-basics]_
    """
    usual = clock("two-hours")
    hot_c = usual.to_c if usual.to_c is not None else math.inf
    if at.off_s is None:
        return Standing("unknown", ("off",))
    last_hot, first_cool = at.off_s, math.inf
    if probes and all(len(one.time_s) for one in probes):
        held = [one.between(at.off_s, at.chilled_s) for one in probes]
        gap = _gap(None) if warmed else math.inf
        last_hot = min(_last_hot(one, hot_c, at.off_s, gap) for one in held)
        first_cool = min(_first_cool(one, hot_c) for one in held)
    limits = counter_limits_s(ambient_c)
    seen = {"from_s": last_hot, "until_s": last_hot + min(limits)}
    if at.chilled_s is None:
        in_time = not at.ended and at.now_s - last_hot <= max(limits)
        if in_time:
            return Standing("running", ("ambient",) if len(limits) > 1 else (), seen)
        return Standing("unknown", ("chilled",), seen)
    worst = at.chilled_s - last_hot
    # Never read below the line, it may have been hot all the while.
    best = max(at.chilled_s - max(first_cool, last_hot), 0.0) if math.isfinite(first_cool) else 0.0
    seen |= {"worst_s": worst, "best_s": best}
    states: set[State] = {span_state(limit, worst, best) for limit in limits}
    if states in ({"met"}, {"missed"}):
        # Within its time from off the heat on, no probe is needed to say so.
        leaned_on = at.chilled_s - at.off_s > min(limits)
        missing = unchecked(probes) if leaned_on else ()
        return unless_unchecked(Standing(states.pop(), (), seen), missing)
    needs = (READINGS,) if "unknown" in states else ()
    return Standing("unknown", (*needs, *(("ambient",) if len(limits) > 1 else ())), seen)


def reheated(probes: Sequence[Probe], minimum_c: float, at: Moments) -> Standing:
    """Reheated to a least temperature before it is served.

    Parameters
    ----------
    probes : sequence of Probe
        Readings since it went back on the heat.
    minimum_c : float
        Least temperature [°C].
    at : Moments
        What happened when.
    """
    found = least_temperature(probes, minimum_c, at)
    # One look at the end is all there is of a pan that is reheated: no gap to speak of.
    return Standing("unknown", found.needs, found.seen) if found.state == "missed" else found


def reheat_time(probes: Sequence[Probe], minimum_c: float, limit_s: float, at: Moments) -> Standing:
    """Time from going back on the heat to a least temperature.

    Parameters
    ----------
    probes, minimum_c, at
        As for `reheated`.
    limit_s : float
        Longest time allowed [s].

    Notes
    -----
    Cool readings past that time are a missed limit where they only rose, or left no gap: food on
    the heat that reads cool was not hot before. Where it was higher before, it may have been.
    """
    if at.on_s is None:
        return Standing("unknown", ("on",))
    seen: dict[str, float] = {"from_s": at.on_s, "until_s": at.on_s + limit_s}
    cut = [one.between(at.on_s, at.until_s) for one in probes]
    reached = [_first(one, minimum_c) for one in cut]
    if cut and all(when is not None for when in reached):
        seen["worst_s"] = max(when for when in reached if when is not None) - at.on_s
        state = span_state(limit_s, seen["worst_s"], _cold_for(cut, minimum_c, at.on_s))
        needs = (READINGS,) if state == "unknown" else ()
        return unless_unchecked(Standing(state, needs, seen), unchecked(probes))
    seen["best_s"] = _cold_for(cut, minimum_c, at.on_s)
    if span_state(limit_s, math.inf, seen["best_s"]) == "missed":
        return Standing("missed", unchecked(probes), seen)
    if not at.ended and at.now_s - at.on_s <= limit_s:
        return Standing("running", (), seen)
    return Standing("unknown", (READINGS,), seen)


def _cold_for(probes: Sequence[Probe], minimum_c: float, from_s: float) -> float:
    """Least time for which some probe was short of a temperature for certain [s]."""
    return max((_cold_until(one, minimum_c, from_s) for one in probes), default=from_s) - from_s


def _cold_until(one: Probe, minimum_c: float, from_s: float) -> float:
    until, gap, highest = from_s, _gap(None), -math.inf
    for when, low, high in zip(one.time_s, one.less_c, one.more_c, strict=True):
        if at_least(high, minimum_c) or (when - until > gap and low < highest):
            break
        until, highest = float(when), max(highest, float(low))
    return until


def _gap(gap_s: float | None) -> float:
    return figure("gap").si if gap_s is None else gap_s


def _unless_never_on(one: Standing, at: Moments) -> Standing:
    """Take a met limit back where nobody said when it went on: a probe was hot somewhere, sometime."""
    if at.on_s is not None or one.state != "met":
        return one
    return Standing("unknown", ("on", *one.needs), one.seen)


def _first(one: Probe, limit_c: float) -> float | None:
    hot = at_least_each(one.less_c, limit_c)
    return float(one.time_s[np.argmax(hot)]) if hot.any() else None


def _rested(reached_s: float, rest_s: float, at: Moments) -> Standing:
    if rest_s <= 0.0:
        return Standing("met")
    if at.off_s is None:
        return Standing("running" if at.open else "unknown", ("off",))
    done_s = max(at.off_s, reached_s) + rest_s
    seen = {"until_s": done_s}
    if at.cut_s is not None:
        return Standing("met" if round(at.cut_s) >= round(done_s) else "missed", (), seen)
    if round(at.now_s) >= round(done_s):
        return Standing("met", (), seen)
    return Standing("unknown", ("cut",), seen) if at.ended else Standing("running", (), seen)


def _last_hot(one: Probe, hot_c: float, from_s: float, gap: float) -> float:
    """Latest moment up to which a probe says without a break that it is hot."""
    hot = at_least_each(one.less_c, hot_c)
    last = from_s
    for when, fine in zip(one.time_s, hot, strict=True):
        if not fine or when - last > gap:
            break
        last = float(when)
    return last


def _first_cool(one: Probe, hot_c: float) -> float:
    cool = ~at_least_each(one.more_c, hot_c)
    return float(one.time_s[np.argmax(cool)]) if cool.any() else math.inf
