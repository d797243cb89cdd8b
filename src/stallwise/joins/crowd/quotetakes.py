"""What a crowd takes, off the one Result: meat of each kind, the cold, boxes and pits at their fullest, hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins.crowd.room import Cold, cold_room
from stallwise.joins.result import PitLoad, Result
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.sheet.tablework import pans_of
from stallwise.models.crowd import Guests, cooked_need
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook
from stallwise.record.trimming import board

__all__ = [
    "BoxRoom",
    "QuoteMeat",
    "box_rooms",
    "cold",
    "eaten_kg",
    "fullest",
    "meats",
    "present_h",
    "served",
]

#: Steps that lie days before, or bind nobody at the place.
_BEFORE = frozenset({"thaw", "thaw_cold", "gear", "soak"})


@dataclass(frozen=True)
class QuoteMeat:
    """One meat of the quote: what guests take of it [kg], its pieces, all of them as bought, and what they leave to eat [kg], 1 day in 10 and 9 in 10."""

    name: str
    need_kg: float
    pieces: int
    bought_kg: float
    eaten_kg: tuple[float, float]


@dataclass(frozen=True)
class BoxRoom:
    """The fullest moment of a box: pans in it, of how many, and of which pieces."""

    name: str
    pans: int
    room: int
    pieces: tuple[str, ...]


def eaten_kg(result: Result) -> tuple[float, float, float]:
    """Meat there will be to eat, 1 day in 10, middle, and 9 in 10 [kg]."""
    if result.crowd is None:
        return 0.0, 0.0, 0.0
    cooked = result.crowd.cooked_kg
    return cooked.p10 or 0.0, cooked.p50 or 0.0, cooked.p90 or 0.0


def served(result: Result) -> tuple[tuple[dt.datetime, tuple[str, ...]], ...]:
    """Say when what is served."""
    found: dict[dt.datetime, list[str]] = {}
    for piece in result.pieces:
        if piece.serve_at:
            found.setdefault(piece.serve_at, []).append(piece.piece)
    return tuple((at, tuple(found[at])) for at in sorted(found))


def _bought_kg(cook: Cook, result: Result) -> dict[str, float]:
    """All alike ones of each piece as bought, or as they go on where nobody weighed that [kg]."""
    weighed = {one.letter: (board(one).mass_bought_kg, one.count) for one in cook.pieces}
    return {
        piece.piece: (weighed[piece.piece][0] or piece.mass_kg) * weighed[piece.piece][1]
        for piece in result.pieces
    }


def meats(cook: Cook, result: Result, guests: Guests, plate: float = 1.0) -> Iterator[QuoteMeat]:
    """Lay out each meat: its pieces, and what guests take of it, by how much it is liked.

    Parameters
    ----------
    cook : Cook
        Its quote may say how many of those who take one meat take which.
    result : Result
    guests : Guests
    plate : float, default 1
        What they eat over what the table says.
    """
    bought = _bought_kg(cook, result)
    cuts = list(dict.fromkeys(piece.cut for piece in result.pieces))
    said = cook.quote.liked if cook.quote else {}
    liked = {cut: units.parse("fraction", text, key="liked") for cut, text in said.items()}
    for cut in cuts:
        need = cooked_need(guests, min(len(cuts), 3), liked=liked.get(cut), plate=plate)
        same = [piece for piece in result.pieces if piece.cut == cut]
        yield QuoteMeat(
            same[0].name,
            need.usual_kg,
            sum(piece.count for piece in same),
            sum(bought[piece.piece] for piece in same),
            (
                sum(piece.edible_kg.p10 or 0.0 for piece in same),
                sum(piece.edible_kg.p90 or 0.0 for piece in same),
            ),
        )


def cold(cook: Cook, result: Result) -> Cold:
    """Reckon the room that all of it takes in the cold."""
    bought = _bought_kg(cook, result)
    return cold_room(
        sum(bought.values()), max(bought[piece.piece] / piece.count for piece in result.pieces)
    )


def box_rooms(record: CookRecord, result: Result) -> Iterator[BoxRoom]:
    """Fullest moment of each box, by the sheet's own holds."""
    spans = _held(result)
    mass_kg = {piece.piece: piece.mass_kg for piece in result.pieces}
    there = [use for use in record.cook.pits if _pans_in(record, use.pit)]
    for use in there:
        file = record.pits[use.pit]
        only = sum(record.pits[one.pit].kind == file.kind for one in there) == 1
        mine = {
            piece.letter: pans_of(piece, mass_kg[piece.letter])
            for piece in record.cook.pieces
            if piece.letter in spans
            and (piece.hold_in or (use.letter if only and piece.hold == file.kind else ""))
            == use.letter
        }
        full: list[str] = []
        for letter in mine:
            begin = spans[letter][0]
            held = [one for one in mine if spans[one][0] <= begin < spans[one][1]]
            if sum(mine[one] for one in held) > sum(mine[one] for one in full):
                full = held
        yield BoxRoom(file.name, sum(mine[one] for one in full), file.pans or 0, tuple(full))


def _pans_in(record: CookRecord, pit: str) -> int | None:
    file = record.pits.get(pit)
    return file.pans if file else None


def _held(result: Result) -> Mapping[str, tuple[dt.datetime, dt.datetime]]:
    """From the earliest that a piece may go into its hold to the knife."""
    begins = {step.piece: step.earliest for step in result.steps if kind_of(step) == "hold"}
    ends = {step.piece: step.at for step in result.steps if kind_of(step) == "carve"}
    return {letter: (at, ends[letter]) for letter, at in begins.items() if letter in ends}


def fullest(result: Result) -> Iterator[PitLoad]:
    """Take each pit when its shelves together are fullest."""
    for pit in dict.fromkeys(load.pit for load in result.loads):
        mine = [load for load in result.loads if load.pit == pit]
        yield max(mine, key=lambda load: sum(shelf.share for shelf in load.shelves))


def present_h(result: Result) -> float:
    """From the first step at the place to the last of all [h]."""
    there = [step.at for step in result.steps if kind_of(step) not in _BEFORE]
    if not there:
        return 0.0
    return (max(there) - min(there)).total_seconds() / 3600.0
