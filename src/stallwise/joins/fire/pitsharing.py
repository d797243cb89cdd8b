"""Pits and boxes as shared things: what does not fit together in them, why, and the nearest plan that can."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from stallwise.ground import units
from stallwise.ground.errors import CookWarning
from stallwise.joins.chances import SheetPiece
from stallwise.joins.fire.pitheat import apart, heat_of, held_c, off_by
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.fire.pitroom import Shelved, height, loads, room_of, shelved
from stallwise.joins.fire.pitstays import Lying, lying
from stallwise.joins.fire.pitways import Sharing, way_out
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.sheet.dayresult import PitLoad
from stallwise.joins.sheet.holdroom import hold_room
from stallwise.joins.sheet.stepdraft import SheetDay
from stallwise.joins.words import ODDS, joined
from stallwise.tables.parameters import parameter

__all__ = ["Shared", "share_pits"]


@dataclass(frozen=True)
class Shared:
    """Who lies where when, and what cannot be."""

    loads: tuple[PitLoad, ...] = ()
    warnings: tuple[CookWarning, ...] = field(default=())


def share_pits(asked: Asked, seen: Foreseen, pieces: Sequence[SheetPiece]) -> Shared:
    """Look how the pieces of a cook share its pits and boxes.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        What is asked, and its forecast.
    pieces : sequence of SheetPiece
        With the times at which they go on.

    Raises
    ------
    InputError
        More pans than a box takes, in a plan.
    """
    cook, system = asked.cook, asked.record.book.units
    zero = min(seen.on.values()).astimezone(dt.UTC)
    day = SheetDay(cook, seen.pits, {}, zero, system, (), asked.zone)
    stays = lying(pieces, day, asked.lines)
    files = asked.record.pits
    rooms = {letter: room_of(files.get(pit.name)) for letter, pit in seen.pits.items()}
    sharing = Sharing(
        stays,
        seen.pits,
        files,
        rooms,
        {one.piece.letter: heat_of(one.piece, one.cut) for one in seen.planned},
        ODDS[cook.odds],
        cook.odds,
        asked.zone,
        cook.date,
        zero.timestamp(),
        system,
    )
    found = shelved(stays, rooms)
    return Shared(
        tuple(loads(stays, rooms, found, asked.zone)),
        (
            *_too_full(found, sharing),
            *_dripping(found, sharing),
            *_two_heats(sharing),
            *_wrong_heat(sharing),
            *hold_room(pieces, day, files, running=asked.record.state != "planned"),
        ),
    )


def _too_full(found: Shelved, sharing: Sharing) -> Iterator[CookWarning]:
    """Pieces that find no shelf, what is in their way, and the nearest plan."""
    for stay, many in found.left.items():
        there = sorted(
            {other.letter for other, _ in found.on if other.beside(stay)} - {stay.letter}
        )
        room, one = sharing.rooms[stay.pit], stay.one
        size = " x ".join(
            units.format_length(side, sharing.units) for side in (one.width_m, one.length_m)
        )
        what = f"{many} of {one.piece.count}" if one.piece.count > 1 else "it"
        begin, end = sharing.clock(stay.since), sharing.clock(stay.until)
        name = sharing.pits[stay.pit].name
        shelves = joined(list(room.names), "and")
        beside = f" beside {joined(there, 'and')}" if there else ""
        text = (
            f"The pit {name} is too full: of {stay.letter}, {what} ({size}) lies on none of its "
            f"shelves ({shelves}){beside} from {begin} to {end}."
        )
        others = [other for other, _ in found.on if other.beside(stay) and other is not stay]
        if others:
            text += f" Nearest that can be done: {way_out(stay, others, sharing).text}"
        else:
            text += " Take a larger pit, or cut it."
        yield CookWarning("pit-full", text, stay.letter)


def _dripping(found: Shelved, sharing: Sharing) -> Iterator[CookWarning]:
    """Birds that lie above other food: raw juice drips on nothing that is eaten."""
    birds = [stay for stay in sharing.stays if stay.one.is_bird]
    for bird in birds:
        high = height(bird, found, sharing.rooms)
        for other in sharing.stays:
            low = height(other, found, sharing.rooms)
            if other.one.is_bird or not bird.beside(other) or high is None or low is None:
                continue
            if high[0] < low[1]:
                text = (
                    f"{bird.letter} is a bird and lies above {other.letter}: raw juice drips on "
                    f"nothing that is eaten (FSIS). Nearest that can be done: {other.letter} above "
                    f"and {bird.letter} below, or side by side."
                )
                yield CookWarning("bird-above", text, bird.letter)


def _two_heats(sharing: Sharing) -> Iterator[CookWarning]:
    """Pieces at one time in one pit that no heat suits."""
    for cool, hot in apart(sharing.stays, dict(sharing.heats)):
        heats = [sharing.heats[stay.letter].words(sharing.units) for stay in (cool, hot)]
        begin = sharing.clock(max(cool.since, hot.since))
        end = sharing.clock(min(cool.until, hot.until))
        yield CookWarning(
            "two-heats",
            f"{cool.letter} wants {heats[0]} and {hot.letter} {heats[1]}, and both are in pit "
            f"{sharing.pits[hot.pit].name} from {begin} to {end}: one heat cannot suit both. "
            f"Nearest that can be done: {_told_apart(cool, hot, sharing)}",
            hot.letter,
        )


def _told_apart(cool: Lying, hot: Lying, sharing: Sharing) -> str:
    """Let the hot one make way, or else the cool one, if that keeps the serving time."""
    tries = [way_out(hot, [cool], sharing), way_out(cool, [hot], sharing)]
    return next((way.text for way in tries if way.in_time), tries[0].text)


def _wrong_heat(sharing: Sharing) -> Iterator[CookWarning]:
    """Tell of a pit that is throughout other than the cook said that a piece takes."""
    for stay in sharing.stays:
        heat = sharing.heats[stay.letter]
        pit: PitState = sharing.pits[stay.pit]
        gap_k = off_by(heat, held_c(stay, pit, sharing.zero_s))
        if not heat.said or abs(gap_k) <= parameter("pit.suits").value:
            continue
        many = [other for other in sharing.stays if other is stay or other.beside(stay)]
        least_c = max(sharing.heats[other.letter].least_c for other in many)
        most_c = min(sharing.heats[other.letter].most_c for other in many)
        plan = units.format_temperature(pit.points[0][1], sharing.units)
        text = f"{stay.letter} wants {heat.words(sharing.units)}, and pit {pit.name} is planned at {plan}."
        if least_c <= most_c:
            both = units.format_temperature(least_c if gap_k < 0.0 else most_c, sharing.units)
            letters = joined([other.letter for other in many], "and")
            text += f" {both} suits {letters}."
        yield CookWarning("wrong-heat", text, stay.letter)
