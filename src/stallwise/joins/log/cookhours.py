"""Between which hours something of a cook can have happened, by its kind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.vocabulary import words

__all__ = ["AFTER", "BEFORE_MEAT", "LATE", "cook_hours"]

_HALF_DAY = dt.timedelta(hours=12)
_MINUTE = dt.timedelta(minutes=1)
_HOUR = dt.timedelta(hours=1)
#: Trimming, salting and rubs may be the evening before; what is done at the pit is not.
_PREPARED, _AT_PIT = 20 * _HOUR, 8 * _HOUR
#: A fire burns at most so long before the first piece goes on.
_FIRE = 6 * _HOUR
#: After the last serving time a cook writes for so long; a clear 24-hour time may be later.
AFTER, LATE = 4 * _HOUR, 10 * _HOUR
BEFORE_MEAT = frozenset({"before", "fire", "start"})
#: Meat goes on within so much of its plan.
_OFF_PLAN = 6 * _HOUR


def _fire_lit(context: PaperContext) -> dt.datetime | None:
    """When the one pit was lit, as logged, with some room: nothing is read on a cold pit."""
    lit = [line.at for line in context.logged if line.what == "fire_lit"]
    return min(lit) - _HOUR / 2 if lit and len(context.pits) == 1 else None


def cook_hours(
    what: str, pieces: Sequence[str], context: PaperContext
) -> tuple[dt.datetime, dt.datetime]:
    """Earliest and latest that something of this kind can be.

    Parameters
    ----------
    what : str
        Key of the log word.
    pieces : sequence of str
        Letters, empty for all.
    context : PaperContext
        What is known of the cook.

    Returns
    -------
    tuple of datetime
        In UTC.
    """
    zero = context.hour_zero
    ons = [context.on[p] for p in pieces or context.pieces if p in context.on]
    planned = [context.planned_on[p] for p in pieces or context.pieces if p in context.planned_on]
    midnight = dt.datetime.combine(context.date, dt.time(), context.zone).astimezone(dt.UTC)
    start = min(ons or planned or ([zero] if zero else []), default=None)
    end = context.served
    if end is None:
        end = midnight + 36 * _HOUR
        if start:  # it is eaten on the cook's date, or else half a day after it went on
            longest = context.longest(pieces)
            day_over = midnight + 2 * _HALF_DAY
            end = max(min(start + longest, day_over), start + longest / 2)
    if start and not ons:
        start -= _OFF_PLAN
    if start is None:
        start = end - context.longest(pieces) if context.served else midnight
    late = end + AFTER
    soon = min(ons) + _HOUR if ons else end
    if planned:
        start_span = min(planned) - _OFF_PLAN, max(planned) + _OFF_PLAN
    elif context.served is None and zero is None:
        # The date is the day of eating; what takes a night may go on the evening before.
        start_span = midnight - context.longest(pieces) + _HALF_DAY, midnight + 2 * _HALF_DAY
    else:
        start_span = max(end - context.longest(pieces), zero - 12 * _HOUR if zero else start), end
    # What is chilled and reheated goes into the cold long before it is served.
    ahead = context.served is None or bool(context.reheated & set(pieces or context.pieces))
    return {
        "start": start_span,
        "on": (start - 5 * _MINUTE, late),
        "after": (start if ahead else max(start, end - 8 * _HOUR), late),
        # A second pit may be lit at any hour.
        "fire": (start - _FIRE, soon if len(context.pits) == 1 else late),
        "before": (start - _PREPARED, soon),
        "pit": (max(start - _AT_PIT, _fire_lit(context) or start - _AT_PIT), late),
        "any": (start - _PREPARED, late),
    }[words()[what].when]
