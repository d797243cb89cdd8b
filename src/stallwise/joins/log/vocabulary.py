"""The words cooks write in a log: ``data/log_words.csv`` and ``data/log_values.csv``.

A phrase is read whole or not at all: a word that is left over could turn its meaning
round ("not wrapped"), so it is never dropped in silence.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from stallwise.ground import assets, units
from stallwise.ground.errors import InputError

__all__ = [
    "Degrees",
    "Event",
    "Word",
    "begins_phrase",
    "events",
    "known_words",
    "nouns",
    "phrase_of",
    "said",
    "tokens",
    "words",
]

_TOKEN = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+(?:['’][^\W\d_]+)*|[^\w\s]")
_HOLE = re.compile(r"\{(\w+)\}")
_GIVEN = re.compile(r"\[(\w+=[^\]]+)\]$")
#: Words that change nothing wherever they stand.
_FILLERS = frozenset({"the", "a", "an", "now", "then", "just", "again", "finally"})
_DEGREE_SIGNS = frozenset({"°", "º", "˚", "deg", "degs", "degree", "degrees"})
_DEGREE_UNITS = {"f": "F", "fahrenheit": "F", "c": "C", "celsius": "C"}
_MASS_UNITS = frozenset(
    {"lb", "lbs", "pound", "pounds", "oz", "ounce", "ounces", "kg", "kilo", "kilos", "g", "gram",
     "grams"}
)  # fmt: skip
#: Rows of the table that fill no hole.
_NO_VALUES = frozenset({"plain", "remark"})
_TIME_UNITS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 60.0),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600.0),
}


@dataclass(frozen=True)
class Word:
    """One kind of log line.

    Attributes
    ----------
    key : str
        `what` of the log line.
    phrases : tuple of str
        Ways to write it; ``{kind}`` stands for a value.
    whose : str
        ``piece`` or ``pit``: what a letter beside it names.
    when : str
        When in a cook it can be: ``before``, ``fire``, ``pit``, ``start``, ``on``, ``after``, ``any``.
    changes_plan : bool
        A forecast is kept after such a line.
    said : str
        How it is read back.
    help : str
        One line for a cook.
    """

    key: str
    phrases: tuple[str, ...]
    whose: str
    when: str
    changes_plan: bool
    said: str
    help: str


@dataclass(frozen=True)
class Degrees:
    """A temperature as written, before its unit is settled."""

    value: float
    unit: str


@dataclass(frozen=True)
class Event:
    """What a phrase means: key of the word and the values it holds."""

    what: str
    data: Mapping[str, Any] = field(default_factory=dict)


@cache
def words() -> Mapping[str, Word]:
    """Read every kind of log line, by key."""
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "log_words.csv")))
    return {
        row["key"]: Word(
            row["key"], tuple(row["words"].split("|")), row["whose"], row["when"],
            row["changes_plan"] == "yes", row["said"], row["help"],
        )
        for row in rows
    }  # fmt: skip


@cache
def _values() -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
    found: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    for row in csv.DictReader(io.StringIO(assets.read_text("data", "log_values.csv"))):
        for words_ in row["words"].split("|"):
            shape = tokens(words_)
            if shape:  # "a" is filler, and nothing is not one
                found.setdefault(row["takes"], []).append((shape, row["value"]))
    return {key: tuple(rows) for key, rows in found.items()}


def nouns() -> Mapping[str, frozenset[str]]:
    """Read what pieces are called (``ribs``), with the stems of cut names it stands for."""
    found: dict[str, set[str]] = {}
    for row in csv.DictReader(io.StringIO(assets.read_text("data", "log_values.csv"))):
        if row["takes"] == "noun":
            for word in row["words"].split("|"):
                found.setdefault(word, set()).add(row["value"])
    return {word: frozenset(stems) for word, stems in found.items()}


@cache
def known_words() -> frozenset[str]:
    """Every single word that a phrase or a value of the vocabulary holds."""
    phrases = (phrase for word in words().values() for phrase in word.phrases)
    found = {
        token
        for phrase in phrases
        for token in _phrase_tokens(_GIVEN.sub("", phrase))
        if token.isalpha()
    }
    for takes, rows in _values().items():
        if takes not in _NO_VALUES:
            found |= {token for shape, _ in rows for token in shape if token.isalpha()}
    units_ = _MASS_UNITS | frozenset(_TIME_UNITS) | _DEGREE_SIGNS | frozenset(_DEGREE_UNITS)
    joins = {"and", "then", "but", "it", "not", "all", "both", "everything"}
    return frozenset(found | {unit for unit in units_ if unit.isalpha()} | joins | _FILLERS)


def tokens(text: str) -> tuple[str, ...]:
    """Small-letter words, numbers and signs of a text, without filler."""
    found = _TOKEN.findall(text.replace("’", "'"))
    while found and found[-1] in {".", ",", "!", ";", ":"}:
        found.pop()
    # A capital alone is a letter of the cook, even where the small one is an article.
    return tuple(
        token.casefold() for token in found
        if token.casefold() not in _FILLERS or (len(token) == 1 and token.isupper())
    )  # fmt: skip


@dataclass
class _Node:
    """Where a phrase stands after some of its words."""

    next: dict[str, _Node] = field(default_factory=dict)
    ends: list[tuple[str, dict[str, str]]] = field(default_factory=list)


@cache
def _tree() -> _Node:
    root = _Node()
    for word in words().values():
        for phrase in word.phrases:
            given = _GIVEN.search(phrase)
            node = root
            for token in _phrase_tokens(_GIVEN.sub("", phrase)):
                node = node.next.setdefault(token, _Node())
            node.ends.append((word.key, _given(given[1]) if given else {}))
    return root


def _given(text: str) -> dict[str, str]:
    """Values that a phrase has by itself: ``count=1,unit=chunk``."""
    return {name: value for name, _, value in (part.partition("=") for part in text.split(","))}


def _phrase_tokens(phrase: str) -> Iterator[str]:
    for part in re.split(r"(\{\w+\})", phrase):
        if _HOLE.fullmatch(part):
            yield part
        else:
            yield from tokens(part)


def events(said_tokens: Sequence[str]) -> list[Event]:
    """Every meaning that the whole of a phrase can have, each once.

    Parameters
    ----------
    said_tokens : sequence of str
        As `tokens` makes them.

    Returns
    -------
    list of Event
        Empty when the words are not a phrase of the vocabulary.
    """
    found: list[Event] = []
    for event in _walk(_tree(), tuple(said_tokens), {}):
        if event not in found:
            found.append(event)
    return found


def begins_phrase(said_tokens: Sequence[str]) -> bool:
    """Whether the first two words begin a phrase: ``all gone`` is no "gone" of all pieces."""
    first, second = (*said_tokens, "", "")[:2]
    node = _tree().next.get(first)
    return node is not None and second in node.next


def _walk(node: _Node, rest: tuple[str, ...], data: dict[str, Any]) -> Iterator[Event]:
    if not rest:
        for key, given in node.ends:
            yield Event(key, {**data, **{name: _typed(name, text) for name, text in given.items()}})
        return
    if rest[0] in node.next:
        yield from _walk(node.next[rest[0]], rest[1:], data)
    for token, after in node.next.items():
        hole = _HOLE.fullmatch(token)
        if hole:
            for value, left in _fill(hole[1], rest):
                yield from _walk(after, left, {**data, hole[1]: value})


def _typed(name: str, text: str) -> Any:
    if name not in _NUMBERS and name != "share":
        return text
    number = float(text)
    return int(number) if name == "count" and number.is_integer() else number


def _fill(name: str, rest: tuple[str, ...]) -> Iterator[tuple[Any, tuple[str, ...]]]:
    reader = _NUMBERS.get(name)
    if reader:
        yield from reader(rest)
    for shape, value in _values().get(name, ()):
        if rest[: len(shape)] == shape:
            yield _typed(name, value), rest[len(shape) :]
    # A pit is also called by its letter; which letters there are is the cook's affair.
    if name == "to" and len(rest[0]) == 1 and rest[0].isalpha():
        yield rest[0].upper(), rest[1:]


def _temperatures(rest: tuple[str, ...]) -> Iterator[tuple[Degrees, tuple[str, ...]]]:
    sign, rest = (-1.0, rest[1:]) if rest[0] in {"-", "−"} else (1.0, rest)
    if not rest or not rest[0][0].isdigit():
        return
    value, rest = sign * float(rest[0].replace(",", ".")), rest[1:]
    if rest and rest[0] in _DEGREE_SIGNS:
        rest = rest[1:]
    if rest and rest[0] in _DEGREE_UNITS:
        yield Degrees(value, _DEGREE_UNITS[rest[0]]), rest[1:]
    else:
        yield Degrees(value, ""), rest


def _masses(rest: tuple[str, ...]) -> Iterator[tuple[float, tuple[str, ...]]]:
    count = 0
    while count + 1 < len(rest) and rest[count][0].isdigit() and rest[count + 1] in _MASS_UNITS:
        count += 2
    if count:
        try:
            yield units.parse_mass_kg(" ".join(rest[:count])), rest[count:]
        except InputError:
            return


def _counts(rest: tuple[str, ...]) -> Iterator[tuple[float, tuple[str, ...]]]:
    if re.fullmatch(r"\d{1,3}", rest[0]) and int(rest[0]):
        half = rest[1:4] == ("1", "/", "2")
        yield (int(rest[0]) + 0.5, rest[4:]) if half else (int(rest[0]), rest[1:])
    elif re.fullmatch(r"\d{1,2}[.,]\d{1,2}", rest[0]) and float(rest[0].replace(",", ".")):
        yield float(rest[0].replace(",", ".")), rest[1:]


def _durations(rest: tuple[str, ...]) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Read a number with its unit, or several as in ``4 h 20 min``."""
    count, total_s = 0, 0.0
    while (
        count + 1 < len(rest)
        and re.fullmatch(r"\d+([.,]\d+)?", rest[count])
        and rest[count + 1] in _TIME_UNITS
    ):
        total_s += float(rest[count].replace(",", ".")) * _TIME_UNITS[rest[count + 1]]
        count += 2
    if count:
        yield total_s, rest[count:]


