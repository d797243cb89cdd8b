"""Wall-clock times of a log to instants, through the nights on which the clock is changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from zoneinfo import ZoneInfo

__all__ = ["Placed", "falls", "is_twice", "place"]

_HALF_DAY = dt.timedelta(hours=12)
_NO_TIME = dt.timedelta(0)


@dataclass(frozen=True)
class Placed:
    """Instants (UTC) of the rows, what was taken for granted and what has to be asked."""

    at: tuple[dt.datetime | None, ...]
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def falls(times: Sequence[dt.datetime]) -> bool:
    """Whether the newest row stands first."""
    steps = [after - before for before, after in pairwise(times)]
    down = sum(1 for step in steps if -_HALF_DAY < step < _NO_TIME)
    up = sum(1 for step in steps if _NO_TIME < step < _HALF_DAY)
    return down > up


def is_twice(when: dt.datetime, where: ZoneInfo) -> bool:
    """Whether a wall-clock time comes twice that night."""
    return _offset(when, where, 0) > _offset(when, where, 1)


def place(told: Sequence[dt.datetime | None], where: ZoneInfo) -> Placed:
    """Take wall-clock times, or times with their offset, to instants.

    Parameters
    ----------
    told : sequence of datetime or None
        In the order of the file; without an offset they are `where`'s wall clock.
    where : ZoneInfo

    Returns
    -------
    Placed
        The hour that comes twice is told apart by order; times in an hour that is skipped
        are asked about, for then the probe's clock was not put forward.
    """
    rows = [row for row, when in enumerate(told) if when is not None]
    if falls([when.replace(tzinfo=None) if when.tzinfo else when for when in told if when]):
        rows.reverse()
    at: list[dt.datetime | None] = [None] * len(told)
    twice: list[dt.datetime] = []
    skipped: list[dt.datetime] = []
    steady: dict[tuple[int, int, int, int], dt.timedelta | None] = {}
    later = False
    previous: dt.datetime | None = None
    for row in rows:
        when = told[row]
        if when is None:
            continue
        if when.tzinfo is not None:
            at[row] = previous = when.astimezone(dt.UTC)
            continue
        hour = (when.year, when.month, when.day, when.hour)
        if hour not in steady:
            steady[hour] = _steady(when, where)
        offset = steady[hour]
        if offset is None:
            first, second = (_offset(when, where, fold) for fold in (0, 1))
            skipped += [when] if first < second else []
            twice += [when] if first > second else []
            offset = first
            if (
                first > second
                and previous is not None
                and _utc(when, first) < previous <= _utc(when, second)
            ):
                offset, later = second, True
        at[row] = previous = _utc(when, offset)
    return Placed(tuple(at), _skip_questions(skipped, where), _twice_notes(twice, later=later))


def _utc(when: dt.datetime, offset: dt.timedelta) -> dt.datetime:
    try:
        return when.replace(tzinfo=dt.UTC) - offset
    except OverflowError:
        return when.replace(tzinfo=dt.UTC)


def _offset(when: dt.datetime, where: ZoneInfo, fold: int) -> dt.timedelta:
    return where.utcoffset(when.replace(fold=fold, tzinfo=where)) or _NO_TIME


def _steady(when: dt.datetime, where: ZoneInfo) -> dt.timedelta | None:
    """Offset of a whole wall-clock hour, or None when the clock is changed within it."""
    ends = (when.replace(minute=0, second=0, microsecond=0), when.replace(minute=59, second=59))
    offsets = {_offset(end, where, fold) for end in ends for fold in (0, 1)}
    return offsets.pop() if len(offsets) == 1 else None


def _skip_questions(skipped: Sequence[dt.datetime], where: ZoneInfo) -> tuple[str, ...]:
    if not skipped:
        return ()
    offset = _offset(skipped[0], where, 0)
    hours = offset.total_seconds() / 3600
    fixed = f"Etc/GMT{-hours:+.0f}" if hours == int(hours) else "the zone its clock kept"
    ask = (
        f"{skipped[0]:%Y-%m-%d %H:%M} does not exist in {where.key}: the clock went forward over it. "
        f"If the probe's clock was not put forward, say --zone {fixed}"
    )
    return (ask,)


def _twice_notes(twice: Sequence[dt.datetime], *, later: bool) -> tuple[str, ...]:
    if not twice:
        return ()
    hour = f"{min(twice):%Y-%m-%d %H:%M} to {max(twice):%H:%M}"
    if later:
        return (
            f"The clock went back that night; the hour that came twice ({hour}) is told apart by order",
        )
    note = (
        f"The clock went back that night and {hour} came twice; the rows are taken as the first time, "
        "before the clock was changed. If they are from after it, add an offset to the times"
    )
    return (note,)
