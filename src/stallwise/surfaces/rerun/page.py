"""The comparison as a page of its own: one file that fetches nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground.errors import InputError
from stallwise.joins.parameters import PARAMETERS
from stallwise.pictures.charts import NARROW, WIDE
from stallwise.pictures.moved import Moved, moved_picture
from stallwise.record.folder import Cookbook
from stallwise.record.store import ANY, write_new
from stallwise.surfaces.journal.forms import form
from stallwise.surfaces.paper import long_day
from stallwise.surfaces.rerun.checking import output_name
from stallwise.surfaces.rerun.execute import GOOD
from stallwise.surfaces.rerun.rows import Report, Row, later, longer, odds, summary
from stallwise.surfaces.rerun.telling import cells
from stallwise.tables.rerunning import Tolerances

__all__ = ["comparison_page", "page_path", "write_page"]

_BYTES = 50_000_000
#: Cooks that are told figure by figure; a page of a thousand would be too heavy to open.
_DETAILED = 100


def write_page(
    book: Cookbook,
    report: Report,
    changes: Mapping[str, Any],
    within: Tolerances,
    made_at: dt.datetime,
    out: Path | None = None,
) -> Path:
    """Write the page of a re-run into the book's ``results``, or where it is wanted.

    Parameters
    ----------
    book : Cookbook
    report : Report
        What the re-run gave.
    changes : mapping
        What was changed.
    within : Tolerances
        What counted as the same.
    made_at : datetime
        Wall clock, aware.
    out : Path, optional
        A folder, or a file that ends in ``.html``.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    InputError, WorkError
        There is no such folder, the disk is full, or does not let us.
    """
    path = page_path(book, changes, out)
    text = comparison_page(book, report, changes, within, made_at)
    if out is None:
        book.store.replace(path, text, expected=ANY, limit=_BYTES)
    else:
        write_new(path, text)
    return path


def page_path(book: Cookbook, changes: Mapping[str, Any], out: Path | None = None) -> Path:
    """Tell where the page goes; asked before the first run, so that none is run for nothing.

    Parameters
    ----------
    book, changes, out
        As for `write_page`.

    Raises
    ------
    InputError
        There is no such folder.
    """
    name = f"{output_name(changes)}.html"
    if out is None:
        return book.path / "results" / name
    path = out if out.suffix == ".html" else out / name
    if not path.parent.is_dir():
        raise InputError(
            f"there is no folder {path.parent.name!r} for the page", "a folder that is there"
        )
    return path


def comparison_page(
    book: Cookbook,
    report: Report,
    changes: Mapping[str, Any],
    within: Tolerances,
    made_at: dt.datetime,
) -> str:
    """Fill the page; see `write_page`."""
    good = [row for row in report.rows if row.state in GOOD]
    moved = [row for row in good if row.changed]
    title = _title(changes)
    lines = [line for row in good for line in _lines(row)]
    drawn = [one for row in moved for one in _drawn(row)]
    wide, narrow = (
        moved_picture(drawn, title, dark=None, width=width, prefix=prefix) if drawn else None
        for width, prefix in ((WIDE, "moved"), (NARROW, "moved-narrow"))
    )
    here = made_at.astimezone(ZoneInfo(book.book.time_zone))
    return form("again.html").render(
        title=title,
        book=book.book.title,
        sample=bool(good) and all(row.sample for row in good),
        made_at=here.isoformat(timespec="minutes"),
        day=f"{long_day(here.date())}, {here:%H:%M}",
        summary=summary(report),
        wide=wide,
        narrow=narrow,
        crossings=[(row.title or row.cook, row.crossings) for row in good if row.crossings],
        rows=lines,
        starts=any(line["on"] not in {"", "the same"} for line in lines),
        failed=[row for row in report.rows if row.state not in GOOD],
        details=[_detail(row) for row in moved[:_DETAILED]],
        against=_against(good),
        tolerated=_tolerated(within, book.book.units),
    )


def _title(changes: Mapping[str, Any]) -> str:
    if not changes:
        return "Old cooks again, as they are"
    said = []
    for name, value in changes.items():
        base, _, letter = name.partition("__")
        words = PARAMETERS[base].help if base in PARAMETERS else base.replace("_", " ")
        said.append(f"{words}{f' ({letter})' if letter else ''}: {value}")
    return "Old cooks again: " + "; ".join(said)


def _drawn(row: Row) -> Iterator[Moved]:
    """Pieces for the picture, named by cook and letter."""
    many = len(row.moves) > 1
    crossing = {one.piece for one in row.crossings}
    for move in row.moves:
        if move.longer_h is not None:
            name = f"{row.title or row.cook}, {move.piece}" if many else row.title or row.cook
            yield Moved(name, move.longer_h, move.piece in crossing)


def _lines(row: Row) -> Iterator[dict[str, Any]]:
    for i, move in enumerate(row.moves):
        pit, _, gap = longer(move).partition(", ") if row.changed else ("as it was", "", "")
        yield {
            "cook": row.title or row.cook,
            "date": row.cook[:10],
            "pieces": len(row.moves) if i == 0 else 0,
            "last": i + 1 == len(row.moves),
            "piece": move.piece,
            "pit": pit,
            "gap": gap,
            "on": later(move) if row.changed else "",
            "odds": odds(move) if row.changed else "",
        }


def _detail(row: Row) -> dict[str, Any]:
    lines = []
    for one in row.differences.first:
        old, new, gap = cells(one, row.units)
        lines.append({"what": one.what, "old": old, "new": new, "gap": gap})
    count = row.differences.count
    return {
        "title": row.title or row.cook,
        "count": count,
        "lines": lines,
        "rest": count - len(lines),
    }


def _against(rows: Sequence[Row]) -> str:
    bases = sorted({row.against for row in rows if row.against})
    if not bases:
        return "There was nothing to compare with yet."
    return f"Compared with {'; or with '.join(bases)}."


def _tolerated(within: Tolerances, system: str) -> str:
    if within == Tolerances():
        return "Nothing was tolerated: any difference of a figure counts."
    scale = 1.8 if system == "us" else 1.0
    degree = "°F" if system == "us" else "°C"
    return (
        f"What differs by less has not moved: {within.time_s:g} s, "
        f"{within.temperature_k * scale:g} {degree}, {within.mass_kg * 1000:g} g, "
        f"{within.share * 100:g} points of a hundred."
    )
