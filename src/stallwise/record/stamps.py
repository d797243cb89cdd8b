"""Times in a file of readings: dates, clocks or elapsed time, to instants.

One form is chosen for a whole column, never row by row.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from zoneinfo import ZoneInfo

from stallwise.ground.errors import InputError
from stallwise.record.clocks import zone as zone_of

__all__ = ["Frame", "Stamps", "elapsed_unit", "is_absolute", "read_stamps"]

_ISO = re.compile(
    r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})[ T]+(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)"
    r"\s*(Z|z|UTC|[+-]\d{2}:?\d{2})?$"
)
_SLASHED = re.compile(
    r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})[ T]+(\d{1,2}:\d{2}(?::\d{2})?)\s*([AaPp]\.?[Mm]\.?)?$"
)
_CLOCK = re.compile(r"(\d{1,2}:\d{2}(?::\d{2})?)\s*([AaPp]\.?[Mm]\.?)?$")
_LENGTH = re.compile(r"(\d{1,4}):([0-5]\d)(?::([0-5]\d))?$")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?$")

_ELAPSED = re.compile(
    r"(?:(?:elapsed|time|t|since[ _].*?)[ _]*[(\[]?)?"
    r"(?P<unit>h|hrs?|hours?|m|mins?|minutes?|s|secs?|seconds?)[)\]]?(?:[ _]elapsed)?$|elapsed(?:[ _]time)?$",
    re.IGNORECASE,
)
_SECONDS = {"h": 3600.0, "m": 60.0, "s": 1.0}
#: No cook is older, none will last longer [s].
_YEARS = range(1950, 2200)
_LONGEST_S = 1000 * 3600.0
_HALF_DAY = dt.timedelta(hours=12)
_DAY = dt.timedelta(days=1)
#: A file's dates belong to a cook when they lie this near to its date.
_NEAR_DAYS = 3


#: Day first, month first, or told by the dates.
Way = bool | None


@dataclass(frozen=True)
class Frame:
    """What is known of a cook that helps to read its readings.

    Attributes
    ----------
    zone : str
        IANA zone of times without an offset.
    day : date
        Date of the cook.
    zero : datetime, optional
        First piece on, the zero of elapsed time.
    pieces, pits : tuple of str
        Letters.
    """

    zone: str
    day: dt.date
    zero: dt.datetime | None = None
    pieces: tuple[str, ...] = ()
    pits: tuple[str, ...] = ("P",)


@dataclass(frozen=True)
class Stamps:
    """Instants (UTC) of the rows, None where the time cannot be read."""

    at: tuple[dt.datetime | None, ...]
    form: str
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def elapsed_unit(header: str) -> str | None:
    """Tell the unit of a column of elapsed time: ``h``, ``m``, ``s``, or empty when it has none."""
    match = _ELAPSED.match(header.strip())
    if not match:
        return None
    return (match["unit"] or "")[:1].casefold()


def _said(header: str) -> str:
    return " and ".join(map(repr, header.split("\t")))


def is_absolute(cells: Iterable[str]) -> bool:
    """Whether the first filled cell names a date."""
    first = next((cell for cell in cells if cell), "")
    return bool(_ISO.match(first) or _SLASHED.match(first))


def read_stamps(
    header: str, cells: Sequence[str], frame: Frame, *, day_first: bool | None = None
) -> Stamps:
    """Instants of a column of times.

    Parameters
    ----------
    header : str
        Name of the column; says what elapsed time is counted in.
    cells : sequence of str
        Trimmed texts, in the order of the file.
    frame : Frame
        The cook's.
    day_first : bool, optional
        How dates with slashes are to be read; by default told by the dates themselves.

    Raises
    ------
    InputError
        No form fits half of the cells.
    """
    best, matches = "", 0
    for name, (fits, _) in _FORMS.items():
        count = sum(1 for cell in cells if cell and fits(header, cell))
        if count > matches:
            best, matches = name, count
    filled = [cell for cell in cells if cell]
    if matches * 2 < len(filled) or not filled:
        shown = ", ".join(repr(cell) for cell in filled[:3]) or "nothing"
        raise InputError(
            f"the times in column {_said(header)} cannot be read: {shown}",
            "'2026-09-26 21:30', '2026-09-26T21:30:00+00:00', '21:30', '9:30 PM', "
            "or elapsed time in a column named minutes, hours or elapsed_min",
        )
    stamps = _FORMS[best][1](header, cells, frame, day_first)
    bad = [cell for cell, at in zip(cells, stamps.at, strict=True) if at is None]
    if bad and not stamps.questions:
        shown = ", ".join(map(repr, bad[:3])) + (" …" if len(bad) > 3 else "")
        note = f"{len(bad)} rows were left out, their time cannot be read: {shown}"
        return Stamps(stamps.at, stamps.form, stamps.questions, (*stamps.notes, note))
    return stamps


def _iso(_: str, cells: Sequence[str], frame: Frame, __: Way) -> Stamps:
    whole: list[dt.datetime | None] = []
    for cell in cells:
        match = _ISO.match(cell)
        text = ""
        if match:
            clock = match[5].replace(",", ".")
            clock = f"0{clock}" if clock[1] == ":" else clock
            offset = (match[6] or "").upper().replace("UTC", "Z")
            text = f"{match[1]}-{int(match[3]):02d}-{int(match[4]):02d}T{clock}{offset}"
        whole.append(_or_none(dt.datetime.fromisoformat, text))
    return _placed(whole, frame, "date and time")


def _or_none(read: Callable[[str], dt.datetime], text: str) -> dt.datetime | None:
    try:
        return read(text)
    except ValueError:
        return None


def _slashed(header: str, cells: Sequence[str], frame: Frame, day_first: Way) -> Stamps:
    del header
    parts = [match for cell in cells if (match := _SLASHED.match(cell))]
    if day_first is None:
        ways = [
            way
            for way in (True, False)
            if all(_slashed_date(match, day_first=way) for match in parts)
        ]
        if len(ways) > 1:
            ways = [
                way for way in ways if _is_near(_slashed_date(parts[0], day_first=way), frame.day)
            ]
        if len(ways) != 1:
            said = f"{parts[0][1]}/{parts[0][2]}/{parts[0][3]}"
            ask = (
                f"Is {said} day/month/year? Then say --day-first. "
                "If not, write the dates as year-month-day"
            )
            return Stamps(tuple(None for _ in cells), "date and time", (ask,))
        day_first = ways[0]
    whole = [_slashed_moment(_SLASHED.match(cell), day_first=day_first) for cell in cells]
    said = "day/month/year" if day_first else "month/day/year"
    stamps = _placed(whole, frame, "date and time")
    return Stamps(stamps.at, stamps.form, (), (f"Dates are read as {said}", *stamps.notes))


def _slashed_date(match: re.Match[str], *, day_first: bool) -> dt.date | None:
    day, month = (match[1], match[2]) if day_first else (match[2], match[1])
    year = int(match[3]) + (2000 if len(match[3]) == 2 else 0)
    try:
        return dt.date(year, int(month), int(day))
    except ValueError:
        return None


def _is_near(day: dt.date | None, other: dt.date) -> bool:
    return day is not None and abs((day - other).days) <= _NEAR_DAYS


def _slashed_moment(match: re.Match[str] | None, *, day_first: bool) -> dt.datetime | None:
    day = _slashed_date(match, day_first=day_first) if match else None
    time = _time_of_day(match[4], match[5]) if match else None
    return dt.datetime.combine(day, time) if day and time else None


def _time_of_day(text: str, half: str | None) -> dt.time | None:
    hour, minute, second = (int(part) for part in f"{text}:0".split(":")[:3])
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    elif half:
        return None
    try:
        return dt.time(hour, minute, second)
    except ValueError:
        return None


def _clocks(header: str, cells: Sequence[str], frame: Frame, _: Way) -> Stamps:
    times = [_time_of_day(m[1], m[2]) if (m := _CLOCK.match(cell)) else None for cell in cells]
    rows = [(row, time) for row, time in enumerate(times) if time is not None]
    # Two bare clock times that fall may as well be morning and afternoon: that is asked.
    if len(rows) > 2 and _falls([_on(frame.day, time) for _, time in rows]):
        rows.reverse()
    whole: list[dt.datetime | None] = [None] * len(cells)
    questions: list[str] = []
    previous: dt.datetime | None = None
    for row, time in rows:
        if previous is None:
            here = _first_day(time, frame)
        else:
            here = _on(previous.date(), time)
            if here < previous - _HALF_DAY:
                here += _DAY
            elif here < previous - dt.timedelta(minutes=1):
                said = f"{previous:%H:%M} to {cells[row]}"
                questions.append(
                    f"The clock in column {_said(header)} goes back from {said}: "
                    "is it morning or afternoon? Write AM and PM, or the date"
                )
                break
        whole[row] = previous = here
    if questions:
        return Stamps(tuple(None for _ in cells), "clock", tuple(questions))
    stamps = _placed(whole, frame, "clock")
    began = next((moment for moment in (whole[row] for row, _ in rows) if moment), None)
    note = (
        f"Clock times without a date: the first one is taken as {began:%Y-%m-%d %H:%M}"
        if began
        else ""
    )
    return Stamps(stamps.at, stamps.form, (), (note, *stamps.notes))


def _on(day: dt.date, time: dt.time) -> dt.datetime:
    return dt.datetime.combine(day, time)


def _first_day(time: dt.time, frame: Frame) -> dt.datetime:
    """Day of the first clock time: the one nearest to the first piece on, if that is known."""
    here = _on(frame.day, time)
    if frame.zero is None:
        return here
    zero = frame.zero.astimezone(zone_of(frame.zone)).replace(tzinfo=None)
    days = [_on(zero.date() + step * _DAY, time) for step in (-1, 0, 1)]
    return min(days, key=lambda day: abs(day - zero))


def _elapsed(header: str, cells: Sequence[str], frame: Frame, _: Way) -> Stamps:
    unit = elapsed_unit(header) or ""
    if frame.zero is None:
        ask = (
            f"When was {header} 0? Log the first piece on, or give it an hour in cook.toml (on = …)"
        )
        return Stamps(tuple(None for _ in cells), "elapsed", (ask,))
    if not unit and any(_NUMBER.match(cell) for cell in cells):
        ask = f"Is {header!r} in minutes or hours? Name the column elapsed_min or elapsed_h"
        return Stamps(tuple(None for _ in cells), "elapsed", (ask,))
    seconds = [_seconds(cell, _SECONDS.get(unit, 60.0)) for cell in cells]
    at = tuple(None if s is None else frame.zero + dt.timedelta(seconds=s) for s in seconds)
    note = f"Elapsed time is counted from the first piece on, {frame.zero:%Y-%m-%d %H:%M} UTC"
    return Stamps(at, "elapsed", (), (note,))


def _seconds(cell: str, size: float) -> float | None:
    match = _LENGTH.match(cell)
    if match:
        seconds = int(match[1]) * 3600.0 + int(match[2]) * 60.0 + int(match[3] or 0)
    elif _NUMBER.match(cell):
        seconds = float(cell.replace(",", ".")) * size
    else:
        return None
    return seconds if seconds <= _LONGEST_S else None


_Reader = Callable[[str, Sequence[str], Frame, Way], Stamps]

#: Forms of a time: whether a cell of a column fits, and how the column is read. The first of
#: those that fit most cells is taken.
_FORMS: Mapping[str, tuple[Callable[[str, str], bool], _Reader]] = {
    "elapsed": (
        lambda header, cell: (
            elapsed_unit(header) is not None and bool(_NUMBER.match(cell) or _LENGTH.match(cell))
        ),
        _elapsed,
    ),
    "iso": (lambda _, cell: bool(_ISO.match(cell)), _iso),
    "slashed": (lambda _, cell: bool(_SLASHED.match(cell)), _slashed),
    "clock": (lambda _, cell: bool(_CLOCK.match(cell)), _clocks),
}


# --- wall clocks to instants ----------------------------------------------------------


def _falls(times: Sequence[dt.datetime]) -> bool:
    """Whether the newest row stands first."""
    steps = [after - before for before, after in pairwise(times)]
    down = sum(1 for step in steps if -_HALF_DAY < step < dt.timedelta(0))
    up = sum(1 for step in steps if dt.timedelta(0) < step < _HALF_DAY)
    return down > up


def _placed(told: Sequence[dt.datetime | None], frame: Frame, form: str) -> Stamps:
    where = zone_of(frame.zone)
    whole = [when if when and when.year in _YEARS else None for when in told]
    rows = [row for row, when in enumerate(whole) if when is not None]
    plain = [moment.replace(tzinfo=None) for moment in whole if moment is not None]
    if _falls(plain):
        rows.reverse()
    at: list[dt.datetime | None] = [None] * len(whole)
    doubtful: list[dt.datetime] = []
    told_apart = False
    previous: dt.datetime | None = None
    for row in rows:
        when = whole[row]
        if when is None:
            continue
        here, double = _instant(when, where, previous)
        if double:
            doubtful.append(when)
            told_apart = told_apart or here != when.replace(tzinfo=where).astimezone(dt.UTC)
        at[row] = previous = here
    return Stamps(tuple(at), form, (), tuple(_change_notes(doubtful, told_apart=told_apart)))


def _instant(
    when: dt.datetime, where: ZoneInfo, previous: dt.datetime | None
) -> tuple[dt.datetime, bool]:
    if when.tzinfo is not None:
        return when.astimezone(dt.UTC), False
    first, second = (when.replace(tzinfo=where, fold=fold).astimezone(dt.UTC) for fold in (0, 1))
    double = first < second
    if double and previous is not None and first < previous <= second:
        return second, True
    return first, double


def _change_notes(doubtful: Sequence[dt.datetime], *, told_apart: bool) -> list[str]:
    if not doubtful:
        return []
    hour = f"{doubtful[0]:%Y-%m-%d %H:%M} to {max(doubtful):%H:%M}"
    if told_apart:
        return [
            f"The clock went back that night; the hour that came twice ({hour}) is told apart by order"
        ]
    note = (
        f"The clock went back that night and {hour} came twice; the rows are taken as the first time, "
        "before the clock was changed. If they are from after it, add an offset to the times"
    )
    return [note]
