"""The words of the log with an example each, for a cook to read."""

from __future__ import annotations

import re

from stallwise.joins.vocabulary import words

__all__ = ["word_list"]

#: What stands in an example for a value.
_EXAMPLES = {
    "kind": "foil", "fuel": "charcoal", "temperature": "250", "place": "lid", "spot": "flat",
    "check": "probe", "verdict": "not yet", "to": "oven", "count": "2", "mass": "6 lb 8 oz",
    "of": "bought", "duration": "2 min", "bath": "ice", "food": "stock",
}  # fmt: skip
_SHOWN = 4


def word_list() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Each kind of log line: its key, what it means, and a few ways to write it."""
    return tuple((word.key, word.help, _ways(word.key, word.phrases)) for word in words().values())


def _ways(key: str, phrases: tuple[str, ...]) -> tuple[str, ...]:
    if key == "note":
        return ("note: wind got up",)
    values = {**_EXAMPLES, "temperature": "165"} if key == "core_reading" else _EXAMPLES
    ways = (
        re.sub(r"\{(\w+)\}", lambda hole: values[hole[1]], phrase.partition("[")[0])
        for phrase in phrases
    )
    # One of each first word: "wrapped foil", "in foil", "foil on".
    found: dict[str, str] = {}
    for way in ways:
        found.setdefault(way.split()[0][:4], way)
    return tuple(found.values())[:_SHOWN]
