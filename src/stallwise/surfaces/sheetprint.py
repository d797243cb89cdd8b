"""The day sheet on paper: one side, 16 point, with room for a pencil.

Paper is Letter or A4. The page is one HTML file with its style inside; any browser prints
it. What fits is reckoned from letter widths; when it is too much, `shortening` takes out
what can be spared first, and `sides` breaks what is left in a pause of the day.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

from stallwise.ground.units import celsius_of_fahrenheit
from stallwise.joins.result import Result
from stallwise.joins.sheet.readers import Sheet, people_words, sheets_for
from stallwise.joins.sheet.sheetwords import SheetRow, sheet_rows
from stallwise.surfaces import letters
from stallwise.surfaces.letters import BOLD, MM_A_POINT, SIZE_PT
from stallwise.surfaces.paper import Paper, long_day, paper_named, template
from stallwise.surfaces.sheethead import examples, head
from stallwise.surfaces.shortening import shortened
from stallwise.surfaces.sides import Row, broken

__all__ = ["sheet_html"]

_TITLE_PT = 19.0
_LEADING = 1.09
_LINE_MM = SIZE_PT * _LEADING * MM_A_POINT
_TITLE_MM = _TITLE_PT * 1.1 * MM_A_POINT
#: A blank line to write on, and how many there are at most [mm].
_BLANK_MM, _BLANKS = 8.0, 6
#: Width of the pencil's column as a share of the page, and blank lines, the best first.
_LAYOUTS = (
    (0.45, 4), (0.45, 3), (0.41, 4), (0.41, 3), (0.41, 2), (0.37, 2), (0.37, 1), (0.33, 0), (0.3, 0),
)  # fmt: skip
#: The same where it goes on overleaf.
_OVERLEAF = ((0.41, 1), (0.37, 1), (0.33, 0))
_DEGREES = re.compile(r"(?P<f>\d+) °F(?: \((?P<c>\d+ °C)\))?")
_BOX_WORDS = "Write short: "
#: Before what is new since the last print.
_MARK = "▸"
#: Nobody writes down when these were done.
_WIDE = frozenset({"thaw", "cool"})
#: Spans of these steps say nothing that the clock does not.
_NO_SPAN = frozenset(
    {"thaw", "trim", "trim_brisket", "fire_lit", "switch_on", "pit_steady", "meat_on", "climb"}
    | {"rub", "unwrap", "glaze", "rest", "hold", "carve", "serve", "cool", "move"}
)


@dataclass(frozen=True)
class Columns:
    """Widths of the columns; the pencil has the rest, and `blanks` lines of its own."""

    do_mm: float
    blanks: int
    at_mm: float = 18.0
    pad_mm: float = 0.45


@dataclass(frozen=True)
class PrintRow:
    """A row as printed: `what` in bold and `tail` after it; `care` in it, or across the page.

    A `wide` row has no room for the pencil: nobody writes down when the meat was thawed.
    """

    day: str
    clock: str
    what: str
    tail: str
    care: str
    done: str
    care_inside: bool
    wide: bool


@dataclass(frozen=True)
class Side:
    """One side of paper: its title, the lines below it, and its rows."""

    day: str
    head: tuple[str, ...]
    rows: tuple[PrintRow, ...]
    columns: Columns


def sheet_html(result: Result, *, paper: str = "a4", reader: str = "") -> str:
    """Day sheet of a cook as one HTML page to print.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.
    reader : {"", "pit", "person", "night"}
        Whose sheet it is: everybody's, one for each pit, one for each person (or for board and
        table where nobody is counted), or the watch from dusk to breakfast.

    Returns
    -------
    str
        HTML that fetches nothing. A sheet is one side. Nearly half of its width and some lines at
        its foot are for the pencil; for that, and to fit, details are left out, then spans,
        then signs, and the page says so. What a cook decides by stays: where it does not fit even
        with little room for the pencil, the sheet goes on overleaf in full, about evenly, broken
        in a pause of the day, and each side says so.

    Raises
    ------
    NotFoundError
        No such paper or reader.
    """
    sheet = paper_named(paper)
    sides = [
        side for each in sheets_for(reader, result) for side in _sides(_job(result, each, sheet))
    ]
    return template("sheet.html").render(
        title=result.title,
        day=long_day(result.date),
        sides=sides,
        paper=sheet,
        blank_mm=_BLANK_MM,
        box_words=_BOX_WORDS,
        examples=examples(result),
        leading=_LEADING,
    )


# --- what fits ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Job:
    """What is to go on paper; `letters` of all pieces, `home` the cook's own day."""

    paper: Paper
    title: str
    day: str
    short_day: str
    head: tuple[str, ...]
    examples: tuple[str, ...]
    letters: frozenset[str]
    home: str
    rows: tuple[SheetRow, ...]
    by: Callable[[Iterable[str]], str]
    units: str

    def told(self, said: str) -> tuple[str, ...]:
        """Lines of the head, with what was left out."""
        return (" ".join(filter(None, [self.head[0], said])), *self.head[1:])

    def fixed_mm(self, day: str, told: Sequence[str]) -> float:
        """Height of all that is not a step."""
        width = self.paper.width_mm
        title = f"{self.title} {day}"
        total = _TITLE_MM * letters.lines(title, width, size=_TITLE_PT * BOLD)
        total += _LINE_MM * sum(letters.lines(line, width) for line in told)
        total += _LINE_MM + 2.0  # the table's head
        shown = " · ".join(self.examples)
        box = letters.lines(shown, width - 5.0, size=SIZE_PT * BOLD, then=_BOX_WORDS)
        return total + _LINE_MM * box + 4.0


