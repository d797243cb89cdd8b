"""Two or more cooks beside each other: what was different, what came out, what is mixed up with what."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.joins.learn.observed import traces
from stallwise.joins.past.cameout import CameOut, came_out
from stallwise.joins.past.cooked import Cooked, cooked
from stallwise.joins.past.credit import Credits, credit
from stallwise.joins.past.differing import Alone, Difference, alone, differences, mixed_up
from stallwise.joins.spread import Trace
from stallwise.record.cook import CookRecord
from stallwise.tables.comparing import nearness

__all__ = ["Compared", "Comparison", "compare_cooks"]


@dataclass(frozen=True)
class Compared:
    """One piece of a comparison.

    Attributes
    ----------
    label, cook, piece : str
        What it is called, its cook, its letter there.
    title, state : str
    date : date
    sample : bool
        Nobody cooked it.
    finish : str
    came_out : CameOut
    core_c : Trace or None
        Core as it was read, on hours since its own meat on; None without a probe.
    wrapped_h, off_h : float or None
        After its own meat on [h], as logged.
    """

    label: str
    cook: str
    piece: str
    title: str
    state: str
    date: dt.date
    sample: bool
    finish: str
    came_out: CameOut
    core_c: Trace | None
    wrapped_h: float | None
    off_h: float | None


@dataclass(frozen=True)
class Comparison:
    """Pieces of one or several cooks beside each other; the first is what the others are held against.

    Attributes
    ----------
    pieces : tuple of Compared
    differences : tuple of Difference
        All that anybody said something of, the same or not.
    mixed_up : tuple of tuple of str
        What changed together.
    alone : tuple of Alone
        Pairs that differ in one part only.
    credits : tuple of Credits
        The first piece and each other one.
    units : {"us", "metric"}
    source : str
        Key of the group of numbers.
    """

    pieces: tuple[Compared, ...]
    differences: tuple[Difference, ...]
    mixed_up: tuple[tuple[str, ...], ...]
    alone: tuple[Alone, ...]
    credits: tuple[Credits, ...]
    units: str
    source: str = "compared"


def compare_cooks(
    chosen: Sequence[tuple[CookRecord, Sequence[str]]],
    *,
    made_at: dt.datetime,
    members: int | None = None,
) -> Comparison:
    """Lay pieces of cooks beside each other.

    Parameters
    ----------
    chosen : sequence of (CookRecord, sequence of str)
        Each cook with the letters of its pieces that are meant; none means all of them.
    made_at : datetime
        Moment of the asking, aware.
    members : int, optional
        Possible days tried in each forecast; the usual number by default.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        Fewer than two pieces, or more than can be read beside each other.
    """
    wanted = [
        (record, list(letters) or [piece.letter for piece in record.cook.pieces])
        for record, letters in chosen
    ]
    _enough([(record.name, letter) for record, letters in wanted for letter in letters])
    labels = _labels(wanted)
    pieces = [
        one
        for (record, letters), named in zip(wanted, labels, strict=True)
        for one in cooked(
            record, dict(zip(letters, named, strict=True)), made_at=made_at, members=members
        )
    ]
    outcomes = [came_out(one) for one in pieces]
    found = differences(pieces)
    names = [one.label for one in pieces]
    return Comparison(
        pieces=tuple(_compared(*pair) for pair in zip(pieces, outcomes, strict=True)),
        differences=found,
        mixed_up=mixed_up(found),
        alone=alone(found, names),
        credits=tuple(
            credit(pieces[0], other, _seen_h(outcomes[0], outcome), differences([pieces[0], other]))
            for other, outcome in zip(pieces[1:], outcomes[1:], strict=True)
        ),
        units=pieces[0].record.book.units,
    )


def _enough(pieces: Sequence[tuple[str, str]]) -> None:
    twice = [f"{cook}/{letter}" for (cook, letter), many in Counter(pieces).items() if many > 1]
    if twice:
        raise InputError(f"{twice[0]} is named twice", "each piece once")
    most = int(nearness("most.pieces"))
    if not 2 <= len(pieces) <= most:
        raise InputError(
            f"{len(pieces)} {'piece' if len(pieces) == 1 else 'pieces'} to lay beside each other",
            f"2 to {most}",
            "Name single pieces with their letter: spring-ribs/A",
        )


def _labels(wanted: Sequence[tuple[CookRecord, Sequence[str]]]) -> list[list[str]]:
    """Call a piece by its cook's title, with its letter where more than one is meant, or the day."""
    titles = Counter(record.cook.title for record, _ in wanted)
    found = []
    for record, letters in wanted:
        title, date = record.cook.title, record.cook.date
        name = title if titles[title] == 1 else f"{title}, {date.day} {date:%b %Y}"
        many = len(letters) > 1 or sum(record is one for one, _ in wanted) > 1
        found.append([f"{name} ({letter})" if many else name for letter in letters])
    return found


def _seen_h(first: CameOut, other: CameOut) -> tuple[float, float] | None:
    """How much later the other was tender, at the least and at the most."""
    ends = (first.low_h, first.high_h, other.low_h, other.high_h)
    if None in ends or "off" in {first.how, other.how}:
        return None
    low, high, other_low, other_high = (end or 0.0 for end in ends)
    return other_low - high, other_high - low


def _compared(one: Cooked, outcome: CameOut) -> Compared:
    record = one.record
    return Compared(
        label=one.label,
        cook=record.name,
        piece=one.letter,
        title=record.cook.title,
        state=record.state,
        date=record.cook.date,
        sample=record.cook.sample,
        finish=one.of_piece.finish,
        came_out=outcome,
        core_c=_core(one),
        wrapped_h=_when(one, "wrapped"),
        off_h=_when(one, "off"),
    )


def _when(one: Cooked, what: str) -> float | None:
    at = next((line.at for line in one.lines if line.what == what), None)
    return None if at is None else one.elapsed_h(at)


def _core(one: Cooked) -> Trace | None:
    """Take the probe in its core, on the piece's own hours."""
    found = traces(one.record.readings, one.of_piece.on_at, one.asked.as_of)
    mine = [trace for key, trace in found.items() if key.split()[0].strip("'") == one.letter]
    return max(mine, key=lambda trace: len(trace.elapsed_h)) if mine else None
