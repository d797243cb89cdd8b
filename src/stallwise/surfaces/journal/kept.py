"""Which steps of a plan are worth telling once the cook is over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from stallwise.joins.result import Observation, Result, Step
from stallwise.joins.sheet.readers import with_cautions
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.sheet.steptable import step_rows

__all__ = ["steps_kept"]

#: Only where something asked for it: nothing that a finished cook left undone.
_IF_NEEDED = frozenset({"thaw"})
#: After the meal, and with a caution that holds whether it was logged or not.
_AFTERWARDS = frozenset({"cool"})
_VERDICTS = frozenset({"tender", "past it"})


def steps_kept(result: Result) -> tuple[Step, ...]:
    """Choose the steps that a page shows.

    Parameters
    ----------
    result : Result
        Answer to the cook, with what was logged laid beside it.

    Returns
    -------
    tuple of Step
        All steps of a cook that is not over. Of a finished one those that were logged, and of
        the others those that could still have been done: a wrap forecast for an hour at which
        the meat was off already is not told, nor is thawing that nobody needed.
    """
    if result.state != "finished":
        return result.steps
    told = [step for step in result.steps if step.done_at or _could_be_done(step, result)]
    return with_cautions(result.steps, told)


def _could_be_done(step: Step, result: Result) -> bool:
    kind = kind_of(step)
    if kind in _IF_NEEDED:
        return False
    if kind in _AFTERWARDS:
        return True
    row = step_rows().get(kind)
    at_pit = row is not None and row.place == "pit"
    end = _end(step, result, _ends_at_pit if at_pit else _ends_meal)
    return end is None or step.at.astimezone(dt.UTC) <= end


def _ends_at_pit(event: Observation) -> bool:
    return event.what in {"off", "rest_start", "served"} or event.verdict in _VERDICTS


def _ends_meal(event: Observation) -> bool:
    return event.what == "served"


def _end(step: Step, result: Result, ends: Callable[[Observation], bool]) -> dt.datetime | None:
    """When the last of the pieces that a step is for was off, or served; None if it is not logged."""
    found = []
    for piece in result.pieces:
        if step.piece in {"", piece.piece} and (step.piece or step.pit in {"", piece.pit}):
            at = [
                event.at.astimezone(dt.UTC)
                for event in result.events
                if event.piece in {"", piece.piece} and ends(event)
            ]
            if not at:
                return None
            found.append(min(at))
    return max(found, default=None)
