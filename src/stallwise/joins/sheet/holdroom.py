"""Room in hold boxes and ovens: pans that wait for serving at one time, against what a box takes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.chances import SheetPiece
from stallwise.joins.sheet.stepdraft import SheetDay, after, tender_of, utc
from stallwise.joins.sheet.tablework import pans_of
from stallwise.joins.words import day_clock, joined
from stallwise.record.schema import Pit

__all__ = ["hold_room"]


@dataclass(frozen=True)
class _Held:
    one: SheetPiece
    box: str
    since: dt.datetime
    until: dt.datetime

    @property
    def pans(self) -> int:
        return pans_of(self.one.piece, self.one.mass_kg)


def hold_room(
    pieces: Sequence[SheetPiece], day: SheetDay, files: Mapping[str, Pit], *, running: bool
) -> tuple[CookWarning, ...]:
    """Check that every box takes the pans that are held in it at one time.

    Parameters
    ----------
    pieces : sequence of SheetPiece
    day : SheetDay
    files : mapping of name to Pit
        A box or an oven says how many `pans` it takes.
    running : bool
        Something is on the pit already: then too many pans are told, not refused.

    Raises
    ------
    InputError
        More pans than a box takes, in a plan.
    """
    held = [found for one in pieces if (found := _held(one, day, files)) is not None]
    warned = []
    for letter, room in _boxes(day, files).items():
        mine = [one for one in held if one.box == letter]
        fullest = max(mine, key=lambda one: _count(mine, one.since), default=None)
        if fullest is None or _count(mine, fullest.since) <= room:
            continue
        came, allowed, todo = _said(mine, fullest, room, held, day, files)
        if not running:
            raise InputError(came, allowed, todo)
        warned.append(CookWarning("box-full", f"{came}; it takes {room}. {todo}.", ""))
    return tuple(warned)


def _boxes(day: SheetDay, files: Mapping[str, Pit]) -> dict[str, int]:
    return {
        letter: pans
        for letter, pit in day.pits.items()
        if (file := files.get(pit.name)) is not None and (pans := file.pans)
    }


def _held(one: SheetPiece, day: SheetDay, files: Mapping[str, Pit]) -> _Held | None:
    """Where and from when to when it waits: from its earliest rest to the knife."""
    tender = tender_of(one)
    kind = one.piece.hold
    alike = [letter for letter in _boxes(day, files) if day.pits[letter].kind == kind]
    box = one.piece.hold_in or (alike[0] if len(alike) == 1 else "")
    if not box or tender is None or one.serve_at is None:
        return None
    until = after(utc(one.serve_at), -one.carve_s - one.after_s)
    return _Held(one, box, min(tender.low, until), until)


def _there(held: Sequence[_Held], when: dt.datetime) -> list[_Held]:
    return [one for one in held if one.since <= when < one.until]


def _count(held: Sequence[_Held], when: dt.datetime) -> int:
    return sum(one.pans for one in _there(held, when))


def _said(
    mine: Sequence[_Held],
    fullest: _Held,
    room: int,
    held: Sequence[_Held],
    day: SheetDay,
    files: Mapping[str, Pit],
) -> tuple[str, str, str]:
    there = _there(mine, fullest.since)
    name = day.pits[fullest.box].name
    each = joined([f"{one.pans} of {one.one.letter}" for one in there], "and")
    count = _count(mine, fullest.since)
    begin, end = (
        day_clock(at.astimezone(day.zone), day.cook.date)
        for at in (fullest.since, min(one.until for one in there))
    )
    came = f"{count} pans in {name} ({fullest.box}) from {begin} to {end}: {each}"
    # What waits least is the first to be left out of it.
    short = min(there, key=lambda one: one.until - one.since)
    todo = next(iter(_other_box(short, held, day, files)), "") or (
        f"Leave {short.one.letter}, which waits least, wrapped in its pit or a warm oven, or serve "
        "one of them earlier"
    )
    return came, f"{room} pans at a time, as its file says", todo


def _other_box(
    one: _Held, held: Sequence[_Held], day: SheetDay, files: Mapping[str, Pit]
) -> Iterator[str]:
    for letter, room in _boxes(day, files).items():
        there = [other for other in held if other.box == letter]
        most = max((_count(there, other.since) for other in there), default=0)
        if letter != one.box and most + one.pans <= room:
            yield f"Put {one.one.letter} into {day.pits[letter].name} ({letter}), which has room"
