"""Whose hands each step has: what waits for the meat keeps its time, what can be done before makes room."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stallwise.ground.errors import CookWarning
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.hands import Bench, hands_s
from stallwise.joins.sheet.stepdraft import SheetDay, after
from stallwise.joins.words import joined
from stallwise.tables.parameters import parameter

__all__ = ["with_hands"]

#: What can be done earlier, each before the next of its piece.
_BOARD = ("trim", "trim_brisket", "rub")
#: What can be done earlier by itself.
_ANY_TIME = frozenset({"gear", "thaw", "thaw_cold", "soak", "simmer", "reduce"})
#: What can be done later.
_AFTERWARDS = frozenset({"cool", "clean"})
#: What is done when the table says so, cutting and panning by those who are told to.
_TABLE, _BY_THE_CARRIER = (
    frozenset({"carve", "pan", "carry", "serve"}),
    frozenset({"carry", "serve"}),
)
_SHARED = frozenset({"carve", "pan", "carry"})
#: What one person does to several pieces in one visit.
_ONE_VISIT = frozenset({"meat_on", "look", "spritz", "check", "tender", "rest", "hold"})
#: Later times are tried at every five minutes [s].
_STEP_S = 300.0
#: Parts that are in their pans so close together are there at once [s].
_AT_ONCE_S = 30.0


def with_hands(
    steps: Sequence[Step], pieces: Sequence[SheetPiece], day: SheetDay, bench: Bench
) -> tuple[list[Step], list[CookWarning]]:
    """Give every step somebody's hands.

    Parameters
    ----------
    steps : sequence of Step
        Of the day, as the meat and the table want them.
    pieces : sequence of SheetPiece
        With who cuts them.
    day : SheetDay
    bench : Bench
        Filled with what is booked.

    Returns
    -------
    tuple of list of Step and list of CookWarning
        The steps, moved where hands were wanted twice; and where there were too few.
    """
    counts = {piece.letter: piece.count for piece in day.cook.pieces}
    bound = [replace(step, hands_s=_hands_s(step, counts)) for step in steps]
    table = sorted((s for s in bound if _kind(s) in _TABLE), key=lambda one: one.at)
    found = _at_the_table(table, {one.letter: one for one in pieces}, bench)
    short: list[Step] = []
    fixed = [s for s in bound if _kind(s) not in {*_BOARD, *_ANY_TIME, *_AFTERWARDS, *_TABLE}]
    visits: dict[tuple[str, str, dt.datetime], Step] = {}
    for step in sorted(fixed, key=lambda one: (one.at, one.id)):
        visit = (_kind(step), step.pit, step.at)
        if visit in visits and _kind(step) in _ONE_VISIT:
            found.append(replace(step, at=visits[visit].at, person=visits[visit].person))
            continue
        span_s = (step.latest - step.at).total_seconds()
        slack_s = max(_slack_s("hands.slack"), min(span_s, _slack_s("hands.slack_most")))
        placed = _visited(step, bench, slack_s)
        if placed is None:
            short.append(step)
        visits[visit] = placed or step
        found.append(placed or step)
    found += _prepared([s for s in bound if _kind(s) in _BOARD], bench)
    found += [_moved_up(s, bench, s.at) for s in bound if _kind(s) in _ANY_TIME]
    late_s = _slack_s("hands.afterwards")
    found += [_visited(s, bench, late_s) or s for s in bound if _kind(s) in _AFTERWARDS]
    return found, _too_few(short, found, bench, day)


def _slack_s(key: str) -> float:
    return parameter(key).value * 60.0


def _kind(step: Step) -> str:
    return step.id.partition("-")[0]


def _hands_s(step: Step, counts: Mapping[str, int]) -> float:
    kind = _kind(step)
    # What the table's work was shared out by is not reckoned again.
    return step.hands_s if kind in _SHARED else hands_s(kind, counts.get(step.piece, 1))


def _at_the_table(
    steps: Sequence[Step], pieces: Mapping[str, SheetPiece], bench: Bench
) -> list[Step]:
    """Book who cuts and carries, as the table's work was shared out."""
    found = []
    carried: set[dt.datetime] = set()
    for step in steps:
        kind, stints = _kind(step), pieces[step.piece].table.stints
        who = sorted({str(stint.who) for stint in stints})
        if kind == "carve" and stints:
            first_s = max(stint.from_s for stint in stints)
            for stint in stints:
                begin = after(step.at, first_s - stint.from_s)
                bench.book(str(stint.who), begin, stint.from_s - stint.to_s)
        elif kind == "pan" and stints:
            # Whoever was through with their part before is at the next piece by now.
            last_s = min(stint.to_s for stint in stints)
            who = sorted({str(stint.who) for stint in stints if stint.to_s - last_s < _AT_ONCE_S})
        elif kind in _BY_THE_CARRIER:
            who = [str(pieces[step.piece].table.carrier)] if bench.people else []
            if who and kind == "carry" and step.at not in carried:
                bench.book(who[0], step.at, step.hands_s)
                carried.add(step.at)
        found.append(replace(step, person=" ".join(who)))
    return found


def _visited(step: Step, bench: Bench, slack_s: float) -> Step | None:
    """At its time, or a little later; None where nobody is free."""
    late_s = 0.0
    while late_s <= slack_s:
        at = after(step.at, late_s)
        who = bench.free(at, step.hands_s)
        if who is not None:
            bench.book(who, at, step.hands_s)
            return replace(step, at=at, latest=max(step.latest, at), person=who)
        late_s += _STEP_S
    return None


def _prepared(steps: Sequence[Step], bench: Bench) -> list[Step]:
    """Work at the board, each piece's in its order, the last first."""
    found = []
    limits: dict[str, dt.datetime] = {}
    for step in sorted(steps, key=lambda one: one.at, reverse=True):
        by = min(
            after(step.at, step.hands_s), limits.get(step.piece, step.latest + dt.timedelta(1))
        )
        placed = _moved_up(step, bench, after(by, -step.hands_s))
        limits[step.piece] = placed.at
        found.append(placed)
    return found


def _moved_up(step: Step, bench: Bench, at: dt.datetime) -> Step:
    placed = bench.latest(after(at, step.hands_s), step.hands_s, step.hands_s)
    if placed is None:
        return step
    begin, who = placed
    return replace(step, at=begin, earliest=min(step.earliest, begin), person=who)


def _too_few(
    short: Sequence[Step], found: Sequence[Step], bench: Bench, day: SheetDay
) -> list[CookWarning]:
    """Say when more hands are wanted than there are, and for what."""
    warned = []
    for step in short:
        end = after(step.at, step.hands_s)
        beside = [
            one
            for one in found
            if one is not step
            and one.person
            and one.at < end
            and after(one.at, one.hands_s) > step.at
        ]
        said = joined([_said(one) for one in [*beside, step]], "and")
        local = step.at.astimezone(day.zone)
        people = "one person is" if bench.people == 1 else f"{bench.people} people are"
        warned.append(
            CookWarning(
                "hands",
                f"At {local:%H:%M} {people} not enough: {said}. One more pair of hands, or one of "
                "these earlier.",
                step.piece,
            )
        )
    return warned


def _said(step: Step) -> str:
    return f"{step.what.lower()} {step.piece or step.pit}".strip()