_NUMBERS = {
    "temperature": _temperatures,
    "mass": _masses,
    "count": _counts,
    "duration": _durations,
}

#: Names of the values in ``LogLine.data``, where a unit belongs to the name.
DATA_NAMES = {"temperature": "temperature_c", "mass": "mass_kg", "duration": "duration_s"}
_HOLE_OF = {name: hole for hole, name in DATA_NAMES.items()}


def phrase_of(what: str, data: Mapping[str, Any], system: str = "us") -> str:
    """Shortest way to write an event so that it reads back the same.

    Parameters
    ----------
    what : str
        Key of the word.
    data : mapping
        As in a log line.
    system : {"us", "metric"}
        Units of temperatures and masses.
    """
    held = {_HOLE_OF.get(name, name): value for name, value in data.items()}
    for phrase in words()[what].phrases:
        if not _GIVEN.search(phrase) and set(_HOLE.findall(phrase)) == set(held):
            return _HOLE.sub(lambda hole: _written(hole[1], held[hole[1]], system), phrase)
    raise InputError(
        f"{what} with {', '.join(held) or 'nothing'}",
        "; ".join(words()[what].phrases[:4]),
        "Write it as a note",
    )


def said(what: str, data: Mapping[str, Any], system: str = "us") -> str:
    """How a log line is read back: ``wrapped in foil``, ``feel check: probe, not yet``."""
    held = {
        _HOLE_OF.get(name, name): _spoken(_HOLE_OF.get(name, name), value, system)
        for name, value in data.items()
    }
    word = words().get(what)
    if word is None:
        return what.replace("_", " ")
    if "unit" in held:
        held = _counted(held)
    text = _HOLE.sub(lambda hole: held.pop(hole[1], "…"), word.said)
    mark = "," if "{" in word.said else ":"
    return f"{text}{mark} {', '.join(held.values())}" if held else text


def _counted(held: Mapping[str, str]) -> dict[str, str]:
    """Say a count with its unit and what of: ``2 chimneys of charcoal``."""
    count, fuel = held.get("count", "1"), held.get("fuel", "")
    many = "" if count in {"1", "0.5"} else "s"
    amount = f"{'1/2' if count == '0.5' else count} {held['unit']}{many}"
    left = {name: value for name, value in held.items() if name not in {"count", "unit", "fuel"}}
    return {**left, "count": f"{amount} of {fuel}" if fuel else amount}


def _spoken(name: str, value: Any, system: str) -> str:
    if name == "temperature":
        return units.format_temperature(float(value), system)
    if name == "mass":
        return units.format_mass(float(value), system)
    if name == "duration":
        return units.format_duration(float(value))
    return str(value)


def _written(name: str, value: Any, system: str) -> str:
    if name == "temperature":
        shown = units.fahrenheit_of_celsius(float(value)) if system == "us" else float(value)
        return f"{round(shown, 1):g} {'F' if system == 'us' else 'C'}"
    if name == "mass":
        return f"{float(value) * 1000:.10g} g"
    if name == "duration":
        return f"{float(value):.0f} s"
    return str(value)
