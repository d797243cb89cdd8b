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

from stallwise.surfaces.rerun.wording import called

__all__ = ["Difference", "compare", "moment"]

#: What an item of a list is called by; the first key that it has.
_CALLED = ("id", "mix", "ingredient", "limit", "words", "what", "key", "piece", "stage", "text")

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
        "cards",
    }
)

#: Sentences: a release may say the same in better words, and no figure has moved.
_WORDING = frozenset(
    {
        "caution",
        "applies",
        "detail",
        "facts",
        "for_text",
        "name",
        "needs",
        "note",
        "notes",
        "says",
        "short_text",
        "source",
        "text",
        "title",
        "until_sign",
        "what",
    }
)

#: Numbers closer than this are the same number written by another machine.
_RELATIVE = 1e-9
_ABSOLUTE = 1e-12


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
    path : tuple of str
        Keys and names that lead to it.
    """

    what: str
    old: Any
    new: Any
    difference: float | None
    path: tuple[str, ...]

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "what": self.what,
            "old": self.old,
            "new": self.new,
            "difference": self.difference,
            "path": ".".join(self.path),
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


def _walk(old: Any, new: Any, path: tuple[str, ...]) -> Iterator[Difference]:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        if "elapsed_h" in new and isinstance(new["elapsed_h"], list):
            yield from _traces(old, new, path)
            return
        for key in [*new, *(key for key in old if key not in new)]:
            if key in _WORDING or (not path and key in _NOT_COMPARED):
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
    before, after = _middle(old), _middle(new)
    gaps = [(abs(after[at] - before[at]), at) for at in before.keys() & after.keys()]
    worst = max(gaps, default=None)
    if worst is not None and not _same(before[worst[1]], after[worst[1]]):
        yield _row((*path, "most apart"), before[worst[1]], after[worst[1]])
    elif worst is None and before != after:
        yield _row(path, _there(before or None), _there(after or None))


def _middle(trace: Mapping[str, Any]) -> dict[float, float]:
    """Middle of a band by its time, to the second; steps of two runs need not be the same."""
    pairs = zip(trace.get("elapsed_h") or (), trace.get("p50") or (), strict=False)
    return {round(at * 3600): value for at, value in pairs if value is not None}


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
    first, second = moment(old), moment(new)
    return first == second if first and second else bool(old == new)


def _row(path: tuple[str, ...], old: Any, new: Any) -> Difference:
    gap = None
    if all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in (old, new)):
        gap = float(new) - float(old)
    elif (first := moment(old)) and (second := moment(new)):
        gap = (second - first).total_seconds() / 3600
    return Difference(called(path), old, new, gap, path)


def _there(value: Any) -> str | None:
    return None if value is None else "there"


def moment(value: Any) -> dt.datetime | None:
    """Instant that a text says, or None."""
    if not (isinstance(value, str) and len(value) >= len("2027-01-01T00:00") and value[4] == "-"):
        return None
    try:
        moment = dt.datetime.fromisoformat(value)
    except ValueError:
        return None
    return moment if moment.tzinfo else None
