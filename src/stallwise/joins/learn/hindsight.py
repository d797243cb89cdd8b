"""What happened, laid beside the forecast as it stood.

A Result knows what was logged until its own moment. A page and a picture of a finished
cook show the forecast from before meat on and, beside it, the whole day as logged.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from stallwise.joins import timing
from stallwise.joins.foresight import plan_pieces, question
from stallwise.joins.learn import observed
from stallwise.joins.learn.inferred import inferred
from stallwise.joins.learn.outcome import finish_seen
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.donesteps import done_at
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
        With every event and reading, and with each step's time as it was done.
    """
    lines = timing.seen(record, None)
    zone = record.zone
    last = max([result.made_at, *(probe.at[-1] for probe in record.readings if probe.at)])
    asked = question(record, made_at=result.made_at, as_of=last)
    planned, pits = plan_pieces(asked, {piece.piece: piece.on_at for piece in result.pieces})
    cook = {piece.letter: piece for piece in record.cook.pieces}
    return dataclasses.replace(
        result,
        pieces=tuple(
            dataclasses.replace(one, finish_seen=finish_seen(record, cook[one.piece]))
            for one in result.pieces
        ),
        inferred=inferred(asked, planned, pits, hour_zero=result.hour_zero),
        events=observed.events(lines, result.hour_zero, zone),
        readings=observed.traces(record.readings, result.hour_zero, last),
        steps=tuple(_done(step, record, lines, result) for step in result.steps),
    )


def _done(step: Step, record: CookRecord, lines: Sequence[LogLine], result: Result) -> Step:
    pieces = {piece.letter: piece for piece in record.cook.pieces}
    pits = {piece.pit for piece in result.pieces}
    only_pit = next(iter(pits)) if len(pits) == 1 else ""
    done = done_at(step, pieces.get(step.piece), lines, only_pit=only_pit)
    at = None if done is None else done.astimezone(record.zone)
    return dataclasses.replace(step, done_at=at)
