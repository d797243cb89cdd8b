"""The difference of two results, number by number, in words and as a table.

Lists are paired by what their items are called (a piece, a stage, an ingredient), never by
position, so that a piece more or a step less does not shift the rest. A trace is compared as
one: its largest difference.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["Difference", "compare", "in_words"]

#: What an item of a list is called by; the first key that it has.
_CALLED = (
    "piece",
    "step",
    "id",
    "mix",
    "ingredient",
    "limit",
    "what",
    "words",
    "stage",
    "key",
    "text",
)

#: Of the asking, not of the answer.
_NOT_COMPARED = frozenset(
    {
        "made_at",
        "seed",
        "members",
        "model_version",
        "inputs",
        "sources",
        "text",
        "hindcast",
        "schema",
        "as_of",
    }
)

#: Numbers closer than this are the same number written by another machine.
_RELATIVE = 1e-9
_ABSOLUTE = 1e-12

#: A move of a clock time under this many minutes is told in seconds.
_MINUTE_S = 60.0

_WORDS = {
    "p05": "1 in 20",
    "p10": "early",
    "p25": "1 in 4",
    "p50": "middle",
    "p75": "3 in 4",
    "p90": "late",
    "p95": "19 in 20",
    "clock": "at",
    "elapsed_h": "after meat on [h]",
    "odds_in_time": "chance to be in time",
    "odds": "chance to be in time",
    "loss_fraction": "share lost",
    "edible_kg": "to eat [kg]",
    "mass_kg": "weight on [kg]",
    "serve_at": "served at",
    "on_at": "meat on at",
    "light_at": "fire lit at",
    "hold_p50_h": "usual hold [h]",
    "hold_p90_h": "long hold [h]",
    "rest_h": "rest [h]",
    "carve_h": "carving [h]",
    "core_c": "core [°C]",
    "pit_c": "pit [°C]",
    "salt_g": "salt [g]",
    "total_g": "all together [g]",
    "grams": "[g]",
    "steps": "step",
    "pieces": "",
    "mixes": "mix",
    "lines": "",
    "stages": "",
    "chances": "",
    "reached": "days that reach it",
    "salt": "salt",
    "per_kg_edible_g": "salt per kg eaten [g]",
    "hour_zero": "first meat on at",
    "bark_set": "bark set",
    "stall_start": "stall begins",
    "stall_end": "stall ends",
}


@dataclass(frozen=True)
class Difference:
    """One thing that moved.

    Attributes
    ----------
    what : str
        Its name in words.
    old, new : float, str or None
        Values, unrounded; times as text; None where one side has none.
    difference : float or None
        New less old, times in hours; None where that says nothing.
    path : str
        Keys that lead to it.
    """

    what: str
    old: Any
    new: Any
    difference: float | None
    path: str

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "what": self.what,
            "old": self.old,
            "new": self.new,
            "difference": self.difference,
            "path": self.path,
        }


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[Difference, ...]:
    """Subtract two results as read from ``result.json``.

    Parameters
    ----------
    old, new : mapping
        Plain results.

    Returns
    -------
    tuple of Difference
        What is not the same, in the order of the new result. The moment and the means of the
        asking (when, which seed) are left out.
    """
    return tuple(_walk(old, new, ()))


def in_words(row: Difference) -> str:
    """Write one difference as ``A tender at middle: 14:15 → 13:30, 45 min earlier``."""
    old, new = _shown(row.old), _shown(row.new)
    change = ""
    if row.difference is not None:
        change = ", " + (_moved(row.difference) if _time(row.new) else f"{row.difference:+.4g}")
    return f"{row.what}: {old} → {new}{change}"


def _walk(old: Any, new: Any, path: tuple[str, ...]) -> Iterator[Difference]:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        if "elapsed_h" in new and isinstance(new["elapsed_h"], list):
            yield from _traces(old, new, path)
            return
        for key in [*new, *(key for key in old if key not in new)]:
            if not path and key in _NOT_COMPARED:
                continue
            yield from _walk(old.get(key), new.get(key), (*path, key))
    elif _named(old) or _named(new):
        yield from _walk(_by_name(old or []), _by_name(new or []), path)
    elif isinstance(old, list) and isinstance(new, list):
        for number in range(max(len(old), len(new))):
            was, now = (side[number] if number < len(side) else None for side in (old, new))
            yield from _walk(was, now, (*path, str(number + 1)))
    elif isinstance(new, (Mapping, list)) or isinstance(old, (Mapping, list)):
        # One side lacks the whole branch: one row says it, not one for each leaf.
        yield _row(path, _there(old), _there(new))
    elif not _same(old, new):
        yield _row(path, old, new)


def _traces(
    old: Mapping[str, Any], new: Mapping[str, Any], path: tuple[str, ...]
) -> Iterator[Difference]:
    """Compare a band over time as one: the largest difference of its middle."""
    ours, theirs = new.get("p50") or [], old.get("p50") or []
    if len(ours) != len(theirs):
        yield _row((*path, "points"), len(theirs), len(ours))
        return
    gaps = [(abs(b - a), a, b) for a, b in zip(theirs, ours, strict=True) if None not in (a, b)]
    worst = max(gaps, default=(0.0, 0.0, 0.0))
    if not _same(worst[1], worst[2]):
        yield _row((*path, "most apart"), worst[1], worst[2])


def _named(items: Any) -> bool:
    return (
        isinstance(items, list)
        and bool(items)
        and all(isinstance(item, Mapping) and _name(item) is not None for item in items)
    )


def _name(item: Mapping[str, Any]) -> str | None:
    return next((str(item[key]) for key in _CALLED if isinstance(item.get(key), str)), None)


def _by_name(items: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    named: dict[str, Mapping[str, Any]] = {}
    for item in items:
        name = first = _name(item) or ""
        number = 2
        while name in named:
            name, number = f"{first} ({number})", number + 1
        named[name] = item
    return named


def _same(old: Any, new: Any) -> bool:
    numbers = all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in (old, new))
    if numbers:
        return math.isclose(old, new, rel_tol=_RELATIVE, abs_tol=_ABSOLUTE)
    first, second = _time(old), _time(new)
    return first == second if first and second else bool(old == new)


def _row(path: tuple[str, ...], old: Any, new: Any) -> Difference:
    gap = None
    if all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in (old, new)):
        gap = float(new) - float(old)
    elif (first := _time(old)) and (second := _time(new)):
        gap = (second - first).total_seconds() / 3600
    words = [_WORDS.get(key, key.replace("_", " ")) for key in path]
    return Difference(" ".join(filter(None, words)), old, new, gap, ".".join(path))


def _there(value: Any) -> str | None:
    return None if value is None else "there"


def _time(value: Any) -> dt.datetime | None:
    if not (isinstance(value, str) and len(value) >= len("2027-01-01T00:00") and value[4] == "-"):
        return None
    try:
        moment = dt.datetime.fromisoformat(value)
    except ValueError:
        return None
    return moment if moment.tzinfo else None


def _shown(value: Any) -> str:
    if value is None:
        return "none"
    moment = _time(value)
    if moment:
        return f"{moment:%H:%M}"
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def _moved(hours: float) -> str:
    seconds = abs(hours) * 3600
    amount = f"{seconds:.0f} s" if seconds < _MINUTE_S else f"{seconds / 60:.0f} min"
    return f"{amount} {'later' if hours > 0 else 'earlier'}"
