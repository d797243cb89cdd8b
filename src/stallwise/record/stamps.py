"""Times in a file of readings: dates, clocks or elapsed time, to instants.

One form is chosen for a whole column, never row by row.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stallwise.ground.errors import InputError
from stallwise.record import clockrows, wallclock
from stallwise.record.clocks import zone as zone_of
from stallwise.record.frame import Answers, Frame

__all__ = ["UNSET", "Stamps", "elapsed_unit", "is_absolute", "is_day", "is_time", "read_stamps"]

_ISO = re.compile(
    r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})[ T]+(\d{1,2}:\d{1,2}(?::\d{1,2}(?:[.,]\d+)?)?)"
    r"\s*(Z|z|UTC|[+-]\d{2}:?\d{2})?$"
)
_SLASHED = re.compile(
    r"(\d{1,2})([/.-])(\d{1,2})\2(\d{4}|\d{2}),?[ T]+(\d{1,2}:\d{2}(?::\d{2})?)(?:\.\d+)?"
    r"\s*([AaPp]\.?[Mm]\.?)?$"
)
_NAMED = re.compile(
    r"(?:(?P<d1>\d{1,2})[ .-]+(?P<m1>[A-Za-z]{3,9})|(?P<m2>[A-Za-z]{3,9})\.?[ .-]+(?P<d2>\d{1,2}))"
    r"[ .,-]+(?P<year>\d{4}|\d{2}),?[ T]+(?P<clock>\d{1,2}:\d{2}(?::\d{2})?)"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?$"
)
_DAY = re.compile(
    r"\d{4}([-/.])\d{1,2}\1\d{1,2}$|\d{1,2}([-/.])\d{1,2}\2(?:\d{4}|\d{2})$"
    r"|(?:\d{1,2}[ .-]+[A-Za-z]{3,9}|[A-Za-z]{3,9}[ .-]+\d{1,2})[ .,-]+(?:\d{4}|\d{2})$"
)
_EPOCH = re.compile(r"[12]\d{9}(?:\d{3}|\.\d+)?$")
_LENGTH = re.compile(r"\+?(\d{1,4}):([0-5]\d)(?::([0-5]\d))?$")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?$")
_MONTHS = {
    name: number
    for number, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
    )
}

_ELAPSED = re.compile(
    r"(?:(?:elapsed|time|t|since[ _].*?)[ _]*[(\[]?)?"
    r"(?P<unit>h|hrs?|hours?|m|mins?|minutes?|s|secs?|seconds?)[)\]]?(?:[ _]elapsed)?$|elapsed(?:[ _]time)?$",
    re.IGNORECASE,
)
_SECONDS = {"h": 3600.0, "m": 60.0, "s": 1.0}
#: No cook is older, none will last longer [s].
_YEARS = range(1950, 2200)
_LONGEST_S = 1000 * 3600.0
#: A file's dates belong to a cook when they lie this near to its date.
_NEAR_DAYS = 3
#: Dates that lie further from the others than this were written before the clock was set.
UNSET = dt.timedelta(days=30)
#: How many rows tell the form of a column.
_SAMPLE = 400
#: A probe's clock that was set right or wrong by more than this [s] is worth a word.
_SHIFT_S = 30.0


@dataclass(frozen=True)
class Stamps:
    """Instants (UTC) of the rows, None where the time cannot be read."""

    at: tuple[dt.datetime | None, ...]
    form: str
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def elapsed_unit(header: str) -> str | None:
    """Tell the unit of a column of elapsed time: ``h``, ``m``, ``s``, or empty when it has none."""
    match = _ELAPSED.match(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", header.strip()))
    if not match:
        return None
    return (match["unit"] or "")[:1].casefold()


def _said(header: str) -> str:
    return " and ".join(map(repr, header.split("\t")))


def is_absolute(cells: Iterable[str]) -> bool:
    """Whether the first filled cell names a date."""
    first = next((cell for cell in cells if cell), "")
    return any(form.match(first) for form in (_ISO, _SLASHED, _NAMED, _EPOCH))


def is_time(cells: Sequence[str]) -> bool:
    """Whether a column holds dates or clock times, told by a sample of its filled cells."""
    # Four bare digits are a year or a number as well.
    filled = [cell for cell in _sample(cells) if cell]
    forms = () if all(map(str.isdigit, filled)) else (_ISO, _SLASHED, _NAMED, clockrows.CLOCK)
    return bool(filled) and any(
        sum(1 for cell in filled if form.match(cell)) * 5 >= len(filled) * 4 for form in forms
    )


def is_day(cells: Sequence[str]) -> bool:
    """Whether a column holds dates without a time of day."""
    filled = [cell for cell in _sample(cells) if cell]
    return bool(filled) and all(map(_DAY.match, filled))


def _sample(cells: Sequence[str]) -> Sequence[str]:
    return cells if len(cells) <= _SAMPLE else cells[:: len(cells) // _SAMPLE]


def read_stamps(
    header: str,
    cells: Sequence[str],
    frame: Frame,
    answers: Answers | None = None,
    *,
    unit: str | None = None,
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
    answers : Answers, optional
        What the cook said of the file.
    unit : {"h", "m", "s", ""}, optional
        The column holds elapsed time in this; empty where that is not known. By default the
        header tells.

    Raises
    ------
    InputError
        No form fits half of the cells, or the dates contradict what was said.
    """
    answers = answers or Answers()
    counted = elapsed_unit(header) if unit is None else unit
    column = _Column(header, cells, frame, answers, counted)
    sample = [cell for cell in _sample(cells) if cell]
    best, matches = "", 0
    for name, (fits, _) in _FORMS.items():
        count = sum(1 for cell in sample if fits(column, cell))
        if count > matches:
            best, matches = name, count
    if not sample or matches * 2 < len(sample):
        shown = ", ".join(repr(cell) for cell in sample[:3]) or "nothing"
        raise InputError(
            f"the times in column {_said(header)} cannot be read: {shown}",
            "'2026-09-26 21:30', '2026-09-26T21:30:00+00:00', '21:30', '9:30 PM', "
            "or elapsed time in a column named minutes, hours or elapsed_min",
            "Or say what it is: --column 'NAME=minutes'",
        )
    stamps = _started(_FORMS[best][1](column), answers)
    bad = [cell for cell, at in zip(cells, stamps.at, strict=True) if at is None]
    if bad and not stamps.questions:
        shown = ", ".join(map(repr, bad[:3])) + (" …" if len(bad) > 3 else "")
        rows = "1 row was" if len(bad) == 1 else f"{len(bad)} rows were"
        note = f"{rows} left out, the time cannot be read: {shown}"
        return replace(stamps, notes=(*stamps.notes, note))
    return stamps


