"""The day sheet: every step of a cook on the clock, backwards from serving.

A step ends on a sign, not on a minute: its time is the most likely one, with the span in
which the sign usually comes. What was logged stands beside what was planned.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground.errors import CookWarning
from stallwise.joins.chances import SheetPiece, chances, odds_in_time, start_up_s
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.pitloading import with_loading
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.result import Step
from stallwise.joins.sheet.dayresult import GearLine
from stallwise.joins.sheet.donesteps import done_at, is_past
from stallwise.joins.sheet.gear import gear, gear_step
from stallwise.joins.sheet.hands import Bench
from stallwise.joins.sheet.handsteps import with_hands
from stallwise.joins.sheet.jobsteps import job_steps
from stallwise.joins.sheet.piecesteps import piece_steps
from stallwise.joins.sheet.pitsteps import SWITCHED_ON, pit_steps
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.sheet.stepdraft import SheetDay, after, make_step
from stallwise.joins.sheet.stepodds import with_odds
from stallwise.joins.sheet.steptable import StepRow, caution, step_row, step_rows
from stallwise.joins.sheet.stovesteps import stove_steps
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook
from stallwise.tables.ingredients import ingredients

__all__ = ["DaySheet", "SheetPiece", "chances", "day_sheet", "odds_in_time"]


@dataclass(frozen=True)
class DaySheet:
    """Steps in order of time, the gear they need, and where they do not fit together."""

    steps: tuple[Step, ...]
    gear: tuple[GearLine, ...] = ()
    warnings: tuple[CookWarning, ...] = ()


def day_sheet(
    cook: Cook,
    pieces: Sequence[SheetPiece],
    *,
    pits: Mapping[str, PitState],
    hour_zero: dt.datetime,
    probability: float,
    zone: ZoneInfo,
    lines: Sequence[LogLine] = (),
    pit_start_s: Mapping[str, float | None] | None = None,
    units: str = "us",
    as_of: dt.datetime | None = None,
    mixes: Sequence[MixResult] = (),
    fuel: Sequence[FuelResult] = (),
) -> DaySheet:
    """Lay out the steps of a cook in order of time.

    Parameters
    ----------
    cook : Cook
        As planned.
    pieces : sequence of SheetPiece
        With the times at which they go on.
    pits : mapping of str to PitState
        By letter.
    hour_zero : datetime
        When the first piece goes on, aware.
    probability : float
        Odds that the cook asks for; the late end of the last steps is shown by them.
    zone : ZoneInfo
        In which times are given.
    lines : sequence of LogLine
        What was logged; a step that it matches is done.
    pit_start_s : mapping of str to float or None, optional
        Time from match to steady [s] by name of the pit; the table's usual where unknown.
    units : {"us", "metric"}
        For masses and temperatures in details.
    as_of : datetime, optional
        Nothing that was logged later counts.
    mixes : sequence of MixResult, optional
        Tells which mix is a rub and which a glaze.
    fuel : sequence of FuelResult, optional
        What the fires take.

    Returns
    -------
    DaySheet
        Exact instants; rounding is for whoever shows them.
    """
    start_s = _start_up_s(pits, pit_start_s or {})
    day = SheetDay(cook, pits, start_s, hour_zero.astimezone(dt.UTC), units, mixes, zone, fuel)
    steps = [*pit_steps(pieces, day)]
    for piece in pieces:
        steps += piece_steps(piece, day, probability)
    steps = list(with_loading(steps, pieces, day))
    steps += stove_steps(mixes, steps, units)
    steps += _leftovers(pieces, steps)
    laid_out = gear(pieces, day)
    if cook.people:  # where hands are counted, what is done around the day takes some too
        steps += [*gear_step(laid_out, steps, zone), *_cleaned(steps)]
    bench = Bench(cook.people, cook.places)
    steps, short = with_hands(steps, pieces, day, bench)
    jobs, late = job_steps(steps, day, bench)
    steps += jobs
    seen = [line for line in lines if as_of is None or line.at <= as_of]
    # At the same minute in the order of a day: tender comes before off to rest.
    rank = {kind: number for number, kind in enumerate(step_rows())}
    ordered = sorted(steps, key=lambda step: (step.at, rank[kind_of(step)]))
    marked = _with_cautions(_with_done(ordered, cook, seen, day), _moot(pieces, mixes))
    finished = with_odds(tuple(marked), pieces)
    return DaySheet(tuple(_local(step, zone) for step in finished), laid_out, (*short, *late))


def _start_up_s(
    pits: Mapping[str, PitState], pit_start_s: Mapping[str, float | None]
) -> dict[str, float]:
    names = {letter: pit.name for letter, pit in pits.items()}
    return {
        letter: step_row("switch_on").usual_s
        if pit.kind in SWITCHED_ON and pit_start_s.get(pit.name) is None
        else start_up_s(letter, pit_start_s, names)
        for letter, pit in pits.items()
    }


def _with_done(
    steps: Sequence[Step], cook: Cook, lines: Sequence[LogLine], day: SheetDay
) -> Iterator[Step]:
    pieces = {piece.letter: piece for piece in cook.pieces}
    only_pit = next(iter(day.pits), "") if len(day.pits) == 1 else ""
    for step in steps:
        piece = pieces.get(step.piece)
        known = replace(step, done_at=done_at(step, piece, lines, only_pit=only_pit))
        if not is_past(known, piece, lines):
            yield known


def _moot(pieces: Sequence[SheetPiece], mixes: Sequence[MixResult]) -> Mapping[str, set[str]]:
    """Cautions that mean nothing for a piece, by its letter; by none for what is no piece's."""
    cured = any(line.ingredient in _weighed_only() for mix in mixes for line in mix.lines)
    found: dict[str, set[str]] = {}
    for one in pieces:
        moved_in = {move.to for move in one.piece.moves}
        glazed = any(
            mix.kind in {"glaze", "sauce"} and (not mix.on or one.letter in mix.on) for mix in mixes
        )
        near_glass = one.wrap_kind == "pan" or one.piece.hold == "oven" or moved_in or glazed
        # A bare piece has no wrap that steam comes out of; glass is for pans, ovens and bowls of glaze.
        moot = {
            "hot_fat_steam": one.wrap_kind == "none",
            "glass": not near_glass,
            "poultry": not one.is_bird,
            "raw_juice": not one.is_bird,
            "cure": not cured,
        }
        found[one.letter] = {key for key, is_moot in moot.items() if is_moot}
    return found


