"""The last 45 minutes before a serving: minutes backwards, what is done, and no odds any more."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.joins import words
from stallwise.joins.instants import apart, later, wall
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.readers import people_words
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.sheet.steptable import step_rows

__all__ = ["LastMinutes", "MinuteRow", "last_minutes"]

_LAST = dt.timedelta(minutes=45)
#: Where a piece is when the list begins, by the last of these steps before it.
_STATES = {"meat_on": "on", "wrap": "wrapped", "unwrap": "bare", "rest": "resting", "hold": "held",
           "carve": "cut", "pan": "in its pan"}  # fmt: skip


@dataclass(frozen=True)
class MinuteRow:
    """One line: minutes to serving, the clock, whose, what, and who does it."""

    minutes: int
    clock: str
    who: str
    what: str
    by: str


@dataclass(frozen=True)
class LastMinutes:
    """The list of one serving time: the pieces served then, where they are, and the lines."""

    serve_at: dt.datetime
    letters: tuple[str, ...]
    stands: str
    rows: tuple[MinuteRow, ...]


def last_minutes(result: Result) -> tuple[LastMinutes, ...]:
    """Make a list for each serving time, in order.

    Parameters
    ----------
    result : Result
        The cook as answered.

    Returns
    -------
    tuple of LastMinutes
        Empty where no serving time is set. A list has every step of the last 45 minutes, other
        people's and other servings' too: they want the same hands.
    """
    plates = {step.piece: step.at for step in result.steps if kind_of(step) == "serve"}
    times: dict[float, list[str]] = {}
    for piece in result.pieces:
        if piece.serve_at is not None:
            # Counted back from when it can be served, however firmly another hour was promised.
            at = max(piece.serve_at, plates.get(piece.piece, piece.serve_at), key=_instant)
            times.setdefault(_instant(at), []).append(piece.piece)
    zone = result.hour_zero.tzinfo
    return tuple(
        _list(result, dt.datetime.fromtimestamp(at, zone), tuple(sorted(times[at])))
        for at in sorted(times)
    )


def _instant(at: dt.datetime) -> float:
    return at.timestamp() // 60 * 60


def _list(result: Result, serve_at: dt.datetime, letters: tuple[str, ...]) -> LastMinutes:
    begin = later(serve_at, -_LAST)
    steps = [
        step
        for step in result.steps
        if begin.timestamp() <= step.at.timestamp() < serve_at.timestamp() + 60
        and kind_of(step) not in {"tender", "thaw"}
    ]
    groups: dict[tuple[int, str, str, str], list[Step]] = {}
    for step in steps:
        # A minute begun is a minute less: nobody is late by the list.
        minutes = -int(-apart(serve_at, step.at).total_seconds() // 60)
        groups.setdefault((minutes, kind_of(step), step.what, step.person), []).append(step)
    order = list(step_rows())
    keys = sorted(groups, key=lambda key: (-key[0], order.index(key[1])))
    rows = tuple(
        MinuteRow(
            minutes,
            wall(later(serve_at, -dt.timedelta(minutes=minutes))),
            _letters(groups[(minutes, kind, what, person)], letters),
            what,
            people_words(person.split(), result),
        )
        for minutes, kind, what, person in keys
    )
    return LastMinutes(serve_at, letters, _stands(result, begin, letters), rows)


def _letters(group: Sequence[Step], served: tuple[str, ...]) -> str:
    """Whose step it is; nobody's where it is everybody's who is served then."""
    found = sorted({step.piece or step.pit for step in group} - {""})
    return "" if tuple(found) == served and len(found) > 1 else " ".join(found)


def _stands(result: Result, begin: dt.datetime, letters: tuple[str, ...]) -> str:
    """Where the pieces are when the list begins."""
    states: dict[str, str] = {}
    for step in sorted(result.steps, key=lambda one: (one.at.timestamp(), one.id)):
        state = _STATES.get(kind_of(step))
        if state and step.piece in letters and step.at.timestamp() < begin.timestamp():
            states[step.piece] = state
    where: dict[str, list[str]] = {}
    for letter, state in states.items():
        where.setdefault(state, []).append(letter)
    return "; ".join(f"{words.joined(sorted(who))} {state}" for state, who in where.items())
