"""What happened, laid beside the forecast as it stood.

A Result knows what was logged until its own moment. A page and a picture of a finished
cook show the forecast from before meat on and, beside it, the whole day as logged.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping, Sequence

from stallwise.joins import timing
from stallwise.joins.fire.fires import fire_logged
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.foresight import Asked, plan_pieces, question
from stallwise.joins.learn import observed
from stallwise.joins.learn.inferred import inferred
from stallwise.joins.learn.outcome import finish_seen
from stallwise.joins.learn.scoredcook import score_cook
from stallwise.joins.learn.talliedcook import cook_tally, kept_windows
from stallwise.joins.plan import Planned
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.donesteps import done_at
from stallwise.joins.weighed import weighed
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine

__all__ = ["with_outcome"]


def with_outcome(result: Result, record: CookRecord) -> Result:
    """Lay everything that was logged and read over a Result; its forecast stays as it is.

    Parameters
    ----------
    result : Result
        Answer to the cook at some moment.
    record : CookRecord
        The same cook with all that was logged, before and after that moment.

    Returns
    -------
    Result
        With every event and reading, each step's time as it was done, what was weighed, the fire as it was fed, and
        every forecast as it was kept, held against what happened.
    """
    lines = timing.seen(record, None)
    zone = record.zone
    last = max([result.made_at, *(probe.at[-1] for probe in record.readings if probe.at)])
    asked = question(record, made_at=result.made_at, as_of=last)
    on = {piece.piece: piece.on_at for piece in result.pieces}
    planned, pits = plan_pieces(asked, on)
    scores = score_cook(record)
    cook = {piece.letter: piece for piece in record.cook.pieces}
    return dataclasses.replace(
        result,
        pieces=tuple(
            dataclasses.replace(
                one,
                finish_seen=finish_seen(record, cook[one.piece]),
                weighed=weighed(cook[one.piece]),
            )
            for one in result.pieces
        ),
        inferred=inferred(asked, planned, pits, hour_zero=result.hour_zero),
        events=observed.events(lines, result.hour_zero, zone),
        readings=observed.traces(record.readings, result.hour_zero, last),
        steps=tuple(_done(step, record, lines, result) for step in result.steps),
        fuel=tuple(_fed(fire, asked, planned, pits, on) for fire in result.fuel),
        kept=kept_windows(result, scores),
        tallied=cook_tally(record, scores),
    )


def _fed(
    fire: FuelResult,
    asked: Asked,
    planned: Sequence[Planned],
    pits: Mapping[str, PitState],
    on: Mapping[str, dt.datetime],
) -> FuelResult:
    """Lay over a fire what was written down of it; one that nothing stood in stays as it is."""
    there = [one for one in planned if (one.piece.pit or next(iter(pits))) == fire.pit]
    if fire.pit not in pits or not there:
        return fire
    # It was fed until the last piece was off: nothing that was put on later burnt for this cook.
    off = [at for one in there if (at := timing.came_off(asked.lines, one.piece)) is not None]
    to_its_end = dataclasses.replace(asked, as_of=max(off, default=asked.as_of))
    return dataclasses.replace(fire, **fire_logged(to_its_end, there[0], on, pits[fire.pit]))


def _done(step: Step, record: CookRecord, lines: Sequence[LogLine], result: Result) -> Step:
    pieces = {piece.letter: piece for piece in record.cook.pieces}
    pits = {piece.pit for piece in result.pieces}
    only_pit = next(iter(pits)) if len(pits) == 1 else ""
    done = done_at(step, pieces.get(step.piece), lines, only_pit=only_pit)
    at = None if done is None else done.astimezone(record.zone)
    return dataclasses.replace(step, done_at=at)