@cache
def _weighed_only() -> frozenset[str]:
    return frozenset(key for key, one in ingredients().items() if one.weigh_only)


def _with_cautions(steps: Iterable[Step], moot: Mapping[str, set[str]]) -> Iterator[Step]:
    """Say each caution once, at the first step where it is due."""
    said: set[str] = set()
    never = set.intersection(*moot.values()) if moot else set()
    for step in steps:
        not_here = said | moot.get(step.piece, never)
        due = [key for key in _row(step.id).cautions if key not in not_here]
        said.update(due)
        yield replace(step, caution=" ".join(caution(key).full for key in due))


def _row(step_id: str) -> StepRow:
    return step_row(step_id.partition("-")[0])


def _local(step: Step, zone: ZoneInfo) -> Step:
    times: dict[str, Any] = {
        name: at.astimezone(zone)
        for name in ("at", "earliest", "latest", "done_at", "due_at")
        if (at := getattr(step, name)) is not None
    }
    return replace(step, **times)


def _leftovers(pieces: Sequence[SheetPiece], steps: Sequence[Step]) -> Iterator[Step]:
    """After the last serving, where one was promised."""
    served = [step.at for step in steps if step.id.startswith("serve-")]
    if served and any(piece.serve_at for piece in pieces):
        row = step_row("cool")
        last = max(served)
        at = after(last, row.usual_s)
        yield make_step("cool", "", at, (last, after(last, row.high_s)))


def _cleaned(steps: Sequence[Step]) -> Iterator[Step]:
    """After all that is eaten is away."""
    last = max(step.at for step in steps)
    yield make_step("clean", "", last, (last, after(last, step_row("clean").high_s)))