@dataclass(frozen=True)
class _Column:
    header: str
    cells: Sequence[str]
    frame: Frame
    answers: Answers
    unit: str | None

    @property
    def nothing(self) -> tuple[None, ...]:
        return (None,) * len(self.cells)


def _started(stamps: Stamps, answers: Answers) -> Stamps:
    """Move all times so that the first reading was when the cook says."""
    known = sorted(at for at in stamps.at if at is not None) if answers.start else []
    if answers.start is None or not known:
        return stamps
    middle = known[len(known) // 2]
    shift = answers.start - next(at for at in known if middle - at <= UNSET)
    if not shift:
        return stamps
    notes = stamps.notes
    if abs(shift.total_seconds()) > _SHIFT_S and stamps.form != "elapsed":
        way = "later" if shift > dt.timedelta(0) else "earlier"
        notes = (*notes, f"All times are moved {_span(shift)} {way}, as was said of the first one")
    moved = tuple(None if at is None else at + shift for at in stamps.at)
    return replace(stamps, at=moved, notes=notes)


def _span(shift: dt.timedelta) -> str:
    minutes = round(abs(shift.total_seconds()) / 60)
    days, rest = divmod(minutes, 24 * 60)
    parts = [(days, "d"), (rest // 60, "h"), (rest % 60, "min")]
    return " ".join(f"{count} {name}" for count, name in parts if count) or "less than a minute"


# --- dates ----------------------------------------------------------------------------


def _iso(column: _Column) -> Stamps:
    cells = column.cells
    # The usual case whole and fast; a cell of only a date is none of ours.
    if all(map((16).__le__, map(len, cells))):
        try:
            return _placed(column, list(map(dt.datetime.fromisoformat, cells)))
        except ValueError:
            pass
    return _placed(column, [_iso_moment(_ISO.match(cell)) for cell in cells])


def _iso_moment(match: re.Match[str] | None) -> dt.datetime | None:
    if not match:
        return None
    clock = ":".join(part.rjust(2, "0") for part in match[5].replace(",", ".").split(":"))
    offset = (match[6] or "").upper().replace("UTC", "Z")
    text = f"{match[1]}-{int(match[3]):02d}-{int(match[4]):02d}T{clock}{offset}"
    try:
        return dt.datetime.fromisoformat(text)
    except ValueError:
        return None


def _named(column: _Column) -> Stamps:
    return _placed(column, [_named_moment(_NAMED.match(cell)) for cell in column.cells])


def _named_moment(match: re.Match[str] | None) -> dt.datetime | None:
    month = _MONTHS.get((match["m1"] or match["m2"])[:3].casefold()) if match else None
    if not match or not month:
        return None
    day = _date(match["year"], month, int(match["d1"] or match["d2"]))
    time = clockrows.time_of_day(match["clock"], match["half"])
    return dt.datetime.combine(day, time) if day and time else None


def _epoch(column: _Column) -> Stamps:
    at = [_epoch_moment(cell) if _EPOCH.match(cell) else None for cell in column.cells]
    stamps = _placed(column, at)
    note = "Times are seconds since 1970 (UTC)"
    return replace(stamps, notes=(note, *stamps.notes))


def _epoch_moment(cell: str) -> dt.datetime:
    seconds = float(cell)
    return dt.datetime.fromtimestamp(seconds / 1000 if seconds > 1e11 else seconds, dt.UTC)


def _slashed(column: _Column) -> Stamps:
    parts = [_SLASHED.match(cell) for cell in column.cells]
    known = {(match[1], match[3], match[4]): match for match in parts if match}
    valid = [way for way in (True, False) if all(_slashed_date(m, way) for m in known.values())]
    said = column.answers.day_first
    ways = valid
    if said is not None:
        if said not in valid and valid:
            wrong = next(m for m in known.values() if not _slashed_date(m, said))
            raise InputError(
                f"{wrong[0]!r} cannot be read {_way(day_first=said)}",
                f"dates that are all {_way(day_first=said)}",
                f"This file is {_way(day_first=not said)}: leave the option out",
            )
        ways = [said]
    elif len(valid) == 2:
        first = next(iter(known.values()))
        near = [way for way in valid if _is_near(_slashed_date(first, way), column.frame.day)]
        ways = near or valid
    same = len(ways) == 2 and all(
        len({_slashed_date(m, way) for way in ways}) == 1 for m in known.values()
    )
    if len(ways) != 1 and not same:
        first = next(iter(known.values()))
        shown = f"{first[1]}{first[2]}{first[3]}{first[2]}{first[4]}"
        ask = (
            f"Is {shown} {_way(day_first=True)} or {_way(day_first=False)}? Say --day-first or --month-first"
            if valid
            else f"Dates such as {shown} are neither all {_way(day_first=True)} nor all {_way(day_first=False)}: "
            "are these two logs in one file? Import them one by one"
        )
        return Stamps(column.nothing, "date and time", (ask,))
    way = ways[0]
    stamps = _placed(column, [_slashed_moment(match, way) for match in parts])
    return replace(stamps, notes=(f"Dates are read as {_way(day_first=way)}", *stamps.notes))


def _way(*, day_first: bool) -> str:
    return "day/month/year" if day_first else "month/day/year"


def _slashed_date(match: re.Match[str], day_first: bool) -> dt.date | None:  # noqa: FBT001 - as above
    day, month = (match[1], match[3]) if day_first else (match[3], match[1])
    return _date(match[4], int(month), int(day))


def _date(year: str, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(int(year) + (2000 if len(year) == 2 else 0), month, day)
    except ValueError:
        return None


def _is_near(day: dt.date | None, other: dt.date) -> bool:
    return day is not None and abs((day - other).days) <= _NEAR_DAYS


def _slashed_moment(match: re.Match[str] | None, day_first: bool) -> dt.datetime | None:  # noqa: FBT001
    day = _slashed_date(match, day_first) if match else None
    time = clockrows.time_of_day(match[5], match[6]) if match else None
    return dt.datetime.combine(day, time) if day and time else None


def _placed(column: _Column, told: Sequence[dt.datetime | None]) -> Stamps:
    whole = [when if when and when.year in _YEARS else None for when in told]
    placed = wallclock.place(whole, zone_of(column.frame.zone))
    return Stamps(placed.at, "date and time", placed.questions, placed.notes)


# --- clocks and elapsed time ----------------------------------------------------------


def _clocks(column: _Column) -> Stamps:
    rows = clockrows.read(_said(column.header), column.cells, column.frame, column.answers)
    if rows.questions:
        return Stamps(column.nothing, "clock", rows.questions)
    placed = wallclock.place(rows.told, zone_of(column.frame.zone))
    return Stamps(placed.at, "clock", placed.questions, (*rows.notes, *placed.notes))


def _elapsed(column: _Column) -> Stamps:
    header, cells, start = column.header, column.cells, column.answers.start
    zero, unit = column.frame.zero or start, column.unit or ""
    if not unit and any(_NUMBER.match(cell) for cell in cells):
        ask = f"Is {header!r} in minutes or hours (or seconds)? Say --column '{header}=minutes'"
        return Stamps(column.nothing, "elapsed", (ask,))
    if zero is None:
        ask = (
            f"When was {header} 0? Say --start TIME, log the first piece on, "
            "or give it an hour in cook.toml (on = …)"
        )
        return Stamps(column.nothing, "elapsed", (ask,))
    seconds = [_seconds(cell, _SECONDS.get(unit, 60.0)) for cell in cells]
    known = [second for second in seconds if second is not None]
    again = next((row for row, (a, b) in enumerate(pairwise(known), 2) if b * 2 < a - 300), None)
    if again is not None and not all(a >= b for a, b in pairwise(known)):
        ask = (
            f"{header!r} starts again in row {again} of the readings: are these two cooks in one file? "
            "Say which rows: --rows 'COLUMN=VALUE', or import them as two files"
        )
        return Stamps(column.nothing, "elapsed", (ask,))
    at = tuple(None if s is None else zero + dt.timedelta(seconds=s) for s in seconds)
    where = zone_of(column.frame.home or column.frame.zone)
    note = (
        "Elapsed time is counted from the first reading, as was said"
        if start
        else "Elapsed time is counted from the first piece on, "
        f"{zero.astimezone(where):%Y-%m-%d %H:%M}. If the probe was started at another time, "
        "say --start TIME"
    )
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


#: Forms of a time: whether a cell of a column fits, and how the column is read. The first of
#: those that fit most cells is taken.
_FORMS: Mapping[str, tuple[Callable[[_Column, str], bool], Callable[[_Column], Stamps]]] = {
    "elapsed": (
        lambda column, cell: (
            column.unit is not None and bool(_NUMBER.match(cell) or _LENGTH.match(cell))
        ),
        _elapsed,
    ),
    "iso": (lambda _, cell: bool(_ISO.match(cell)), _iso),
    "slashed": (lambda _, cell: bool(_SLASHED.match(cell)), _slashed),
    "named": (lambda _, cell: bool(_NAMED.match(cell)), _named),
    "epoch": (lambda _, cell: bool(_EPOCH.match(cell)), _epoch),
    "clock": (lambda _, cell: bool(clockrows.CLOCK.match(cell)), _clocks),
    "number": (lambda _, cell: bool(_NUMBER.match(cell)), _elapsed),
}
