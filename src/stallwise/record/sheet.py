"""A log as rows under names: the mark between columns, headers anywhere, one-reading rows.

The csv module splits rows; which mark to split at is told by which one makes even rows of
plain cells, over all kinds of log that were tried (its own Sniffer takes a decimal comma or
a colon for the mark).
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record import shortlog
from stallwise.record.cells import BLANK, number_and_unit
from stallwise.record.stamps import elapsed_unit, is_absolute, is_time

__all__ = ["Sheet", "bare", "read_sheet", "unit_of"]

_MARKS = (",", ";", "\t", "|")
#: A cell that some mark has cut out whole: a number, a time, words, or nothing; not two numbers.
_CLEAN = re.compile(r"(?!.*\d\s+\d+(?:[.,]\d+)?$)(?:[^,;|\t]*|[+-]?\d+,\d+)$")
_UNIT = re.compile(
    r"[\s_]*[(\[]?\s*(?:(?:°|º|deg(?:rees)?\.?[\s_]*)\s*(?P<a>[CF])|(?P<b>celsius|fahrenheit)"
    r"|(?<=[\s_(\[])(?P<c>[CF]))\s*[)\]]?$",
    re.IGNORECASE,
)
_UNIT_CELL = re.compile(
    r"[(\[]?\s*(?:°|º|deg)?\s*(C|F|celsius|fahrenheit)\s*[)\]]?$", re.IGNORECASE
)
_WHO = frozenset({"channel", "probe", "sensor", "source", "series", "name", "which"})
_VALUES = frozenset(
    {"value", "values", "temp", "temperature", "reading", "degrees", "celsius", "fahrenheit"}
)
_SAMPLE = 300
#: Lines that may stand above the header.
_PREAMBLE = 60
#: No line of a log has more letters.
_LONGEST = 20_000


@dataclass(frozen=True)
class Sheet:
    """A file as columns under unique names.

    Attributes
    ----------
    names : tuple of str
    columns : mapping of str to tuple of str
        Trimmed cells, all of one length.
    decimal_comma : bool
        Numbers have a comma before their decimals.
    notes : tuple of str
        What was not read, in words.
    """

    names: tuple[str, ...]
    columns: Mapping[str, tuple[str, ...]]
    decimal_comma: bool
    notes: tuple[str, ...] = ()

    def where(self, wanted: Mapping[str, str]) -> Sheet:
        """Rows that hold the wanted value in each of the columns named.

        Raises
        ------
        NotFoundError
            No such column, or no such value in it.
        """
        sheet = self
        for name, value in wanted.items():
            found = next((one for one in self.names if one.casefold() == name.casefold()), "")
            if not found:
                raise NotFoundError("column", name, self.names)
            keep = [cell == value for cell in sheet.columns[found]]
            if not any(keep):
                raise NotFoundError(f"value in column {found!r}", value, set(self.columns[found]))
            columns = {
                each: tuple(cell for cell, kept in zip(cells, keep, strict=True) if kept)
                for each, cells in sheet.columns.items()
            }
            note = f"{sum(keep)} of {len(keep)} rows are read, those with {found} = {value}"
            sheet = replace(sheet, columns=columns, notes=(*sheet.notes, note))
        return sheet


def unit_of(name: str) -> str | None:
    """Tell the unit that a header names: ``C``, ``F`` or none."""
    match = _UNIT.search(name)
    if not match or match.start() == 0:
        return None
    return (match["a"] or match["b"] or match["c"])[0].upper()


def bare(name: str) -> str:
    """Header without its unit."""
    return _UNIT.sub("", name).strip(" _-:,") or name


def read_sheet(text: str, file: str) -> Sheet:
    """Split a log into columns.

    Parameters
    ----------
    text : str
        CSV with comma, semicolon, tab, bar or blanks between the columns, with or without a
        header, or short lines such as ``13:05 pit 250 meat 145``.
    file : str
        Name for messages.

    Raises
    ------
    InputError
        No rows, rows that do not fit under the header, or another header half way down.
    """
    lines, notes = _lines_of(text)
    mark = ""
    if lines and (said := re.fullmatch(r"sep=(.)\s*", lines[0], re.IGNORECASE)):
        mark, lines = said[1], lines[1:]
    short = shortlog.read(lines)
    if short:
        columns = dict(zip(short.names, short.columns, strict=True))
        return Sheet(short.names, columns, short.decimal_comma, (*notes, *short.notes))
    if len(lines) < 2:
        raise InputError("no rows under a header line", "a header line and rows", where=file)
    mark = mark or _mark(lines)
    rows = _trimmed(_split(lines, mark, file))
    if not text.endswith(("\n", "\r")) and len(rows[-1]) < len(rows[-2]) and len(rows) > 2:
        notes.append(f"The last line is cut short and not read: {lines[-1][:60]!r}")
        rows.pop()
    names, rows, passed = _headed(rows, file)
    columns = _columns(names, rows, file)
    comma = any(
        re.fullmatch(r"[+-]?\d+,\d+(?:\s*°?\s*[CF])?", cell)
        for cells in columns.values()
        for cell in set(cells)
        if "," in cell
    )
    sheet = Sheet(names, columns, comma, (*notes, *passed))
    return _one_channel_a_row(sheet)


def _lines_of(text: str) -> tuple[list[str], list[str]]:
    """Lines that may hold readings, and words on those that cannot."""
    lines = [
        line
        for line in re.split(r"\r\n|\n|\r", text)
        if line and not line.isspace() and not line.lstrip().startswith("#")
    ]
    kept = [line for line in lines if len(line) <= _LONGEST]
    if len(kept) == len(lines):
        return lines, []
    count = len(lines) - len(kept)
    return kept, [f"{_lines(count)} of more than {_LONGEST} letters are not read"]


# --- rows -----------------------------------------------------------------------------


def _mark(lines: Sequence[str]) -> str:
    """Mark between columns: the one that makes the most even rows of plain cells."""
    step = max(1, len(lines) // _SAMPLE)
    sample = [*lines[:20], *lines[20::step]]

    def score(mark: str) -> tuple[float, int]:
        rows = _split(sample, mark, "") if mark != " " else [line.split() for line in sample]
        width, count = Counter(map(len, rows)).most_common(1)[0]
        if width < 2 or (mark == " " and count < len(rows)):
            return 0.0, 0
        cells = [cell for row in rows if len(row) == width for cell in row]
        plain = sum(1 for cell in cells if mark == " " or _CLEAN.match(cell.strip())) / len(cells)
        # Blanks are a mark only where nothing else is.
        return count / len(rows) * plain**3 * (0.6 if mark == " " else 1.0), width

    return max((*_MARKS, " "), key=score)


def _split(lines: Sequence[str], mark: str, file: str) -> list[list[str]]:
    if mark == " ":
        return [line.split() for line in lines]
    try:
        rows = list(csv.reader(lines, delimiter=mark, skipinitialspace=True))
        if len(rows) < len(lines):
            # A lone quote (an inch mark) runs on over lines; is the file plainer without quotes?
            bare_rows = list(
                csv.reader(lines, delimiter=mark, skipinitialspace=True, quoting=csv.QUOTE_NONE)
            )
            if _evenness(bare_rows) > _evenness(rows):
                return [[cell.strip(' "') for cell in row] for row in bare_rows]
    except csv.Error as error:
        raise InputError(f"it cannot be read as a table ({error})", "CSV", where=file) from error
    return rows


def _evenness(rows: Sequence[Sequence[str]]) -> int:
    return Counter(map(len, rows)).most_common(1)[0][1]


def _trimmed(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    return [[cell.strip() for cell in row] for row in rows]


def _is_value(cell: str) -> bool:
    """Whether a cell is a number or a time, and so no name."""
    return bool(re.fullmatch(r"[+-]?\d+([.,:/ T-]+\d+)*\s*(°?[CF]|[AaPp]\.?[Mm]\.?|Z)?", cell))


def _is_header(row: Sequence[str]) -> bool:
    names = [cell for cell in row if cell]
    return len(names) > 1 and not any(_is_value(name) for name in names)


def _headed(rows: list[list[str]], file: str) -> tuple[tuple[str, ...], list[list[str]], list[str]]:
    """Names of the columns, the rows under them, and what was passed over."""
    width = Counter(len(row) for row in rows[:_PREAMBLE]).most_common(1)[0][0]
    at = next(
        (
            row
            for row, cells in enumerate(islice(rows, _PREAMBLE))
            if _is_header(cells) and len(cells) >= width - 1
        ),
        None,
    )
    notes: list[str] = []
    values = next((row for row, cells in enumerate(rows) if any(map(_is_value, cells))), len(rows))
    if at is None and values and _is_header(rows[min(values, len(rows)) - 1]):
        at = values - 1
    # Lines above the header may hold values too; they are not as wide as the readings.
    if at is None or (at > values and len(rows[values]) == len(rows[at])):
        if values > 0:
            notes.append(f"{_lines(values)} above the readings are not read")
        body = rows[values:]
        if not body:
            raise InputError("no rows under a header line", "a header line and rows", where=file)
        names = [f"column {number}" for number in range(1, max(map(len, body)) + 1)]
        return tuple(names), body, notes
    if at:
        notes.append(f"{_lines(at)} above the header are not read")
    header, body = rows[at], rows[at + 1 :]
    if body and any(body[0]) and all(not cell or _UNIT_CELL.match(cell) for cell in body[0]):
        units = [*body.pop(0), *[""] * len(header)]
        header = [
            f"{name} ({unit})" if unit else name for name, unit in zip(header, units, strict=False)
        ]
    body, again = _without_headers(header, body, file)
    if again:
        notes.append(f"The header stands in the file {again + 1} times")
    if not body:
        raise InputError("no rows under a header line", "a header line and rows", where=file)
    return _unique(header), body, notes


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"


def _without_headers(
    header: Sequence[str], body: Sequence[list[str]], file: str
) -> tuple[list[list[str]], int]:
    """Rows without the header where it comes again; another header is refused."""
    own = {name.casefold() for name in header if name}
    kept, again = [], 0
    for row in body:
        # A row of readings starts with a digit, and there are many.
        if row and row[0][:1].isdigit():
            kept.append(row)
            continue
        folded = [cell.casefold() for cell in row]
        if folded == [name.casefold() for name in header]:
            again += 1
        elif len(own.intersection(folded)) * 2 >= len(own) > 1 and _is_header(row):
            raise InputError(
                f"half way down there is another header: {', '.join(row)[:80]!r}",
                "the same columns all through a file",
                "Cut the file in two before that line and import both",
                where=file,
            )
        else:
            kept.append(row)
    return kept, again


def _unique(header: Sequence[str]) -> tuple[str, ...]:
    names: list[str] = []
    for at, name in enumerate(header, 1):
        made = name or f"column {at}"
        while made in names:
            made = f"{made} {at}"
        names.append(made)
    return tuple(names)


def _columns(
    names: Sequence[str], rows: Sequence[list[str]], file: str
) -> dict[str, tuple[str, ...]]:
    width = len(names)
    wide = [row for row in rows if len(row) > width and any(row[width:])]
    if wide and not _words_at_end(wide, width):
        row = wide[0]
        hint = (
            "If numbers have a decimal comma, save the file with semicolons between the columns"
            if any(cell.isdigit() for cell in row[width:])
            else "Put quotes round a cell that holds a comma"
        )
        raise InputError(
            f"{len(wide)} rows have more cells than the header has names, the first is "
            f"{', '.join(row)[:80]!r}",
            f"{width} cells under {width} names",
            hint,
            where=file,
        )
    even = [
        row
        if len(row) == width
        else [*row[: width - 1], " ".join(row[width - 1 :]).strip()]
        if len(row) > width
        else row + [""] * (width - len(row))
        for row in rows
    ]
    return dict(zip(names, zip(*even, strict=True), strict=True))


def _words_at_end(rows: Sequence[Sequence[str]], width: int) -> bool:
    """Whether what is too much is the rest of a remark with commas in it."""
    return all(
        any(number_and_unit(cell)[0] is None for cell in row[width - 1 :] if cell not in BLANK)
        and not any(_is_value(cell) for cell in row[width:])
        for row in rows
    )


# --- one channel a row ----------------------------------------------------------------


def _one_channel_a_row(sheet: Sheet) -> Sheet:
    """Turn rows of time, channel and value into a column for each channel."""
    plain = {name: re.sub(r"[^a-z]+", " ", bare(name).casefold()).strip() for name in sheet.names}
    who = [name for name in sheet.names if plain[name] in _WHO]
    values = [
        name
        for name in sheet.names
        if plain[name] in _VALUES and name not in who and not is_time(sheet.columns[name])
    ]
    if len(who) != 1 or len(values) != 1:
        return sheet
    channels = list(dict.fromkeys(cell for cell in sheet.columns[who[0]] if cell))
    if not 1 <= len(channels) <= 32:
        return sheet
    times = [
        name
        for name in sheet.names
        if name not in {*who, *values}
        and (
            is_absolute(sheet.columns[name])
            or is_time(sheet.columns[name])
            or elapsed_unit(name) is not None
        )
    ]
    units = next((name for name in sheet.names if plain[name] in {"unit", "units"}), "")
    columns = {name: sheet.columns[name] for name in times}
    ids, cells = sheet.columns[who[0]], sheet.columns[values[0]]
    for channel in channels:
        name = _long_name(channel, who[0], values[0], sheet, units)
        columns[name] = tuple(
            cell if one == channel else "" for one, cell in zip(ids, cells, strict=True)
        )
    note = f"Each row holds one reading; the channels are those of column {who[0]!r}"
    return Sheet(tuple(columns), columns, sheet.decimal_comma, (*sheet.notes, note))


def _long_name(channel: str, who: str, value: str, sheet: Sheet, units: str) -> str:
    """Name of one channel of many, with its unit where a column or the header tells it."""
    name = f"{bare(who)} {channel}" if channel.isdigit() else channel
    said = {
        unit
        for one, unit in zip(sheet.columns[who], sheet.columns.get(units, ()), strict=False)
        if one == channel and unit
    }
    unit = unit_of(f"x ({said.pop()})") if len(said) == 1 else unit_of(value)
    if unit is None and bare(value).casefold() in {"celsius", "fahrenheit"}:
        unit = bare(value)[0].upper()
    return f"{name} ({unit})" if unit and unit_of(name) is None else name
