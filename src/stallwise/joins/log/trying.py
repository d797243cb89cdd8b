"""Lines that are understood, tried on top of a cook: what the day looks like with them, nothing written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from stallwise.joins import timing
from stallwise.joins.ask import ask
from stallwise.joins.learn import observed
from stallwise.joins.learn.outcome import finish_seen
from stallwise.joins.result import Result
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine, effective

__all__ = ["looked_back", "try_on"]

#: After its last serving, or its last line where none is set, a cook is looked back at.
_OVER = dt.timedelta(hours=4)


def try_on(
    record: CookRecord,
    lines: Sequence[LogLine],
    *,
    made_at: dt.datetime,
    changes: Mapping[str, Any] | None = None,
) -> Result:
    """Answer a cook as if some more lines were logged.

    While it runs that is the answer for now. A cook that is looked back at keeps one forecast, the
    one from its last meat on, and all that happened is laid over it: a line more moves a mark and
    no band, so that a time read wrongly is seen at once.

    Parameters
    ----------
    record : CookRecord
        The cook as read.
    lines : sequence of LogLine
        Understood and not written.
    made_at : datetime
        Wall clock of the asking, aware.
    changes : mapping, optional
        Plan parameters, as with ``--set``.
    """
    tried = replace(record, log=effective((*record.log, *lines)))
    if not looked_back(tried, made_at):
        return ask(tried, made_at=made_at, changes=changes)
    result = ask(tried, made_at=made_at, as_of=_last_on(tried), changes=changes)
    pieces = tuple(
        replace(shown, finish_seen=finish_seen(tried, piece))
        for shown, piece in zip(result.pieces, tried.cook.pieces, strict=True)
    )
    happened = observed.events(timing.seen(tried, None), result.hour_zero, tried.zone)
    read = observed.traces(tried.readings, result.hour_zero, made_at)
    return replace(result, events=happened, readings=read, pieces=pieces)


def looked_back(record: CookRecord, now: dt.datetime) -> bool:
    """Whether a cook is over, or is being typed in long after it was served.

    Parameters
    ----------
    record : CookRecord
        The cook, with what is tried on.
    now : datetime
        Wall clock, aware.
    """
    if not record.log or record.state == "finished":
        return bool(record.log)
    served = [timing.serve_at(record.cook, piece, record.zone) for piece in record.cook.pieces]
    last = max(at for at in (*served, record.log[-1].at) if at is not None)
    return now > last + _OVER


def _last_on(record: CookRecord) -> dt.datetime:
    """When the last piece went on; before any did, the first that happened."""
    on = [timing.logged_on(record.log, piece) for piece in record.cook.pieces]
    return max((at for at in on if at is not None), default=record.log[0].at)
