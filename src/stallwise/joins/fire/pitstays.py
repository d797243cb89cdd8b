"""Who lies in which pit from when to when, as planned, moved and logged."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece
from stallwise.joins.sheet.stepdraft import SheetDay, moves_of, pit_of, tender_of, utc
from stallwise.record.log import LogLine
from stallwise.record.places import place_key

__all__ = ["Lying", "lying"]


@dataclass(frozen=True, eq=False)
class Lying:
    """A piece in a pit.

    Attributes
    ----------
    one : SheetPiece
    pit : str
        Letter.
    place : str
        Where in it, as `place_key` writes it; may be empty.
    since, until : datetime
        From when to when; the end is a late one, which nine days in ten keep.
    """

    one: SheetPiece
    pit: str
    place: str
    since: dt.datetime
    until: dt.datetime

    @property
    def letter(self) -> str:
        """Letter of the piece."""
        return self.one.letter

    def beside(self, other: Lying) -> bool:
        """Whether both are in one pit at one time."""
        return self.pit == other.pit and self.since < other.until and other.since < self.until


def lying(
    pieces: Sequence[SheetPiece], day: SheetDay, lines: Sequence[LogLine] = ()
) -> tuple[Lying, ...]:
    """Every stay of every piece, in order of time.

    Parameters
    ----------
    pieces : sequence of SheetPiece
    day : SheetDay
    lines : sequence of LogLine, optional
        What was logged: what is off takes no more room.
    """
    found = [stay for one in pieces for stay in _stays(one, day, lines)]
    return tuple(sorted(found, key=lambda stay: (stay.since, stay.letter)))


def _stays(one: SheetPiece, day: SheetDay, lines: Sequence[LogLine]) -> Iterator[Lying]:
    tender = tender_of(one)
    off = [line.at for line in lines if timing.ends(line, one.piece)]
    end = min(off) if off else tender.high if tender else one.serve_at
    if end is None:
        return
    places = {move.to: move.place for move in one.piece.moves}
    begun = [(pit_of(one, day), utc(one.on_at), one.piece.place)]
    begun += [(to, at, places.get(to)) for to, at in sorted(moves_of(one, day), key=lambda m: m[1])]
    for number, (pit, since, place) in enumerate(begun):
        until = begun[number + 1][1] if number + 1 < len(begun) else utc(end)
        if since < until:
            yield Lying(one, pit, place_key(place), since, until)
