"""The words of the log with an example each, for a cook to read."""

from __future__ import annotations

import re

from stallwise.joins.log.vocabulary import words

__all__ = ["word_list"]

#: What stands in an example for a value.
_EXAMPLES = {
    "kind": "foil", "fuel": "charcoal", "temperature": "250 F", "place": "lid", "spot": "flat",
    "check": "probe", "verdict": "not yet", "to": "oven", "count": "2", "mass": "6 lb 8 oz",
    "of": "bought", "duration": "2 min", "bath": "ice", "food": "stock",
    "unit": "chimney", "share": "a third", "smoke": "thin", "vent": "intake", "open": "half",
    "bark": "mahogany",
}  # fmt: skip
#: A core, a pot that cools and a probe's bath are not as hot as a pit.
_TEMPERATURES = {
    "core_reading": "165 F", "cooling_reading": "140 F", "reheated": "165 F",
    "ice": "32 F", "boiling": "212 F",
}  # fmt: skip
_SHOWN = 4


def word_list() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Each kind of log line: its key, what it means, and a few ways to write it."""
    return tuple((word.key, word.help, _ways(word.key, word.phrases)) for word in words().values())


def _ways(key: str, phrases: tuple[str, ...]) -> tuple[str, ...]:
    if key == "note":
        return ("note: wind got up",)
    ways = (_example(key, phrase) for phrase in phrases)
    # One of each first word: "wrapped foil", "in foil", "foil on".
    found: dict[str, str] = {}
    for way in ways:
        found.setdefault(way.split()[0][:4], way)
    return tuple(found.values())[:_SHOWN]


def _example(key: str, phrase: str) -> str:
    plain = phrase.partition("[")[0]
    of = ("boiling" if "boiling" in plain else "ice") if key == "probe_check" else key
    values = {**_EXAMPLES, "temperature": _TEMPERATURES.get(of, _EXAMPLES["temperature"])}
    return re.sub(r"\{(\w+)\}", lambda hole: values[hole[1]], plain)
