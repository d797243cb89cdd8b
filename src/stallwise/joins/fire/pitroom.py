"""Room in a pit: who lies on which shelf when, what does not fit, and birds above other food."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stallwise.ground import units
from stallwise.joins.fire.pitstays import Lying
from stallwise.joins.sheet.dayresult import PitLoad, ShelfLoad
from stallwise.models.grate import Grate
from stallwise.models.shelving import filled, lie_together
from stallwise.record.places import place_key
from stallwise.record.schema import Pit
from stallwise.tables.kitchen import kitchen_value

__all__ = ["Room", "Shelved", "height", "loads", "room_of", "shelved"]

_RIBS = "ribs"
#: Words for high and low where nothing is known of a pit's shelves.
_HIGH, _MIDDLE, _LOW = ("upper", "top", "high"), ("middle",), ("lower", "bottom", "low")


@dataclass(frozen=True)
class Room:
    """Shelves of a pit from the top down, with their names; none where nobody measured them."""

    names: tuple[str, ...]
    grates: tuple[Grate, ...]


@dataclass(frozen=True)
class Shelved:
    """How pieces lie.

    Attributes
    ----------
    on : mapping of (Lying, shelf) to int
        How many of a piece lie on a shelf of its pit.
    left : mapping of Lying to int
        How many of it find no room.
    """

    on: Mapping[tuple[Lying, int], int]
    left: Mapping[Lying, int]


def room_of(pit: Pit | None) -> Room:
    """Read the shelves of a pit's file, from the top down: as their names say, else as written."""
    shelves = pit.shelves if pit else []
    levels = [_level(shelf.name) for shelf in shelves]
    if None not in levels:
        shelves = sorted(shelves, key=lambda shelf: _level(shelf.name) or 0)
    grates = [
        Grate(
            units.parse("length", shelf.width, key="width"),
            units.parse("length", shelf.depth, key="depth"),
            shelf.takes,
        )
        for shelf in shelves
    ]
    return Room(tuple(shelf.name for shelf in shelves), tuple(grates))


def _level(name: str) -> int | None:
    """How far down a place is by its own words; None where it says nothing of it."""
    words = set(name.casefold().split())
    return next((at for at, said in enumerate((_HIGH, _MIDDLE, _LOW)) if words & set(said)), None)


def shelved(stays: Sequence[Lying], rooms: Mapping[str, Room]) -> Shelved:
    """Find a shelf for every piece for all of its stay, birds from the bottom up, the rest from the top.

    Parameters
    ----------
    stays : sequence of Lying
        In order of time; a place that names a shelf is kept to.
    rooms : mapping of letter to Room
        Of the pits whose shelves are known.
    """
    on: dict[tuple[Lying, int], int] = {}
    left: dict[Lying, int] = {}
    for stay in stays:
        room = rooms.get(stay.pit)
        if room is None or not room.grates:
            continue
        for _ in range(stay.one.piece.count):
            shelf = next((at for at in _tried(stay, room) if _takes(stay, at, room, on)), None)
            if shelf is None:
                left[stay] = left.get(stay, 0) + 1
            else:
                on[stay, shelf] = on.get((stay, shelf), 0) + 1
    return Shelved(on, left)


def _tried(stay: Lying, room: Room) -> list[int]:
    named = [at for at, name in enumerate(room.names) if place_key(name) in stay.place]
    order = list(range(len(room.grates)))
    return named or (order[::-1] if stay.one.is_bird else order)


def _takes(stay: Lying, shelf: int, room: Room, on: Mapping[tuple[Lying, int], int]) -> bool:
    """Whether one more of a piece fits on a shelf for all of its stay."""
    there = {other: many for (other, at), many in on.items() if at == shelf and other.beside(stay)}
    there[stay] = there.get(stay, 0) + 1
    # It is fullest at one of the moments at which something goes on.
    moments = [max(other.since, stay.since) for other in there]
    return all(_fits(room.grates[shelf], _at(there, when)) for when in moments)


def _at(there: Mapping[Lying, int], when: dt.datetime) -> dict[Lying, int]:
    return {stay: many for stay, many in there.items() if stay.since <= when < stay.until}


def _fits(grate: Grate, there: Mapping[Lying, int]) -> bool:
    hung, laid = _hung(grate, there)
    if hung > 1.0 + 1e-9:
        return False
    rest = Grate(grate.width_m * (1.0 - hung), grate.depth_m)
    return not laid or lie_together(rest, laid, _gap_m())


def _hung(grate: Grate, there: Mapping[Lying, int]) -> tuple[float, list[tuple[float, float]]]:
    """Share of a shelf that hanging racks of ribs take, and the sizes of what lies."""
    racks = grate.racks
    hanging = {stay for stay in there if racks and _RIBS in stay.one.piece.cut}
    hung = sum(there[stay] for stay in hanging) / racks if racks else 0.0
    laid = [
        (stay.one.width_m, stay.one.length_m)
        for stay, many in there.items()
        if stay not in hanging
        for _ in range(many)
    ]
    return hung, laid


def _gap_m() -> float:
    return kitchen_value("pit_gap").value * 1e-3


def loads(
    stays: Sequence[Lying], rooms: Mapping[str, Room], found: Shelved, zone: dt.tzinfo
) -> Iterator[PitLoad]:
    """Tell of each pit with shelves who lies where, from each change to the next."""
    for pit, room in rooms.items():
        if not room.grates:
            continue
        mine = [stay for stay in stays if stay.pit == pit]
        moments = sorted({at for stay in mine for at in (stay.since, stay.until)})
        for begin, end in pairwise(moments):
            shelves = tuple(_shelves(room, found, begin, pit))
            if any(shelf.pieces for shelf in shelves):
                yield PitLoad(pit, begin.astimezone(zone), end.astimezone(zone), shelves)


def _shelves(room: Room, found: Shelved, when: dt.datetime, pit: str) -> Iterator[ShelfLoad]:
    for at, (name, grate) in enumerate(zip(room.names, room.grates, strict=True)):
        all_there = {stay: many for (stay, on), many in found.on.items() if on == at}
        there = _at({stay: many for stay, many in all_there.items() if stay.pit == pit}, when)
        hung, laid = _hung(grate, there)
        counted = Counter({stay.letter: many for stay, many in there.items()})
        yield ShelfLoad(
            name, tuple(sorted(counted.items())), min(hung + filled(grate, laid, _gap_m()), 1.0)
        )


def height(stay: Lying, found: Shelved, rooms: Mapping[str, Room]) -> tuple[int, int] | None:
    """Highest and lowest shelf of a piece, counted from the top; by its place's words where none are known."""
    shelves = [at for (other, at) in found.on if other == stay]
    if shelves:
        return min(shelves), max(shelves)
    if rooms.get(stay.pit, Room((), ())).grates:
        return None
    level = _level(stay.place)
    return None if level is None else (level, level)
