"""Taking in a file of readings: columns, units and places told from the header, or asked.

Nothing is guessed that would change a number: a column whose unit or piece is not clear
is a question, and a value that cannot be is left out with its reason.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.units import celsius_of_fahrenheit
from stallwise.record.readings import Channel, Dropped, ReadingsReport
from stallwise.record.stamps import Frame, Stamps, elapsed_unit, is_absolute, read_stamps

__all__ = ["HIGHEST_C", "LOWEST_C", "understand"]

#: What a probe at a fire can have measured [°C]; see data/record_limits.csv.
LOWEST_C, HIGHEST_C = -60.0, 600.0
#: What a digital sensor says after it lost its current or its wire [°C], and how far from both
#: neighbours [K] it then stands; a true 85 °C in a climb is kept.
RESET_C, RESET_STEP_K = (85.0, -0.0625, -0.06), 10.0

_BLANK = frozenset({"", "-", "--", "---", "?", "na", "n/a", "nan", "null", "none"})
_UNIT = re.compile(
    r"[\s_]*[(\[]?\s*(?:(?:°|º|deg(?:rees)?\.?\s*)\s*(?P<a>[CF])|(?P<b>celsius|fahrenheit)"
    r"|(?<=[\s_(\[])(?P<c>[CF]))\s*[)\]]?$",
    re.IGNORECASE,
)
_TIMES = frozenset(
    {"time", "date", "datetime", "date time", "timestamp", "time stamp", "clock", "when", "utc"}
)
_PLACES = {"grate": "grate", "lid": "lid", "dome": "lid", "oven": "oven"}
_PIT_WORDS = frozenset({"pit", "grate", "lid", "dome", "oven", "chamber", "cooker"})
_MEAT_WORDS = frozenset({"core", "meat", "food", "internal", "inside", "piece"})
_SPOTS = frozenset({"core", "flat", "point", "breast", "thigh", "leg", "shoulder", "neck"})
_SET_WORDS = frozenset({"set", "setpoint", "target", "goal"})


@dataclass(frozen=True)
class _Sheet:
    """A file as rows under unique names."""

    names: tuple[str, ...]
    columns: Mapping[str, tuple[str, ...]]
    decimal_comma: bool


@dataclass(frozen=True)
class _Place:
    piece: str = ""
    pit: str = ""
    place: str = ""
    skip: bool = False

    @property
    def known(self) -> bool:
        return bool(self.piece or self.pit)


def understand(
    text: str,
    frame: Frame,
    *,
    file: str,
    unit: str | None = None,
    day_first: bool = False,
    columns: Mapping[str, str] | None = None,
) -> ReadingsReport:
    """Read a file of readings; nothing is written.

    Parameters
    ----------
    text : str
        CSV with a header line; comma, semicolon, tab or bar between the columns.
    frame : Frame
        Zone, date, first piece on and letters of the cook.
    file : str
        Name for messages.
    unit : {"C", "F"}, optional
        Unit of the columns whose header names none.
    day_first : bool, default False
        Dates with slashes are written day first; by default the dates tell, or it is asked.
    columns : mapping, optional
        Column to what it measures: a letter, ``pit``, ``grate``, ``lid``, ``oven``, ``skip``,
        or ``time`` for the column of times.

    Returns
    -------
    ReadingsReport
        Channels in °C, questions and notes.

    Raises
    ------
    InputError
        No header, no column of times, or no column of temperatures.
    NotFoundError
        `columns` names a column or letter that is not there.
    """
    if unit not in {None, "C", "F"}:
        raise InputError(f"unit {unit!r}", "C or F")
    sheet = _sheet(text, file)
    said = _said(sheet, columns or {}, frame)
    header, cells, zone = _time_column(sheet, said, file, frame)
    frame = replace(frame, zone=zone)
    stamps = read_stamps(header, cells, frame, day_first=day_first or None)
    channels, questions, notes = [], list(stamps.questions), list(stamps.notes)
    for name in sheet.names:
        if name in header.split("\t") or said.get(name) == _Place(skip=True):
            continue
        channel, ask, note = _channel(name, sheet, stamps, said.get(name), unit, frame)
        channels += [channel] if channel else []
        questions += ask
        notes += note
    if not channels:
        there = ", ".join(map(repr, sheet.names))
        raise InputError(
            f"no column of temperatures among {there}",
            "a column of numbers with its unit, as in 'pit (F)' or 'core_C'",
            "Or say the unit of all columns: --unit C or --unit F",
            where=file,
        )
    return ReadingsReport(file, zone, tuple(channels), tuple(questions), tuple(notes))


# --- the sheet ------------------------------------------------------------------------


def _sheet(text: str, file: str) -> _Sheet:
    lines = [
        line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(lines) < 2:
        raise InputError("no rows under a header line", "a header line and rows", where=file)
    mark = max(",;\t|", key=lines[0].count)
    rows = _rows(lines, mark, file)
    header = [name.strip() for name in rows[0]]
    if any(re.fullmatch(r"-?\d+([.,:/-]\d+)*", name) for name in header):
        raise InputError(
            f"the first line has no names but readings: {lines[0].strip()[:60]!r}",
            "a header line, as in 'time,pit (F),core (F)'",
            "Write one above the rows",
            where=file,
        )
    names = _unique(header)
    columns = {
        name: tuple(row[at].strip() if at < len(row) else "" for row in rows[1:])
        for at, name in enumerate(names)
    }
    comma = mark != "," and any(
        re.fullmatch(r"-?\d+,\d+", cell) for cells in columns.values() for cell in cells
    )
    return _Sheet(names, columns, comma)


def _rows(lines: Sequence[str], mark: str, file: str) -> list[list[str]]:
    try:
        return list(csv.reader(lines, delimiter=mark, skipinitialspace=True))
    except csv.Error as error:
        raise InputError(f"it cannot be read as a table ({error})", "CSV", where=file) from error


def _unique(header: Sequence[str]) -> tuple[str, ...]:
    names: list[str] = []
    for at, name in enumerate(header, 1):
        made = name or f"column {at}"
        names.append(made if made not in names else f"{made} {at}")
    return tuple(names)


def _said(sheet: _Sheet, columns: Mapping[str, str], frame: Frame) -> dict[str, _Place | str]:
    """Take what the cook said of columns to their names in the file."""
    folded = {name.casefold(): name for name in sheet.names}
    folded |= {_bare(name).casefold(): name for name in reversed(sheet.names)} | folded
    found: dict[str, _Place | str] = {}
    for name, where in columns.items():
        if name.casefold() not in folded:
            raise NotFoundError("column", name, sheet.names)
        found[folded[name.casefold()]] = _meant(where.strip(), frame)
    return found


def _meant(where: str, frame: Frame) -> _Place | str:
    word = where.casefold()
    if word == "time":
        return "time"
    if word == "skip":
        return _Place(skip=True)
    if where in frame.pieces:
        return _Place(piece=where, place="core")
    if where in frame.pits:
        return _Place(pit=where)
    if word == "pit" or word in _PLACES:
        return _Place(pit=frame.pits[0], place=_PLACES.get(word, ""))
    raise NotFoundError("piece or pit", where, [*frame.pieces, *frame.pits, "pit", "skip", "time"])


def _bare(name: str) -> str:
    """Header without its unit."""
    return _UNIT.sub("", name).strip(" _-:,") or name


# --- the column of times --------------------------------------------------------------


def _time_column(
    sheet: _Sheet, said: Mapping[str, _Place | str], file: str, frame: Frame
) -> tuple[str, tuple[str, ...], str]:
    """Header (two joined by a tab), cells and zone of the times."""
    named = [name for name in sheet.names if said.get(name) == "time"]
    plain = {
        name: re.sub(r"[\s_]+", " ", re.sub(r"[(\[].*", "", name)).strip().casefold()
        for name in sheet.names
    }
    absolute = [
        name for name in sheet.names if plain[name] in _TIMES and elapsed_unit(name) is None
    ]
    elapsed = [name for name in sheet.names if elapsed_unit(name) is not None]
    by_kind = {plain[name]: name for name in absolute}
    zone = frame.zone
    if named:
        absolute = named
    elif (
        "date" in by_kind and "time" in by_kind and not is_absolute(sheet.columns[by_kind["time"]])
    ):
        pair = (by_kind["date"], by_kind["time"])
        cells = zip(*(sheet.columns[name] for name in pair), strict=True)
        return "\t".join(pair), tuple(" ".join(both).strip() for both in cells), zone
    dated = [name for name in absolute if is_absolute(sheet.columns[name])]
    for name in (*dated, *absolute, *elapsed):
        if re.search(r"\b(utc|gmt)\b", name, re.IGNORECASE):
            zone = "Etc/UTC"
        return name, sheet.columns[name], zone
    raise InputError(
        f"no column of times among {', '.join(map(repr, sheet.names))}",
        "a column named time, date, timestamp or clock, or elapsed_min, minutes or hours",
        "Or say which it is: --column 'NAME=time'",
        where=file,
    )


# --- the columns of temperatures ------------------------------------------------------


def _channel(
    name: str,
    sheet: _Sheet,
    stamps: Stamps,
    said: _Place | str | None,
    unit: str | None,
    frame: Frame,
) -> tuple[Channel | None, list[str], list[str]]:
    """Channel, questions and notes of one column; no channel when it holds no temperatures."""
    cells = sheet.columns[name]
    words = set(re.split(r"[^a-z0-9]+", _bare(name).casefold()))
    found = _unit_of(name) or unit
    numbers = [_number(cell, decimal_comma=sheet.decimal_comma) for cell in cells]
    filled = [cell for cell in cells if cell.casefold() not in _BLANK]
    share = sum(1 for number in numbers if number is not None) / len(filled) if filled else 0.0
    if share < 0.5 or (_unit_of(name) is None and _is_other(name)):
        return None, [], [f"Column {name!r} is not read: no temperatures"]
    if said is None and words & _SET_WORDS:
        return None, [], [f"Column {name!r} is not read: what was set, not what was measured"]
    place = said if isinstance(said, _Place) else _suggested(name, words, frame)
    questions = _questions(name, cells, found, place, frame, sheet)
    channel = Channel(name, found, place.piece, place.pit, place.place)
    return _filled(channel, cells, numbers, stamps), questions, []


def _unit_of(name: str) -> str | None:
    match = _UNIT.search(name)
    if not match or match.start() == 0:
        return None
    return (match["a"] or match["b"] or match["c"])[0].upper()


def _is_other(name: str) -> bool:
    """Whether a header names another quantity: a percentage, a voltage, a speed."""
    return bool(
        re.search(
            r"%|\b(rh|humidity|battery|volts?|fan|rpm|mbar|hpa|pressure|id|no|nr|row|index)\b",
            name,
            re.IGNORECASE,
        )
        or elapsed_unit(name) is not None
    )


def _number(cell: str, *, decimal_comma: bool) -> float | None:
    text = cell.replace("\u2212", "-")
    if decimal_comma and re.fullmatch(r"-?\d+,\d+", text):
        text = text.replace(",", ".")
    return float(text) if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)", text) else None


def _suggested(name: str, words: set[str], frame: Frame) -> _Place:
    """Tell what a column measures, as far as its header says it."""
    tokens = re.split(r"[^A-Za-z0-9]+", _bare(name))
    spot = next(iter(sorted(words & _SPOTS)), "")
    grate = next((_PLACES[word] for word in sorted(words) if word in _PLACES), "")
    for letter in (*frame.pieces, *frame.pits):
        if letter in tokens:
            return (
                _Place(piece=letter, place=spot)
                if letter in frame.pieces
                else _Place(pit=letter, place=grate)
            )
    if words & _PIT_WORDS:
        return (
            _Place(pit=frame.pits[0], place=grate) if len(frame.pits) == 1 else _Place(place=grate)
        )
    if words & (_MEAT_WORDS | _SPOTS) and len(frame.pieces) == 1:
        return _Place(piece=frame.pieces[0], place=spot)
    return _Place()


def _questions(
    name: str, cells: Sequence[str], unit: str | None, place: _Place, frame: Frame, sheet: _Sheet
) -> list[str]:
    asked = []
    if unit is None:
        shown = next((cell for cell in cells if cell.casefold() not in _BLANK), "")
        asked.append(f"Is {name!r} ({shown}) in C or F? Say --unit C or --unit F")
    if not place.known:
        letters = ", ".join([*frame.pieces, *frame.pits])
        asked.append(
            f"What does {name!r} measure? Say --column '{name}={(frame.pieces or ('A',))[0]}' (one of {letters}, or skip)"
        )
    grouped = [
        cell for cell in cells if sheet.decimal_comma and re.fullmatch(r"\d{1,3}\.\d{3}", cell)
    ]
    if grouped:
        asked.append(
            f"Is {grouped[0]!r} in {name!r} a thousand and more, or a number with a decimal point?"
        )
    return asked


def _filled(
    channel: Channel, cells: Sequence[str], numbers: Sequence[float | None], stamps: Stamps
) -> Channel:
    convert: Callable[[float], float] = celsius_of_fahrenheit if channel.unit == "F" else float
    rows = [
        (at, cell, None if number is None else convert(number))
        for at, cell, number in zip(stamps.at, cells, numbers, strict=True)
        if at is not None and cell.casefold() not in _BLANK
    ]
    # Stable, so that two readings of one minute stay in the order of the file.
    rows.sort(key=lambda row: row[0])
    values = [value for *_, value in rows]
    reasons = [_reason(values, row) for row in range(len(rows))]
    kept = [
        (at, value)
        for (at, _, value), why in zip(rows, reasons, strict=True)
        if not why and value is not None
    ]
    dropped = [
        Dropped(at, cell, why) for (at, cell, _), why in zip(rows, reasons, strict=True) if why
    ]
    return replace(
        channel,
        at=tuple(at for at, _ in kept),
        temperature_c=tuple(value for _, value in kept),
        dropped=tuple(dropped),
    )


def _reason(values: Sequence[float | None], row: int) -> str:
    """Why a value cannot be, or nothing."""
    value = values[row]
    if value is None:
        return "not a number"
    if not LOWEST_C <= value <= HIGHEST_C:
        return f"no probe at a fire reads this (below {LOWEST_C:g} °C or above {HIGHEST_C:g} °C)"
    if any(abs(value - reset) < 0.006 for reset in RESET_C) and _stands_alone(values, row):
        return "a sensor that lost contact says this"
    return ""


def _stands_alone(values: Sequence[float | None], row: int) -> bool:
    value = values[row] or 0.0
    before = next(
        (v for v in reversed(values[:row]) if v is not None and LOWEST_C <= v <= HIGHEST_C), None
    )
    after = next(
        (v for v in values[row + 1 :] if v is not None and LOWEST_C <= v <= HIGHEST_C), None
    )
    near = [side for side in (before, after) if side is not None]
    return len(near) == 2 and all(abs(value - side) > RESET_STEP_K for side in near)
