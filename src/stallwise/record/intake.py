"""Taking in a file of readings: columns, units and places told from the header, or asked.

Nothing is guessed that would change a number: a column whose unit or piece is not clear
is a question, and a value that cannot be is left out with its reason.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from operator import itemgetter
from statistics import median

from stallwise.ground.errors import InputError
from stallwise.ground.formats import format_duration
from stallwise.record import doubts
from stallwise.record.channels import TIMES, Place, is_other, is_setting, said_of, suggested
from stallwise.record.column import Column, fill, guessed, read_column, twins
from stallwise.record.frame import Answers, Frame
from stallwise.record.readingsreport import ReadingsReport
from stallwise.record.sheet import Sheet, read_sheet
from stallwise.record.split import of_moves, split
from stallwise.record.stamps import (
    UNSET,
    Stamps,
    elapsed_unit,
    is_absolute,
    is_day,
    is_time,
    read_stamps,
)

__all__ = ["understand"]

_TIME_NAMES = frozenset(
    {"time", "date", "datetime", "date time", "timestamp", "time stamp", "clock", "when", "utc"}
)


def understand(
    text: str, frame: Frame, answers: Answers | None = None, *, file: str
) -> ReadingsReport:
    """Read a file of readings; nothing is written.

    Parameters
    ----------
    text : str
        A table with or without a header (comma, semicolon, tab, bar or blanks between the
        columns), rows of one reading each, or short lines ``13:05 pit 250 meat 145``.
    frame : Frame
        Zone, date, first piece on, letters and settings of the cook.
    answers : Answers, optional
        What the cook said of the file.
    file : str
        Name for messages.

    Returns
    -------
    ReadingsReport
        Channels in °C, questions and notes.

    Raises
    ------
    InputError
        No rows, no times, no temperatures, or rows that do not fit under the header.
    NotFoundError
        The answers name a column, letter or value that is not there.
    """
    answers = answers or Answers()
    sheet = read_sheet(text, file).where(answers.rows)
    said = said_of(sheet.names, answers.columns, frame)
    names, stamps, zone = _times(sheet, said, file, frame, answers)
    frame = replace(frame, zone=zone, home=frame.home or frame.zone)
    passed = [*names, *(name for name in sheet.names if name.casefold() in _folded(answers.rows))]
    stamps = _shifted(stamps, answers.shift_s)
    columns, notes = _columns(sheet, passed, said, frame, answers)
    if not columns:
        there = ", ".join(map(repr, sheet.names))
        raise InputError(
            f"no column of temperatures among {there}",
            "a column of numbers with its unit, as in 'pit (F)' or 'core_C'",
            "Or say what a column is: --column 'NAME=pit F'",
            where=file,
        )
    columns, same = twins(columns)
    columns = split(guessed(columns, frame), stamps.at, frame)
    order, unset = _order(stamps.at)
    at = [when for row in order if (when := stamps.at[row]) is not None]
    channels, leaps = fill(columns, at, order, unset)
    moves, moved = of_moves(columns, channels, leaps, frame)
    questions = [
        *stamps.questions,
        *_clock_questions(sheet, names, passed, stamps, frame, said),
        *doubts.of_dates(
            [w for w, row in zip(at, order, strict=True) if row not in unset], frame, answers
        ),
        *doubts.of_units(columns, answers),
        *(ask for column in columns for ask in column.questions),
        *doubts.of_places(columns, channels, frame),
        *moves,
    ]
    notes = [*sheet.notes, *stamps.notes, *notes, *same, *_order_notes(order, stamps.at), *moved]
    return ReadingsReport(
        file, zone, tuple(channels), tuple(questions), tuple(notes), home=frame.home
    )


# --- times ----------------------------------------------------------------------------


def _times(
    sheet: Sheet, said: Mapping[str, Place], file: str, frame: Frame, answers: Answers
) -> tuple[tuple[str, ...], Stamps, str]:
    """Columns of the times, the instants of the rows and the zone they were read in."""
    if answers.every_s:
        return (), _evenly(len(sheet.columns[sheet.names[0]]), frame, answers), frame.zone
    names, unit = _time_names(sheet, said, file)
    zone = frame.zone
    if any(re.search(r"\b(utc|gmt|zulu)\b", name, re.IGNORECASE) for name in names):
        zone = "Etc/UTC"
    cells: Sequence[str] = sheet.columns[names[0]]
    if len(names) == 2:
        both = zip(cells, sheet.columns[names[1]], strict=True)
        cells = [f"{day} {time}".strip() for day, time in both]
    stamps = read_stamps("\t".join(names), cells, replace(frame, zone=zone), answers, unit=unit)
    return names, stamps, zone


def _shifted(stamps: Stamps, shift_s: float | None) -> Stamps:
    """Move all times as the cook said."""
    if not shift_s:
        return stamps
    by = dt.timedelta(seconds=shift_s)
    way = "later" if shift_s > 0 else "earlier"
    note = f"All times were moved {format_duration(abs(shift_s))} {way}, as was said"
    at = tuple(None if when is None else when + by for when in stamps.at)
    return replace(stamps, at=at, notes=(*stamps.notes, note))


def _evenly(count: int, frame: Frame, answers: Answers) -> Stamps:
    start = answers.start or frame.zero
    if start is None:
        ask = "When was the first reading? Say --start TIME"
        return Stamps((None,) * count, "even", (ask,))
    step = dt.timedelta(seconds=answers.every_s or 0.0)
    note = f"The file has no times; rows are taken {answers.every_s:g} s apart, as was said"
    return Stamps(tuple(start + row * step for row in range(count)), "even", (), (note,))


def _time_names(
    sheet: Sheet, said: Mapping[str, Place], file: str
) -> tuple[tuple[str, ...], str | None]:
    """Column of the times (or a date and a time), and the unit said of it."""
    named = [name for name in sheet.names if name in said and said[name].time]
    if named:
        return (named[0],), TIMES[said[named[0]].time]
    plain = {
        name: re.sub(r"[\s_]+", " ", re.sub(r"[(\[].*", "", name)).strip().casefold()
        for name in sheet.names
    }
    free = [name for name in sheet.names if name not in said]
    called = [name for name in free if plain[name] in _TIME_NAMES and elapsed_unit(name) is None]
    by_kind = {plain[name]: name for name in called}
    day, time = by_kind.get("date"), by_kind.get("time") or by_kind.get("clock")
    if day and time and not is_absolute(sheet.columns[time]):
        return (day, time), None
    dated = [name for name in called if is_absolute(sheet.columns[name])]
    elapsed = [name for name in free if elapsed_unit(name) is not None]
    looking = [name for name in free if is_time(sheet.columns[name])]
    days = [name for name in free if is_day(sheet.columns[name])]
    # A date alone is no time; one beside a clock is its day.
    for name in (*dated, *called, *elapsed, *looking):
        if name not in days:
            clock = days and elapsed_unit(name) is None and not is_absolute(sheet.columns[name])
            return ((days[0], name) if clock else (name,)), None
    raise InputError(
        f"no column of times among {', '.join(map(repr, sheet.names))}",
        "a column named time, date, timestamp or clock, or elapsed_min, minutes or hours",
        "Or say which it is, --column 'NAME=time', or how far apart the rows are, --every '10 s'",
        where=file,
    )


def _order(at: Sequence[dt.datetime | None]) -> tuple[list[int], frozenset[int]]:
    """Rows by time, and among them those written before the probe's clock was set."""
    known = [(when, row) for row, when in enumerate(at) if when is not None]
    if not known:
        return [], frozenset()
    if any(after < before for (before, _), (after, _) in pairwise(known)):
        if all(before >= after for (before, _), (after, _) in pairwise(known)):
            # Newest first: readings of one minute are turned round with the rest.
            known.reverse()
        # Stable, so that two readings of one minute stay in the order of the file.
        known.sort(key=itemgetter(0))
    rows = [row for _, row in known]
    middle = known[len(known) // 2][0]
    if not any(abs(end[0] - middle) > UNSET for end in (known[0], known[-1])):
        return rows, frozenset()
    unset = frozenset(row for when, row in known if abs(when - middle) > UNSET)
    return rows, unset if len(unset) * 5 < len(rows) else frozenset()


def _order_notes(order: Sequence[int], at: Sequence[dt.datetime | None]) -> list[str]:
    rows = [row for row, when in enumerate(at) if when is not None]
    if order in (rows, rows[::-1]):
        return []
    times = [when for when in at if when is not None]
    back = sum(1 for before, after in pairwise(times) if after < before)
    count = min(back, len(times) - 1 - back)
    return [f"Times go back {count} times in the file; the rows were put in order"] if count else []


def _folded(names: Iterable[str]) -> set[str]:
    return {name.casefold() for name in names}


def _clock_questions(
    sheet: Sheet,
    names: Sequence[str],
    passed: Sequence[str],
    stamps: Stamps,
    frame: Frame,
    said: Mapping[str, Place],
) -> list[str]:
    """Ask when another column of times tells another story."""
    if not names or stamps.questions:
        return []
    found = []
    for name in sheet.names:
        cells, unit = sheet.columns[name], elapsed_unit(name)
        if name in passed or name in said or not (is_absolute(cells) or is_time(cells) or unit):
            continue
        try:
            other = read_stamps(name, cells, frame, Answers(start=None))
        except InputError:
            continue
        apart = None if other.questions else doubts.drift(stamps.at, other.at, coarse=unit == "h")
        if apart is not None:
            found.append(
                f"{' and '.join(map(repr, names))} and {name!r} drift apart by "
                f"{apart / 60:.0f} min: which clock is right? Say --column '{name}=time' or "
                f"--column '{name}=skip'"
            )
    return found


# --- temperatures ---------------------------------------------------------------------


def _columns(
    sheet: Sheet, times: Sequence[str], said: Mapping[str, Place], frame: Frame, answers: Answers
) -> tuple[list[Column], list[str]]:
    """Columns that hold temperatures, and why the others are not read."""
    columns, notes = [], []
    for name in sheet.names:
        place = said.get(name)
        if name in times or (place and (place.skip or place.time)):
            continue
        cells = sheet.columns[name]
        if place is None and (is_absolute(cells) or is_time(cells) or is_day(cells)):
            continue
        column = read_column(name, sheet, place or suggested(name, frame), answers)
        why = "" if column is None else _not_read(column, sure=place is not None)
        if column is None or why:
            if any(cells):
                notes.append(f"Column {name!r} is not read: {why or 'no temperatures'}")
            continue
        columns.append(column)
    return columns, notes


def _not_read(column: Column, *, sure: bool) -> str:
    if sure:
        return ""
    if is_setting(column.name):
        return "what was set, not what was measured"
    if is_other(column.name) and not column.own_unit:
        return "no temperatures"
    if column.counts_rows:
        return "it counts the rows"
    values = [value for value in column.values if value is not None]
    if column.own_unit == "" and values and median(values) > 1200.0:
        return "no temperatures"
    return ""