def _job(result: Result, sheet: Sheet, paper: Paper) -> _Job:
    pits = {step.pit for step in sheet.steps if step.pit}
    rows = sheet_rows(sheet.steps, date=result.date, as_of=result.as_of, many_pits=len(pits) > 1)
    name = f" · {sheet.name}" if sheet.name else ""
    return _Job(
        paper=paper,
        title=result.title,
        day=f"{long_day(result.date)}{name}",
        short_day=f"{result.date.day} {result.date:%B}{name}",
        head=head(result, sheet, mark=_MARK),
        examples=examples(result),
        letters=frozenset(piece.piece for piece in result.pieces),
        home=f"{result.date:%a}",
        rows=rows,
        by=_by(result, sheet),
        units=result.units,
    )


def _by(result: Result, sheet: Sheet) -> Callable[[Iterable[str]], str]:
    """Name people on a sheet that is for more than one of them."""
    numbers = {number for step in sheet.steps for number in step.person.split()}
    if len(numbers) < 2 or sheet.person:
        return lambda _: ""
    return partial(people_words, result=result)


def _sides(job: _Job) -> Iterator[Side]:
    """One side where it fits, else as many as it takes."""
    one = _one_side(job)
    if one is not None:
        yield one
        return
    tries = [list(_overleaf(job, _columns(job.paper, *layout))) for layout in _OVERLEAF]
    yield from min(tries, key=len)


