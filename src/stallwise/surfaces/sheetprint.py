"""The day sheet on paper: one side, 16 point, with room for a pencil.

Paper is Letter or A4. The page is one HTML file with its style inside; any browser prints
it. What fits is reckoned from letter widths; when it is too much, `shortening` takes out
what can be spared first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

from stallwise.joins import words
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.sheetwords import SheetRow, sheet_rows, steps_for
from stallwise.surfaces.paper import Paper, long_day, paper_named, template
from stallwise.surfaces.shortening import shortened

__all__ = ["sheet_html"]

_MM_A_POINT = 25.4 / 72.0
_SIZE_PT, _TITLE_PT = 16.0, 19.0
_LEADING = 1.09
_LINE_MM = _SIZE_PT * _LEADING * _MM_A_POINT
_TITLE_MM = _TITLE_PT * 1.1 * _MM_A_POINT
#: Bold letters are wider.
_BOLD = 1.12
#: A blank line to write on, and how many there are at most [mm].
_BLANK_MM, _BLANKS = 8.0, 6
#: Width of the pencil's column as a share of the page, and blank lines, the best first.
_LAYOUTS = (
    (0.45, 4), (0.45, 3), (0.41, 4), (0.41, 3), (0.41, 2), (0.37, 2), (0.37, 1), (0.33, 0), (0.3, 0),
)  # fmt: skip
_BOX_WORDS = "Write short: "
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


def sheet_html(result: Result, *, paper: str = "a4", reader: str = "") -> str:
    """Day sheet of a cook as one HTML page to print.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.
    reader : {"", "pit", "person", "night"}
        Whose sheet it is: everybody's, the one at the pit, the one at board and table, or
        the watch from dusk to breakfast.

    Returns
    -------
    str
        HTML that fetches nothing. It is one side. Nearly half of its width and some lines at
        its foot are for the pencil; for that, and to fit, details are left out, then spans,
        then signs, and the page says so. What a cook decides by goes only after the pencil has
        given up its room. A cook of so many pieces that even then they do not fit goes on
        overleaf, and the page says that.

    Raises
    ------
    NotFoundError
        No such paper or reader.
    """
    sheet, day = paper_named(paper), long_day(result.date)
    steps = steps_for(reader, result.steps)
    rows = sheet_rows(
        steps,
        date=result.date,
        as_of=result.as_of,
        many_pits=len({step.pit for step in steps if step.pit}) > 1,
    )
    job = _Job(
        paper=sheet,
        title=f"{result.title} {day}",
        head=tuple(_head(result)),
        examples=tuple(_examples(result)),
        letters=frozenset(piece.piece for piece in result.pieces),
        home=f"{result.date:%a}",
    )
    printed, said, columns, one_side = _fitted(rows, job)
    return template("sheet.html").render(
        title=result.title,
        day=day,
        head=job.told(said),
        rows=printed,
        columns=columns,
        paper=sheet,
        one_side=one_side,
        blank_mm=_BLANK_MM,
        box_words=_BOX_WORDS,
        examples=job.examples,
        leading=_LEADING,
    )


def _columns(paper: Paper, share: float, blanks: int) -> Columns:
    do_mm = round((1.0 - share) * paper.width_mm - Columns.at_mm, 1)
    return Columns(do_mm, blanks)


def _head(result: Result) -> list[str]:
    alike: dict[tuple[str, ...], list[PieceResult]] = {}
    for piece in result.pieces:
        served = f"eat at {piece.serve_at:%H:%M}" if piece.serve_at else ""
        alike.setdefault((piece.name, piece.finish, served), []).append(piece)
    lines = []
    for (name, finish, served), pieces in alike.items():
        letters = words.joined([piece.piece for piece in pieces])
        count = sum(piece.count for piece in pieces)
        many = f"{count} × " if count > len(pieces) else ""
        weight = words.mass(sum(p.mass_kg * p.count for p in pieces), result.units)
        said = ", ".join(filter(None, [f"{many}{name}", weight, finish, served]))
        lines.append(f"{letters}: {said}.")
    if result.odds is not None:
        lines.append(f"{result.odds_words.capitalize()}: {words.odds_text(result.odds)} in time.")
    lines += filter(None, [_stands(result), "A made-up sample." if result.sample else ""])
    head = [" ".join(lines)]
    if result.text.get("carried"):
        head.append(f"Last time you said: {result.text['carried']}")
    return head


def _stands(result: Result) -> str:
    """Which moment the plan stands at, once the cook has begun."""
    if result.state == "planned":
        return ""
    if result.as_of <= result.hour_zero:
        return "The plan as it stood before meat on."
    return f"The plan as of {words.day_clock(result.as_of, result.date)}."


def _examples(result: Result) -> list[str]:
    letter = result.pieces[-1].piece if result.pieces else "A"
    return ["1310 wrapped foil", "+2:40 spritz", f"{letter} 1350 probe nearly"]


# --- what fits ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Job:
    """What is on the paper beside the steps; `letters` of all pieces, `home` the cook's own day."""

    paper: Paper
    title: str
    head: tuple[str, ...]
    examples: tuple[str, ...]
    letters: frozenset[str]
    home: str

    def told(self, said: str) -> list[str]:
        """Lines of the head, with what was left out."""
        return [" ".join(filter(None, [self.head[0], said])), *self.head[1:]]

    def fixed_mm(self, said: str) -> float:
        """Height of all that is not a step."""
        width = self.paper.width_mm
        total = _TITLE_MM * _lines(self.title, width, size=_TITLE_PT * _BOLD)
        total += _LINE_MM * sum(_lines(line, width) for line in self.told(said))
        total += _LINE_MM + 2.0  # the table's head
        shown = " · ".join(self.examples)
        box = _lines(shown, width - 5.0, size=_SIZE_PT * _BOLD, then=_BOX_WORDS)
        return total + _LINE_MM * box + 4.0


