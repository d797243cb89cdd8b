"""Kinds of values that differ between cooks: how each is said, and when two are the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.ground import units
from stallwise.joins import words
from stallwise.tables.comparing import nearness

__all__ = ["KINDS", "UNSAID", "Kind", "said", "same"]

#: What stands where nothing was written down.
UNSAID = "not said"


@dataclass(frozen=True)
class Kind:
    """How a kind of value is said in a cookbook's units, and how near two count as the same."""

    said: Callable[[Any, str], str]
    same: Callable[[Any, Any], bool] = lambda one, other: bool(one == other)


def said(kind: str, value: Any, system: str) -> str:
    """Say a value; None was not said."""
    return UNSAID if value is None else KINDS[kind].said(value, system)


def same(kind: str, one: Any, other: Any) -> bool:
    """Tell whether two values count as the same; what was not said is like nothing but itself."""
    if one is None or other is None:
        return one is other
    return KINDS[kind].same(one, other)


def _within(key: str, scale: float = 1.0) -> Callable[[Any, Any], bool]:
    return lambda one, other: abs(one - other) <= nearness(key) * scale


def _share(one: float, other: float) -> bool:
    return abs(one - other) <= nearness("same.share") * max(abs(one), abs(other))


def _curve_said(points: tuple[tuple[float, float], ...], system: str) -> str:
    """``225 °F, then 275 °F from 1 h on``."""
    first, last = points[0], points[-1]
    start = units.format_temperature(first[1], system)
    if len({temp for _, temp in points}) == 1:
        return start
    steps = "" if len(points) == 2 else ", in steps"
    end = units.format_temperature(last[1], system)
    return f"{start}, to {end} from {words.hours(first[0] / 3600)}{steps}"


def _curves_alike(
    one: tuple[tuple[float, float], ...], other: tuple[tuple[float, float], ...]
) -> bool:
    return len(one) == len(other) and all(
        abs(a - b) <= nearness("same.minutes") * 60 and abs(x - y) <= nearness("same.temperature")
        for (a, x), (b, y) in zip(one, other, strict=True)
    )


def _wrap_said(wrap: tuple[str, float | None, float | None], system: str) -> str:
    """``foil, 2 h 45 to 3 h 30``; `system` is that of every kind."""
    del system
    kind, low_s, high_s = wrap
    if kind == "none":
        return "bare"
    if low_s is None or high_s is None:
        return kind
    early, late = words.hours(low_s / 3600), words.hours(high_s / 3600)
    return f"{kind}, {early}" if early == late else f"{kind}, {early} to {late}"


def _wraps_alike(
    one: tuple[str, float | None, float | None], other: tuple[str, float | None, float | None]
) -> bool:
    near = nearness("same.minutes") * 60
    return one[0] == other[0] and all(
        a == b if a is None or b is None else abs(a - b) <= near
        for a, b in zip(one[1:], other[1:], strict=True)
    )


def _read_said(read: tuple[float, float, float, str], system: str) -> str:
    """``251 °F on average (238 to 266 °F)``, and where it was read, where that is not the grate."""
    middle, low, high = (units.format_temperature(value, system) for value in read[:3])
    where = "" if read[3] == "grate" else f", {read[3]}"
    return f"{middle} on average ({low.split()[0]} to {high}{where})"


def _reads_alike(
    one: tuple[float, float, float, str], other: tuple[float, float, float, str]
) -> bool:
    return one[3] == other[3] and abs(one[0] - other[0]) <= nearness("same.temperature")


def _times_said(count: int, system: str) -> str:
    del system
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


KINDS: Mapping[str, Kind] = {
    "text": Kind(lambda value, _: str(value)),
    "yes": Kind(lambda value, _: "yes" if value else "no"),
    "times": Kind(_times_said),
    "mass": Kind(units.format_mass, _share),
    "temperature": Kind(units.format_temperature, _within("same.temperature")),
    "air": Kind(units.format_temperature, _within("same.air")),
    "height": Kind(units.format_elevation, lambda one, other: abs(one - other) < 1.0),
    "duration": Kind(lambda value, _: words.hours(value / 3600), _share),
    "share": Kind(lambda value, _: words.percent(value), _within("same.share")),
    "salt": Kind(lambda value, _: f"{value:.1f} g a kilogram", _within("same.salt")),
    "curve": Kind(_curve_said, _curves_alike),
    "wrap": Kind(_wrap_said, _wraps_alike),
    "read": Kind(_read_said, _reads_alike),
}
