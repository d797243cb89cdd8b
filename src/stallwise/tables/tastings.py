"""Ways of asking, what may be asked of a bite, what can be laid on a bone, and what a tasting goes by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError, nearest
from stallwise.tables.rows import rows

__all__ = [
    "Attribute",
    "Factor",
    "Layout",
    "Method",
    "attribute",
    "attributes",
    "blocks",
    "factor",
    "layouts",
    "method",
    "methods",
    "reach",
    "rule",
    "scale",
]

#: Ends of a line, in points.
LINE = (0.0, 10.0)
#: What nobody named as a factor is taken for: a whole piece gets it.
_WHOLE = "rack"


@dataclass(frozen=True)
class Method:
    """One way of asking; a row of ``data/tasting_methods.csv``.

    Attributes
    ----------
    key, name : str
    asks : {"like", "more", "tell"}
        Which of the three questions it answers.
    reads : str
        How its answers are read; a key of the registry that reads them.
    protocol : str
        How right answers hang on the distance; empty where none is right.
    sides : int
        1 where one arm is expected to win.
    arms_from, arms_to : int
        How many arms it takes.
    plates : int
        Of one set; 0 for one plate an arm.
    front : bool
        Among those that a cook is offered; the others are for teachers.
    question : str
        As it stands on the slip.
    note : str
    """

    key: str
    name: str
    asks: str
    reads: str
    protocol: str
    sides: int
    arms_from: int
    arms_to: int
    plates: int
    front: bool
    question: str
    note: str


@dataclass(frozen=True)
class Attribute:
    """One thing that may be asked; `kind` is a scale or a way of counting."""

    key: str
    group: str
    name: str
    question: str
    kind: str
    low: str = ""
    high: str = ""
    note: str = ""


@dataclass(frozen=True)
class Factor:
    """What is varied, and the smallest part that can have it for itself: bone, block, half, rack."""

    key: str
    name: str
    laid: str
    why: str


@dataclass(frozen=True)
class Layout:
    """A way of laying arms, in words; `racks` is the fewest it takes."""

    key: str
    name: str
    words: str
    racks: int
    laid: str


def rule(key: str) -> float:
    """Look up one number that a tasting goes by.

    Raises
    ------
    NotFoundError
        No such row of ``data/tasting_rules.csv``.

    Examples
    --------
    >>> rule("wanted")
    0.8
    """
    table = rows("tasting_rules.csv")
    if key not in table:
        raise NotFoundError("rule of tastings", key, table)
    return float(table[key]["value"])


@cache
def methods() -> Mapping[str, Method]:
    """Read the ways of asking, by key."""
    return MappingProxyType(
        {
            key: Method(
                key=key,
                name=row["name"],
                asks=row["asks"],
                reads=row["reads"],
                protocol=row["protocol"],
                sides=int(row["sides"]),
                arms_from=int(row["arms_from"]),
                arms_to=int(row["arms_to"]),
                plates=int(row["plates"]),
                front=row["front"] == "1",
                question=row["question"],
                note=row["note"],
            )
            for key, row in rows("tasting_methods.csv").items()
        }
    )


def method(key: str) -> Method:
    """Look one way of asking up; a miss offers the nearest."""
    if key not in methods():
        raise NotFoundError("way of asking", key, methods())
    return methods()[key]


@cache
def _shipped() -> Mapping[str, Attribute]:
    return MappingProxyType(
        {
            key: Attribute(
                key, row["group"], row["name"], row["question"], row["kind"], row["low"], row["high"],
                row["note"],
            )
            for key, row in rows("tasting_attributes.csv").items()
        }
    )  # fmt: skip


def attributes(own: Sequence[Mapping[str, Any]] = ()) -> Mapping[str, Attribute]:
    """Everything that may be asked of a bite, by key.

    Parameters
    ----------
    own : sequence of mapping, optional
        The cook's own, each with `key`, `question` and `kind`, as a trial holds them.
    """
    mine = {
        one["key"]: Attribute(
            one["key"], "own", one.get("name") or one["key"], one["question"], one["kind"],
            one.get("low") or "", one.get("high") or "",
        )
        for one in own
    }  # fmt: skip
    return MappingProxyType({**_shipped(), **mine})


def attribute(key: str, own: Sequence[Mapping[str, Any]] = ()) -> Attribute:
    """Look one attribute up by its key or its name; a miss offers the nearest."""
    known = attributes(own)
    if key in known:
        return known[key]
    named = [one for one in known.values() if one.name.casefold() == key.casefold()]
    if named:
        return named[0]
    near = nearest(key, known)
    offer = f"Nearest: {', '.join(near)}. " if near else ""
    todo = f"{offer}Or write it into the trial under [[own]], with key, question and kind"
    raise NotFoundError("thing to ask", key, known, todo)


def factor(name: str) -> Factor:
    """Tell what a factor can be laid on; one that is not in the table takes a whole piece."""
    table = rows("tasting_factors.csv")
    wanted = name.strip().casefold()
    for key, row in table.items():
        if wanted in {key, row["name"]}:
            return Factor(key, row["name"], row["laid"], row["why"])
    return Factor(wanted, name.strip(), _WHOLE, "it is not known to go on bone by bone")


@cache
def layouts() -> Mapping[str, Layout]:
    """Read the ways of laying arms, by key."""
    return MappingProxyType(
        {
            key: Layout(key, row["name"], row["words"], int(row["racks"]), row["laid"])
            for key, row in rows("tasting_layouts.csv").items()
        }
    )


def scale(kind: str) -> Mapping[int, str]:
    """Words of a scale by their number; empty for a line, a count, a length."""
    table = rows("tasting_scales.csv").values()
    return {int(row["value"]): row["words"] for row in table if row["scale"] == kind}


def reach(kind: str) -> float:
    """Longest difference that a scale has [points]; a line's where the kind has no words.

    Examples
    --------
    >>> reach("like"), reach("line")
    (8.0, 10.0)
    """
    values = scale(kind) or LINE
    return float(max(values) - min(values))


def blocks(arms: int, each: int) -> tuple[tuple[int, ...], ...]:
    """Which arms come together where nobody can taste all: every two meet equally often.

    Parameters
    ----------
    arms : int
    each : int
        How many one taster gets.

    Raises
    ------
    InputError
        No balanced way is known for these; the others are offered.
    """
    table = rows("tasting_blocks.csv")
    row = table.get(f"{arms}-{each}")
    if row is None:
        have = [one["each"] for one in table.values() if int(one["arms"]) == arms]
        raise InputError(
            f"{each} of {arms} arms for each taster",
            f"{' or '.join(have)} of {arms}" if have else f"all {arms}",
        )
    return tuple(tuple(ord(name) - ord("A") for name in block) for block in row["blocks"].split())
