"""What a column of temperatures measures and in what unit: told by its header, or by the cook."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stallwise.ground.errors import NotFoundError
from stallwise.record.frame import Frame
from stallwise.record.sheet import bare, unit_of
from stallwise.record.stamps import elapsed_unit

__all__ = ["TIMES", "Place", "is_other", "is_setting", "said_of", "suggested"]

_PLACES = {"grate": "grate", "lid": "lid", "dome": "lid", "oven": "oven"}
_PIT_WORDS = frozenset({"pit", "grate", "lid", "dome", "oven", "chamber", "cooker"})
_MEAT_WORDS = frozenset({"core", "meat", "food", "internal", "inside", "piece"})
_SPOTS = frozenset(
    {"core", "flat", "point", "breast", "thigh", "leg", "shoulder", "neck"}
    | {"surface", "skin", "stuffing"}
)
_SET_WORDS = frozenset({"set", "setpoint", "target", "goal"})
#: What a cook says of a column of times, and the unit of elapsed time (None: dates or clocks).
TIMES: Mapping[str, str | None] = {"time": None, "hours": "h", "minutes": "m", "seconds": "s"}
_UNTIL = re.compile(
    r"(?P<first>.+?)\s+until\s+(?P<at>.*?\d(?:\s*[ap]m?\b)?)[\s,;]+(?:then\s+)?(?P<then>[A-Za-z].*)",
    re.IGNORECASE,
)
_OTHER = re.compile(
    r"%|\b(rh|humidity|battery|volts?|fan|rpm|mbar|hpa|pressure|id|no|nr|row|index|year|month|day|count|cycle"
    r"|projected|predicted|estimate|eta|delta|rate|slope)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Place:
    """What a column is.

    Attributes
    ----------
    piece, pit, place : str
        What it measures, and where; all empty while that is open.
    unit : {"C", "F", ""}
        Said by the cook for this column alone.
    time : str
        One of `TIMES` for the column of times; empty for others.
    skip : bool
        It is not to be read.
    sure : bool
        The cook said so.
    until : str
        Clock time at which it was moved; empty where it was not.
    then : Place, optional
        What it measured from then on.
    """

    piece: str = ""
    pit: str = ""
    place: str = ""
    unit: str = ""
    time: str = ""
    skip: bool = False
    sure: bool = False
    until: str = ""
    then: Place | None = None

    @property
    def known(self) -> bool:
        """Whether it measures a piece or a pit."""
        return bool(self.piece or self.pit)


def said_of(names: Sequence[str], columns: Mapping[str, str], frame: Frame) -> dict[str, Place]:
    """Take what the cook said of columns to their names in the file.

    Raises
    ------
    NotFoundError
        A column or letter that is not there.
    """
    folded = {name.casefold(): name for name in names}
    folded |= {bare(name).casefold(): name for name in reversed(names)} | folded
    found: dict[str, Place] = {}
    for name, where in columns.items():
        if name.casefold() not in folded:
            raise NotFoundError("column", name, names)
        found[folded[name.casefold()]] = _chain(_parts(where), frame)
    return found


def _parts(where: str) -> list[tuple[str, str]]:
    """Take ``A until 13:05 B`` apart: what it is and until when, empty for its end."""
    match = _UNTIL.fullmatch(where.strip())
    if not match:
        return [(where, "")]
    return [(match["first"], match["at"]), *_parts(match["then"])]


def _chain(said: Sequence[tuple[str, str]], frame: Frame) -> Place:
    """Put one after another what a column measured."""
    (where, until), *rest = said
    place = _meant(where.strip(), frame)
    if not rest:
        return place
    return replace(place, until=until, then=_chain(rest, frame))


def _meant(where: str, frame: Frame) -> Place:
    words = where.split()
    unit = words[-1].upper().strip("°") if len(words) > 1 else ""
    if unit in {"C", "F"}:
        words.pop()
    else:
        unit = ""
    name, rest = (words or [""])[0], " ".join(words[1:])
    word = name.casefold()
    if word in TIMES and not rest:
        return Place(time=word, sure=True)
    if word == "skip":
        return Place(skip=True, sure=True)
    if name in frame.pieces:
        return Place(name, place=rest or "core", unit=unit, sure=True)
    if name in frame.pits:
        return Place(pit=name, place=_PLACES.get(rest, rest), unit=unit, sure=True)
    if word == "pit" or word in _PLACES:
        return Place(pit=frame.pits[0], place=_PLACES.get(word, rest), unit=unit, sure=True)
    there = [*frame.pieces, *frame.pits, "pit", "skip", *TIMES]
    raise NotFoundError("piece or pit", where, there)


def suggested(name: str, frame: Frame) -> Place:
    """Tell what a column measures, as far as its header says it."""
    tokens = re.split(r"[^A-Za-z0-9]+", bare(name))
    words = {token.casefold() for token in tokens}
    spot = next(iter(sorted(words & _SPOTS)), "")
    grate = next((_PLACES[word] for word in sorted(words) if word in _PLACES), "")
    for letter in (*frame.pieces, *frame.pits):
        if letter in tokens:
            if letter in frame.pieces:
                return Place(piece=letter, place=spot)
            return Place(pit=letter, place=grate)
    if words & _PIT_WORDS:
        return Place(pit=frame.pits[0] if len(frame.pits) == 1 else "", place=grate)
    if words & (_MEAT_WORDS | _SPOTS) and len(frame.pieces) == 1:
        return Place(piece=frame.pieces[0], place=spot)
    return Place()


def is_setting(name: str) -> bool:
    """Whether a header names what was set, not what was measured."""
    return bool({word.casefold() for word in re.split(r"[^A-Za-z0-9]+", bare(name))} & _SET_WORDS)


def is_other(name: str) -> bool:
    """Whether a header names another quantity: a percentage, a voltage, a count of rows."""
    if unit_of(name) is not None:
        return False
    return bool(_OTHER.search(name.replace("_", " ")) or elapsed_unit(name) is not None)
