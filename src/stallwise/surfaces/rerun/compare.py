"""The difference of two results, number by number, in words and as a table.

Lists are paired by what their items are called (a piece, a stage, an ingredient), never by
position, so that a piece more or a step less does not shift the rest. A trace is compared as
one: its largest difference.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stallwise.surfaces.rerun.execute import STAMP
from stallwise.surfaces.rerun.wording import called, unit_of
from stallwise.tables.rerunning import Tolerances

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
        STAMP,
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


def compare(
    old: Mapping[str, Any], new: Mapping[str, Any], within: Tolerances | None = None
) -> tuple[Difference, ...]:
    """Subtract two results as read from ``result.json``.

    Parameters
    ----------
    old, new : mapping
        Plain results.
    within : Tolerances, optional
        What is still the same; the default is the same number written by two machines.

    Returns
    -------
    tuple of Difference
        What is not the same, in the order of the new result. The moment and the means of the
        asking (when, which seed) are left out.
    """
    return tuple(_Walk(within or Tolerances()).over(old, new, ()))


@dataclass(frozen=True)
class _Walk:
    """A walk over two results side by side."""

    within: Tolerances

    def over(self, old: Any, new: Any, path: tuple[str, ...]) -> Iterator[Difference]:
        """Give what differs from here on."""
        if isinstance(old, Mapping) and isinstance(new, Mapping):
            if "elapsed_h" in new and isinstance(new["elapsed_h"], list):
                yield from self.traces(old, new, path)
                return
            for key in [*new, *(key for key in old if key not in new)]:
                if key in _WORDING or (not path and key in _NOT_COMPARED):
                    continue
                yield from self.over(old.get(key), new.get(key), (*path, key))
        elif _named(old) or _named(new):
            yield from self.over(_by_name(old or []), _by_name(new or []), path)
        elif isinstance(old, list) and isinstance(new, list):
            for number in range(max(len(old), len(new))):
                was, now = (side[number] if number < len(side) else None for side in (old, new))
                yield from self.over(was, now, (*path, str(number + 1)))
        elif isinstance(new, (Mapping, list)) or isinstance(old, (Mapping, list)):
            # One side lacks the whole branch: one row says it, not one for each leaf.
            yield _row(path, _there(old), _there(new))
        elif not self.same(old, new, path):
            yield _row(path, old, new)

    def traces(
        self, old: Mapping[str, Any], new: Mapping[str, Any], path: tuple[str, ...]
    ) -> Iterator[Difference]:
        """Compare a band over time as one: the largest difference of its middle."""
        before, after = _middle(old), _middle(new)
        gaps = [(abs(after[at] - before[at]), at) for at in before.keys() & after.keys()]
        worst = max(gaps, default=None)
        if worst is not None and not self.same(before[worst[1]], after[worst[1]], path):
            yield _row((*path, "most apart"), before[worst[1]], after[worst[1]])
        elif worst is None and before != after:
            yield _row(path, _there(before or None), _there(after or None))

    def same(self, old: Any, new: Any, path: tuple[str, ...]) -> bool:
        """Whether two leaves say the same, within what is tolerated of their unit."""
        if _is_number(old) and _is_number(new):
            apart = _ALLOWED.get(unit_of(path), _nothing)(self.within)
            return math.isclose(old, new, rel_tol=self.within.same, abs_tol=max(apart, _ABSOLUTE))
        first, second = moment(old), moment(new)
        if first and second:
            return abs((second - first).total_seconds()) <= self.within.time_s
        return bool(old == new)


#: Next to nothing: a sum that should be zero and is not quite.
_ABSOLUTE = 1e-12


def _nothing(_: Tolerances) -> float:
    return 0.0


#: What is tolerated in the unit of a figure.
_ALLOWED: Mapping[str, Callable[[Tolerances], float]] = {
    "h": lambda within: within.time_s / 3600.0,
    "c": lambda within: within.temperature_k,
    "kg": lambda within: within.mass_kg,
    "g": lambda within: within.mass_kg * 1000.0,
    "share": lambda within: within.share,
}


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


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


def _row(path: tuple[str, ...], old: Any, new: Any) -> Difference:
    gap = None
    if _is_number(old) and _is_number(new):
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
