"""What comes after the rest: who cuts what and when, pans, and the way to where it is eaten.

Pieces for one serving time are cut one after the other by as many people as there are, what suffers
least from waiting first; nobody cuts while they carry.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stallwise.ground import units
from stallwise.joins.sheet.steptable import step_row
from stallwise.record.schema import Cook, Piece
from stallwise.tables.gear import gear_value

__all__ = ["Cutting", "Stint", "TableWork", "carry_s", "pans_of", "table_work"]

#: Nobody's hands were counted: each piece has its own.
_ALL = 10_000


@dataclass(frozen=True)
class Cutting:
    """A piece to be cut.

    Attributes
    ----------
    piece : Piece
    mass_kg : float
        One of it [kg].
    each_s : float
        Cutting one of it, one person [s]; all of it where `whole`.
    whole : bool
        The cook said how long all of it takes.
    serve_at : datetime or None
        When it is eaten.
    keeps : bool
        It waits well once it is cut: pulled meat under its cover.
    """

    piece: Piece
    mass_kg: float
    each_s: float
    whole: bool
    serve_at: dt.datetime | None
    keeps: bool


@dataclass(frozen=True)
class Stint:
    """One person's part of a piece's cutting: whose, from and to [s before serving]."""

    who: int
    from_s: float
    to_s: float


@dataclass(frozen=True)
class TableWork:
    """A piece's cutting [s]; from its end to the plate [s]: others' cutting, pans, the way; by whom.

    `carrier` is who takes it over and serves it, 0 where nobody was counted.
    """

    carve_s: float = 0.0
    after_s: float = 0.0
    stints: tuple[Stint, ...] = ()
    carrier: int = 0


def carry_s(cook: Cook) -> float:
    """Say how long the way from the board to where it is eaten takes [s]; 0 where none is said."""
    return units.parse("duration", cook.carry, key="carry") if cook.carry else 0.0


def pans_of(piece: Piece, mass_kg: float) -> int:
    """Pans that a piece fills: as the cook says, else by its weight, a large one to itself.

    Parameters
    ----------
    piece : Piece
    mass_kg : float
        Of one of it [kg].
    """
    full_kg = max(gear_value("pan.holds"), mass_kg)
    return piece.pans or max(math.ceil(piece.count * mass_kg / full_kg - 1e-9), 1)


def table_work(cook: Cook, cuttings: Sequence[Cutting]) -> dict[str, TableWork]:
    """Share the cutting out, back from each serving time.

    Parameters
    ----------
    cook : Cook
        With the people that there are and the way to the table.
    cuttings : sequence of Cutting

    Returns
    -------
    dict of str to TableWork
        By letter.
    """
    people = cook.people or _ALL
    busy: dict[int, list[tuple[float, float]]] = defaultdict(list)
    zero = min((one.serve_at for one in cuttings if one.serve_at), default=None)
    carriers: dict[float, int] = {}
    for end_s in sorted({_end_s(one, zero) for one in cuttings if one.serve_at}):
        begin_s = end_s - carry_s(cook)
        carriers[end_s] = _carrier(busy, begin_s, min(people, len(cuttings)))
        busy[carriers[end_s]].append((begin_s, end_s))
    # Served last is laid out first; what keeps is cut first, so it is laid out last.
    ordered = sorted(cuttings, key=lambda one: (-_end_s(one, zero), one.keeps, one.each_s))
    return {
        one.piece.letter: replace(
            _laid(one, cook, people, busy, zero),
            carrier=carriers.get(_end_s(one, zero), 0) + 1 if cook.people else 0,
        )
        for one in ordered
    }


def _carrier(busy: dict[int, list[tuple[float, float]]], begin_s: float, people: int) -> int:
    """First who is back from another way; the first of all where nobody is."""
    return next(
        (who for who in range(people) if all(end <= begin_s for _, end in busy[who])),
        0,
    )


def _end_s(one: Cutting, zero: dt.datetime | None) -> float:
    return (one.serve_at - zero).total_seconds() if one.serve_at and zero else 0.0


def _laid(
    one: Cutting,
    cook: Cook,
    people: int,
    busy: dict[int, list[tuple[float, float]]],
    zero: dt.datetime | None,
) -> TableWork:
    pan_s = step_row("pan").usual_s * pans_of(one.piece, one.mass_kg) if cook.carry else 0.0
    served_s = _end_s(one, zero)
    ready_s = served_s - carry_s(cook)
    parts = [one.each_s] if one.whole else [one.each_s] * one.piece.count
    if one.serve_at is None or people == _ALL:
        return TableWork(sum(parts), served_s - ready_s + pan_s)
    spans, stints = [], []
    panned_s = pan_s / len(parts)
    for part_s in parts:
        length_s = part_s + panned_s
        who, end_s = max(
            ((who, _latest(busy[who], ready_s, length_s)) for who in range(people)),
            key=lambda found: (found[1], -found[0]),
        )
        busy[who].append((end_s - length_s, end_s))
        stints.append(Stint(who + 1, served_s - end_s + length_s, served_s - end_s))
        spans.append((end_s - length_s, end_s - panned_s))
    begin_s, end_s = min(span[0] for span in spans), max(span[1] for span in spans)
    return TableWork(end_s - begin_s, served_s - end_s, tuple(stints))


def _latest(busy: Sequence[tuple[float, float]], by_s: float, length_s: float) -> float:
    """Latest end, no later than `by_s`, of a stretch in which nothing else is done [s]."""
    end_s = by_s
    for begin, end in sorted(busy, reverse=True):
        if end_s - length_s < end and begin < end_s:
            end_s = begin
    return end_s
