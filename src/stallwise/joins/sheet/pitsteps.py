"""Steps of a pit: lit, steady, brought to another temperature."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import pairwise

from stallwise.ground import units as quantities
from stallwise.joins.chances import SheetPiece
from stallwise.joins.fire.fuelwords import stock_words, swing_words, units_words, visit_words
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.result import Step
from stallwise.joins.sheet.stepdraft import SheetDay, after, make_step, moves_of, pit_of, utc
from stallwise.joins.sheet.steptable import step_row

__all__ = ["SWITCHED_ON", "pit_steps"]

#: Pits that are not lit.
SWITCHED_ON = frozenset({"oven", "box"})


def pit_steps(pieces: Sequence[SheetPiece], day: SheetDay) -> Iterator[Step]:
    """Lay out the steps of every pit that something goes into."""
    for letter, pit in day.pits.items():
        arrivals = [utc(p.on_at) for p in pieces if pit_of(p, day) == letter]
        arrivals += [at for p in pieces for to, at in moves_of(p, day) if to == letter]
        if not arrivals:
            continue
        first = min(arrivals)
        yield from _lit(letter, pit, first, day)
        yield from _fed(letter, first, day)
        for number, (at, was_c, wanted_c) in enumerate(_climbs(pit, day), start=1):
            word = "up" if wanted_c > was_c else "down"
            wanted = quantities.format_temperature(wanted_c, day.units)
            row = step_row("climb")
            yield make_step(
                "climb",
                f"{letter}{number}" if number > 1 else letter,
                at,
                (at, after(at, row.high_s)),
                pit=letter,
                what=f"Bring the pit {word} to {wanted}",
                until=f"the pit holds {wanted}",
            )


def _lit(letter: str, pit: PitState, first: dt.datetime, day: SheetDay) -> Iterator[Step]:
    switched_on = pit.kind in SWITCHED_ON
    row, steady = step_row("switch_on" if switched_on else "fire_lit"), step_row("pit_steady")
    start_s = day.start_s[letter]
    at = after(first, -start_s)
    # A pit that is known by its own start-up keeps the table's shape round it.
    early, late = (after(first, -start_s * span / row.usual_s) for span in (row.high_s, row.low_s))
    temp_c = pit.points[0][1] if pit.points else None
    heat = "" if temp_c is None else quantities.format_temperature(temp_c, day.units)
    yield make_step(
        row.key,
        letter,
        at,
        (early, late),
        pit=letter,
        until=f"it holds {heat}" if switched_on and heat else "",
        detail="" if switched_on else _at_hand(letter, day),
    )
    if not switched_on:
        ready = after(first, -min(steady.usual_s, start_s))
        yield make_step(
            "pit_steady",
            letter,
            ready,
            (after(at, row.low_s * start_s / row.usual_s), first),
            pit=letter,
            what=f"Pit steady at {heat}" if heat else "",
            detail=_vents(letter, day),
        )


def _vents(letter: str, day: SheetDay) -> str:
    """How the vents stood the last time that the pit held about so much."""
    fire = next((one for one in day.fuel if one.pit == letter), None)
    return f"last time: {fire.vents_before}" if fire is not None and fire.vents_before else ""


def _at_hand(letter: str, day: SheetDay) -> str:
    """How much fuel to have at hand before the match."""
    return next((stock_words(one, day.units) for one in day.fuel if one.pit == letter), "")


def _fed(letter: str, first: dt.datetime, day: SheetDay) -> Iterator[Step]:
    """Visits with fuel: one step for a fire that is fed bit by bit, one each for a pit that is filled."""
    fire = next((one for one in day.fuel if one.pit == letter), None)
    if fire is None or not fire.visits:
        return
    row = step_row("refuel")
    if fire.swing_k is not None:
        yield make_step(
            "refuel",
            letter,
            utc(fire.visits[0]),
            (after(first, row.low_s), utc(fire.visits[-1])),
            pit=letter,
            what=f"Feed the fire: {visit_words(fire)}",
            detail=swing_words(fire, day.units),
        )
        return
    for number, at in enumerate(fire.visits, start=1):
        yield make_step(
            "refuel",
            f"{letter}{number}" if number > 1 else letter,
            utc(at),
            (after(utc(at), -row.low_s), after(utc(at), row.low_s)),
            pit=letter,
            what=f"Top up: {units_words(fire, fire.each)} of {fire.fuel}",
        )


def _climbs(pit: PitState, day: SheetDay) -> Iterator[tuple[dt.datetime, float, float]]:
    before_s = -1.0
    for (at_s, low_c), (to_s, high_c) in pairwise(pit.points):
        # What a fire does that is out is nothing to be done; the legs of one slow climb are one step.
        if any(begin <= at_s < end for begin, end in pit.out):
            continue
        if at_s >= 0.0 and abs(high_c - low_c) > 1.0 and at_s > before_s:
            yield after(day.hour_zero, at_s), low_c, high_c
            before_s = to_s
