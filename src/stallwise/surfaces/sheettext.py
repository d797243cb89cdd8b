"""The day sheet as plain text: for a terminal, a message, or a page without a browser."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from stallwise.joins.result import Result
from stallwise.joins.sheet.readers import Sheet, people_words, sheets_for
from stallwise.joins.sheet.sheetwords import SheetRow, sheet_rows
from stallwise.surfaces.paper import long_day
from stallwise.surfaces.sheethead import head

__all__ = ["sheet_text", "wrapped"]

_MARK = "*"
_AT, _WIDTH = 11, 78


def sheet_text(result: Result, *, reader: str = "", width: int = _WIDTH) -> str:
    """Write the day sheet as plain text.

    Parameters
    ----------
    result : Result
        The cook as answered.
    reader : str, optional
        Whose sheet, as in `sheets_for`.
    width : int, optional
        Letters a line, 78 by default.

    Returns
    -------
    str
        Lines no longer than `width`; nothing is left out, for text has no sides.
    """
    parts = [
        "\n".join(_sheet(result, sheet, max(width, 40))) for sheet in sheets_for(reader, result)
    ]
    return "\n\n".join(parts) + "\n"


def wrapped(lines: Iterable[str], width: int = _WIDTH) -> str:
    """Break lines that are too long, and set the rest of each in."""
    broken = (
        "\n".join(textwrap.wrap(line, width, subsequent_indent=" " * _AT, drop_whitespace=True))
        for line in lines
    )
    return "\n".join(broken) + "\n"


def _sheet(result: Result, sheet: Sheet, width: int) -> Iterator[str]:
    name = f" · {sheet.name}" if sheet.name else ""
    yield f"{result.title} · {long_day(result.date)}{name}"
    for line in head(result, sheet, mark=_MARK):
        yield from textwrap.wrap(line, width)
    yield ""
    pits = {step.pit for step in sheet.steps if step.pit}
    rows = sheet_rows(sheet.steps, date=result.date, as_of=result.as_of, many_pits=len(pits) > 1)
    day = ""
    for row in rows:
        shown = row.day or f"{result.date:%a}"
        yield from _row(row, result, width, day=shown if shown != day else "")
        day = shown


def _row(row: SheetRow, result: Result, width: int, *, day: str) -> Iterator[str]:
    if day:
        yield day
    indent = " " * _AT
    mark = f"{_MARK} " if row.news else "  "
    everybody = len(result.pieces) > 1 and len(row.who.split()) == len(result.pieces)
    who = f"{row.who}: " if row.who and not everybody else ""
    by = people_words(row.by, result)
    first = f"{who}{row.what}" + (f" ({by})" if by else "")
    until = f"until {row.until}" if row.until else ""
    yield from textwrap.wrap(
        ", ".join(filter(None, [first, row.news, until])),
        width,
        initial_indent=f"  {mark}{row.clock}  ",
        subsequent_indent=indent,
    )
    likely = f"most likely {row.span}" if row.span else ""
    logged = f"done {row.done}" if row.done else ""
    odds = row.odds if result.state == "running" else ""
    for part in ("; ".join(filter(None, [likely, odds, row.detail, logged])), *row.full):
        yield from textwrap.wrap(part, width, initial_indent=indent, subsequent_indent=indent)