def _overleaf(job: _Job, columns: Columns) -> Iterator[Side]:
    """Lay out as many sides as it takes with these columns, nothing left out."""
    kept = shortened(job.rows, lambda *_: False)[0]
    rows = [_arranged(row, columns, job.paper) for row in _printed(kept, job)]
    sized = [
        Row(_row_mm(row, columns, job.paper), one.at) for row, one in zip(rows, kept, strict=True)
    ]
    rooms = [_room_mm(job, number, columns) for number in (1, 2)]
    starts = broken(sized, *rooms)
    for number, (start, end) in enumerate(pairwise([*starts, len(rows)]), start=1):
        left = rooms[number > 1] - sum(row.height_mm for row in sized[start:end])
        blanks = min(columns.blanks + max(int(left // _BLANK_MM), 0), _BLANKS)
        day, told = _above(job, number, len(starts), kept[start])
        first = replace(rows[start], day=kept[start].day or job.home)
        side = (first, *rows[start + 1 : end])
        yield Side(day, told, side, replace(columns, blanks=blanks))


def _above(job: _Job, number: int, count: int, row: SheetRow) -> tuple[str, tuple[str, ...]]:
    """Title and lines of one of several sides."""
    if number == 1:
        said = f"It goes on overleaf: this is side 1 of {count}."
        return job.day, job.told(said)
    return f"{job.short_day} · side {number} of {count}, from\N{NO-BREAK SPACE}{row.clock}", ()


def _room_mm(job: _Job, number: int, columns: Columns) -> float:
    """Room for rows on a side, as a side of nine would have it."""
    widest = SheetRow("serve", "Wed again", "00:00", "", "", "", "", "", (), "", job.rows[0].at)
    day, told = _above(job, number, 9, widest)
    return job.paper.height_mm - job.fixed_mm(day, told) - _BLANK_MM * columns.blanks


def _one_side(job: _Job) -> Side | None:
    """Lay out one side, with as much room for the pencil as there is; None where it does not fit."""

    def printed(kept: Sequence[SheetRow], columns: Columns) -> tuple[PrintRow, ...]:
        return tuple(_arranged(row, columns, job.paper) for row in _printed(kept, job))

    def fits(kept: Sequence[SheetRow], said: str, columns: Columns) -> bool:
        table_mm = sum(_row_mm(row, columns, job.paper) for row in printed(kept, columns))
        blank_mm = _BLANK_MM * columns.blanks
        return job.fixed_mm(job.day, job.told(said)) + table_mm + blank_mm <= job.paper.height_mm

    for share, blanks in _LAYOUTS:
        columns = _columns(job.paper, share, blanks)
        kept, said, one_side = shortened(job.rows, partial(fits, columns=columns))
        if one_side:
            break
    else:
        return None
    while columns.blanks < _BLANKS:
        more = replace(columns, blanks=columns.blanks + 1)
        if not fits(kept, said, more):
            break
        columns = more
    return Side(job.day, job.told(said), printed(kept, columns), columns)


def _columns(paper: Paper, share: float, blanks: int) -> Columns:
    do_mm = round((1.0 - share) * paper.width_mm - Columns.at_mm, 1)
    return Columns(do_mm, blanks)


def _printed(rows: Sequence[SheetRow], job: _Job) -> Iterator[PrintRow]:
    """Rows as printed; a day is named where it begins, letters where it is not for all pieces."""
    day = ""
    for row in rows:
        who = f"{row.who}: " if row.who and {*row.who.split()} != job.letters else ""
        mark = f"{_MARK}\N{NO-BREAK SPACE}" if row.news else ""
        by = job.by(row.by)
        tail = "".join(f", {part}" for part in (row.news, by) if part)
        tail += f" → {row.until.removeprefix('the ')}" if row.until else ""
        span = row.span if row.kind not in _NO_SPAN else ""
        # A span is not broken at its dash.
        span = span.replace("–", "\u2060–\u2060")
        tail += "".join(f", {part}" for part in (span, row.detail) if part)
        care = f"! {'; '.join(row.cautions)}" if row.cautions else ""
        care = _DEGREES.sub(_celsius, care) if job.units == "metric" else care
        new_day = (row.day or job.home) if row.day != day else ""
        wide = row.kind in _WIDE and not row.done
        yield PrintRow(
            new_day,
            row.clock,
            f"{mark}{who}{row.what}",
            letters.together(tail),
            letters.together(care),
            row.done,
            care_inside=wide,
            wide=wide,
        )
        day = row.day


def _celsius(found: re.Match[str]) -> str:
    """Give a caution's temperature as a metric cook reads it, in whole degrees as printed there."""
    return found["c"] or f"{celsius_of_fahrenheit(float(found['f'])):.0f} °C"


def _arranged(row: PrintRow, columns: Columns, paper: Paper) -> PrintRow:
    """Put the caution where it takes least: beside the day, or across the page."""
    inside = replace(row, care_inside=True)
    takes_less = _row_mm(inside, columns, paper) <= _row_mm(row, columns, paper)
    return inside if row.care and takes_less else row


def _row_mm(row: PrintRow, columns: Columns, paper: Paper) -> float:
    full = paper.width_mm - columns.at_mm - 2.0
    room = full if row.wide else columns.do_mm - 2.0
    bold = SIZE_PT * BOLD
    then = f"{row.tail} {row.care}" if row.care_inside else row.tail
    count = letters.lines(row.what, room, size=bold, then=then)
    count = max(count, 2 if row.day else 1)
    across = 0 if row.care_inside else letters.lines(row.care, full)
    return (count + across) * _LINE_MM + (2 + bool(across)) * columns.pad_mm + 0.3