def _fitted(rows: Sequence[SheetRow], job: _Job) -> tuple[list[PrintRow], str, Columns, bool]:
    """Rows, what to say of what was left out, columns, and whether it is one side."""

    def printed(kept: Sequence[SheetRow], columns: Columns) -> list[PrintRow]:
        return [_arranged(row, columns, job.paper) for row in _printed(kept, job)]

    def fits(kept: Sequence[SheetRow], said: str, columns: Columns) -> bool:
        table_mm = sum(_row_mm(row, columns, job.paper) for row in printed(kept, columns))
        blank_mm = _BLANK_MM * columns.blanks
        return job.fixed_mm(said) + table_mm + blank_mm <= job.paper.height_mm

    for share, blanks in _LAYOUTS:
        columns = _columns(job.paper, share, blanks)
        kept, said, one_side = shortened(rows, partial(fits, columns=columns))
        if one_side:
            break
    else:
        columns = _columns(job.paper, *_LAYOUTS[-1])
        kept, said, one_side = shortened(rows, partial(fits, columns=columns), decisions=True)
    while one_side and columns.blanks < _BLANKS:
        more = replace(columns, blanks=columns.blanks + 1)
        if not fits(kept, said, more):
            break
        columns = more
    return printed(kept, columns), said, columns, one_side


def _printed(rows: Sequence[SheetRow], job: _Job) -> Iterator[PrintRow]:
    """Rows as printed; a day is named where it begins, letters where it is not for all pieces."""
    day = ""
    for row in rows:
        who = f"{row.who}: " if row.who and {*row.who.split()} != job.letters else ""
        tail = f" → {row.until.removeprefix('the ')}" if row.until else ""
        span = row.span if row.kind not in _NO_SPAN else ""
        # A span is not broken at its dash.
        span = span.replace("–", "\u2060–\u2060")
        tail += "".join(f", {part}" for part in (span, row.detail) if part)
        care = f"!\N{NO-BREAK SPACE}{'; '.join(row.cautions)}" if row.cautions else ""
        new_day = (row.day or job.home) if row.day != day else ""
        wide = row.kind in _WIDE and not row.done
        yield PrintRow(
            new_day,
            row.clock,
            f"{who}{row.what}",
            tail,
            care,
            row.done,
            care_inside=wide,
            wide=wide,
        )
        day = row.day


def _arranged(row: PrintRow, columns: Columns, paper: Paper) -> PrintRow:
    """Put the caution where it takes least: beside the day, or across the page."""
    inside = replace(row, care_inside=True)
    takes_less = _row_mm(inside, columns, paper) <= _row_mm(row, columns, paper)
    return inside if row.care and takes_less else row


def _row_mm(row: PrintRow, columns: Columns, paper: Paper) -> float:
    full = paper.width_mm - columns.at_mm - 2.0
    room = full if row.wide else columns.do_mm - 2.0
    bold = _SIZE_PT * _BOLD
    then = f"{row.tail} {row.care}" if row.care_inside else row.tail
    lines = _lines(row.what, room, size=bold, then=then)
    lines = max(lines, 2 if row.day else 1)
    across = 0 if row.care_inside else _lines(row.care, full)
    return (lines + across) * _LINE_MM + (2 + bool(across)) * columns.pad_mm + 0.3


@cache
def _lines(text: str, width_mm: float, *, size: float = _SIZE_PT, then: str = "") -> int:
    """Lines that a browser breaks a text into, a little on the safe side.

    `then` goes on behind it in plain letters.
    """
    lines, used = 0, 0.0
    for word, wide in _sized(text, then, size):
        space = 0.29 * _SIZE_PT * _MM_A_POINT if used else 0.0
        if not word.startswith(",") and (not lines or used + space + wide > width_mm):
            lines, used = lines + 1, wide
        else:
            used += wide + (0.0 if word.startswith(",") else space)
    return lines


def _sized(text: str, then: str, size: float) -> Iterator[tuple[str, float]]:
    for part, points in ((text, size), (then, _SIZE_PT)):
        for word in filter(None, part.split(" ")):
            yield word, sum(map(_em, word)) * points * _MM_A_POINT


#: Widths of letters [em], of the wider of the page's first two typefaces.
_WIDTHS = {
    letter: width
    for letters, width in (
        ("\u2060", 0.0), ("ijl'", 0.25), ("I.,·’", 0.29), (":;|/", 0.31), ("f-", 0.33),
        ("t()[]!", 0.36), ("r", 0.37), ("°", 0.45), ("csz", 0.50), ("kvxyJ", 0.535),
        ("aeo–", 0.557), ("FTZL", 0.615), ("ABEKPSVXY", 0.67), ("CDGHNOQRU&", 0.725), ("w", 0.74),
        ("+=×", 0.755), ("Mm%", 0.88), ("W", 0.945), ("—→@", 1.0),
    )
    for letter in letters
}  # fmt: skip


def _em(letter: str) -> float:
    return _WIDTHS.get(letter, 0.575)
