"""Bare clock times, row after row, to wall-clock days: midnight, and am or pm left out."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.record import wallclock
from stallwise.record.clocks import zone as zone_of
from stallwise.record.frame import Answers, Frame

__all__ = ["CLOCK", "ClockRows", "read", "time_of_day"]

CLOCK = re.compile(
    r"(\d{1,2}:\d{2}(?::\d{2})?|[0-2]\d[0-5]\d$|\d{1,2}(?=\s*[AaPp]))(?:\.\d+)?\s*([AaPp]\.?[Mm]\.?)?$"
)
_HALF_DAY = dt.timedelta(hours=12)
_DAY = dt.timedelta(days=1)
#: Rows of one minute may come in any order.
_JITTER = dt.timedelta(minutes=1)


@dataclass(frozen=True)
class ClockRows:
    """Wall-clock times of the rows, in the order of the file."""

    told: tuple[dt.datetime | None, ...]
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Time:
    """Times of day that a cell may mean: one, or two where am or pm is left out."""

    cell: str
    may_be: tuple[dt.time, ...]
    marked: bool


def time_of_day(text: str, half: str | None) -> dt.time | None:
    """Time of day of ``9:45`` and ``PM``; None when there is no such time."""
    if len(text) == 4 and text.isdigit():
        text = f"{text[:2]}:{text[2:]}"
    hour, minute, second = (int(part) for part in f"{text}:0:0".split(":")[:3])
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    elif half:
        return None
    try:
        return dt.time(hour, minute, second)
    except ValueError:
        return None


def read(header: str, cells: Sequence[str], frame: Frame, answers: Answers) -> ClockRows:
    """Give clock times without a date their day, and those without am or pm their half of it.

    Parameters
    ----------
    header : str
        How messages call the column.
    cells : sequence of str
        Trimmed texts, in the order of the file, oldest or newest first.
    frame : Frame
        The first piece on tells the first day.
    answers : Answers
        `hours` and `start`.

    Returns
    -------
    ClockRows
        With a question, nothing is told: a file is read whole or not at all.
    """
    told = {cell: _told(cell) for cell in set(cells)}
    rows = [(row, each) for row, cell in enumerate(cells) if (each := told[cell]) is not None]
    on_day = [dt.datetime.combine(frame.day, time) for _, (_, time) in rows]
    # Two bare clock times that fall may as well be morning and afternoon: that is asked.
    if len(rows) > 2 and wallclock.falls(on_day):
        rows.reverse()
    hours, why = _hours([(cells[row], half) for row, (half, _) in rows], answers)
    times = [
        (row, _Time(cells[row], _may_be(time, hours, half=half), half))
        for row, (half, time) in rows
    ]
    anchor = _anchor(frame, answers)
    whole: list[dt.datetime | None] = [None] * len(cells)
    previous: dt.datetime | None = None
    where = zone_of(frame.zone)
    for row, time in times:
        if previous is None:
            ask = _ask_first(time, anchor, hours, frame)
            here = _first(time, anchor, frame)
        else:
            ask = ""
            found = _next(time, previous, lenient=answers.hours == 24)
            if found < previous - _JITTER and not wallclock.is_twice(found, where):
                ask = (
                    f"The clock in column {header} goes back from {previous:%H:%M} to {time.cell}: "
                    "is it morning or afternoon? Say --clock 12 if am and pm were left out, --clock 24 "
                    "if it is the next day"
                )
            here = found
        if ask:
            return ClockRows((None,) * len(cells), (ask,))
        whole[row] = previous = here
    first = whole[times[0][0]] if times else None
    notes = (
        f"Clock times without a date: the first one is taken as {first:%Y-%m-%d %H:%M}"
        if first
        else "",
        *([why] if why else []),
    )
    return ClockRows(tuple(whole), (), notes)


def _told(cell: str) -> tuple[bool, dt.time] | None:
    """Whether am or pm is named, and the time of day as written."""
    match = CLOCK.match(cell)
    time = time_of_day(match[1], match[2]) if match else None
    return None if match is None or time is None else (bool(match[2]), time)


def _hours(cells: Sequence[tuple[str, bool]], answers: Answers) -> tuple[int, str]:
    """Hours of the clock of a whole file, and what was taken for granted."""
    if answers.hours:
        return answers.hours, ""
    marked = sum(1 for _, half in cells if half)
    bare = [cell for cell, half in cells if not half]
    # A leading zero, a zero hour or one past twelve is a clock of 24 hours.
    day_long = any(not 1 <= int(cell[:2].rstrip(":")) <= 12 or cell[0] == "0" for cell in bare)
    if marked and bare and not day_long:
        return 12, "Times without am or pm are read as the next such time after the row before"
    return 24, ""


def _may_be(time: dt.time, hours: int, *, half: bool) -> tuple[dt.time, ...]:
    if hours == 24 or half or time.hour > 12 or time.hour == 0:
        return (time,)
    morning = time.replace(hour=time.hour % 12)
    return morning, morning.replace(hour=morning.hour + 12)


def _anchor(frame: Frame, answers: Answers) -> dt.datetime | None:
    known = answers.start or frame.zero
    return known and known.astimezone(zone_of(frame.zone)).replace(tzinfo=None)


def _first(time: _Time, anchor: dt.datetime | None, frame: Frame) -> dt.datetime:
    """Day of the first clock time: the one nearest to the first piece on, if that is known."""
    if anchor is None:
        return dt.datetime.combine(frame.day, time.may_be[0])
    days = [
        dt.datetime.combine(anchor.date() + step * _DAY, each)
        for step in (-1, 0, 1)
        for each in time.may_be
    ]
    return min(days, key=lambda day: abs(day - anchor))


def _ask_first(time: _Time, anchor: dt.datetime | None, hours: int, frame: Frame) -> str:
    """Ask what half of the day a file starts in, where nothing tells."""
    if len(time.may_be) == 2 and anchor is None:
        return f"Is the first time, {time.cell}, morning or evening? Say --start '{time.cell} pm'"
    if hours == 12 or time.marked or anchor is None or not 1 <= time.may_be[0].hour <= 12:
        return ""
    here = _first(time, anchor, frame)
    other = _first(
        _Time(time.cell, _may_be(time.may_be[0], 12, half=False), marked=False), anchor, frame
    )
    if time.cell[0] != "0" and abs(here - anchor) > dt.timedelta(hours=6) > abs(other - anchor):
        return (
            f"Is the first time, {time.cell}, {here:%H:%M} or {other:%H:%M}? The first piece went on "
            f"at {anchor:%H:%M}. Say --clock 24 or --clock 12"
        )
    return ""


def _next(time: _Time, previous: dt.datetime, *, lenient: bool) -> dt.datetime:
    """Time of the next row: the day is the one before's, or the next one after midnight."""
    if len(time.may_be) == 2:
        days = [
            dt.datetime.combine(previous.date() + step * _DAY, each)
            for step in (0, 1)
            for each in time.may_be
        ]
        return min(day for day in days if day >= previous - _JITTER)
    here = dt.datetime.combine(previous.date(), time.may_be[0])
    if here > previous + _HALF_DAY and here - _DAY >= previous - _JITTER:
        return here - _DAY
    if here < previous - (_JITTER if lenient else _HALF_DAY):
        return here + _DAY
    return here
