"""What was known before a cook, read from the book's ``learned.json``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.ground.same import Same
from stallwise.joins.learn.widening import Misses
from stallwise.models.plan import Knowledge, Learned
from stallwise.record.cook import CookRecord

__all__ = ["knowledge_before", "learned_entries"]

_KEYS = frozenset({"cook", "date", "knowledge", "pits", "cuts"})


def learned_entries(learned: Mapping[str, Any] | None) -> tuple[Mapping[str, Any], ...]:
    """Cooks of a ``learned.json``, oldest first, if it is as it was written.

    Raises
    ------
    InputError
        It was spoilt; it can be made anew.
    """
    return _checked(Same(learned)).entries


@dataclass(frozen=True, eq=False)
class _Lessons:
    entries: tuple[Mapping[str, Any], ...]

    @cached_property
    def misses(self) -> Misses:
        return Misses.of(self.entries)


@lru_cache(maxsize=2)
def _checked(learned: Same[Mapping[str, Any] | None]) -> _Lessons:
    cooks = (learned.held or {}).get("cooks", ())
    if not isinstance(cooks, Sequence) or not all(
        isinstance(entry, Mapping) and entry.keys() >= _KEYS and _is_missed(entry.get("missed"))
        for entry in cooks
    ):
        raise _spoilt()
    return _Lessons(tuple(cooks))


def _is_missed(missed: Any) -> bool:
    if missed is None:
        return True
    if not isinstance(missed, Mapping) or not isinstance(missed.get("known_on"), str):
        return False
    widths = missed.get("half_widths")
    return isinstance(widths, list) and all(
        width is None or isinstance(width, (int, float)) for width in widths
    )


def knowledge_before(record: CookRecord) -> Knowledge:
    """Tell what was known before a cook, by the book's ``learned.json``; the table without one.

    Raises
    ------
    InputError
        As `learned_entries`.
    """
    return _before(Same(record.learned), record.cook.date, record.name, sample=record.cook.sample)


@lru_cache(maxsize=8)
def _before(
    learned: Same[Mapping[str, Any] | None], date: dt.date, name: str, *, sample: bool
) -> Knowledge:
    this = (date.isoformat(), name)
    lessons = _checked(learned)
    entries = lessons.entries
    try:
        before = [(entry["date"], entry["cook"]) < this for entry in entries]
        earlier = [entry for entry, is_before in zip(entries, before, strict=True) if is_before]
        if not earlier:
            return Knowledge()
        if not sample and any(e.get("sample") and e.get("taught") for e in earlier):
            return Knowledge()  # learned while there were samples only: they teach no cook's own
        last = earlier[-1]
        found = lessons.misses.before(date, before)
        return Knowledge(
            last["knowledge"],
            _read(last["pits"]),
            _read(last["cuts"]),
            widening=found.factor,
            widening_cooks=found.cooks if found.factor > 1.0 else 0,
        )
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise _spoilt() from error


def _spoilt() -> InputError:
    return InputError(
        "learned.json is not as it was written",
        "what stallwise learn writes",
        "Make it anew with `stallwise learn`",
    )


def _read(part: Mapping[str, Mapping[str, Sequence[float]]]) -> dict[str, dict[str, Learned]]:
    return {
        owner: {key: Learned(*pair) for key, pair in lessons.items()}
        for owner, lessons in part.items()
    }
