"""Chapters of a film of a cook: what was logged, on the film's own time, as plain text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.vocabulary import said
from stallwise.record.log import LogLine

__all__ = ["Chapter", "chapter_text", "chapters"]

#: No two chapters stand at one second.
_APART_S = 1


@dataclass(frozen=True)
class Chapter:
    """Where in a film something begins [s], and what it is."""

    at_s: int
    words: str


def chapters(
    lines: Iterable[LogLine], start: dt.datetime, context: PaperContext
) -> tuple[Chapter, ...]:
    """Put the lines of a log on the time of a film.

    Parameters
    ----------
    lines : iterable of LogLine
        In force.
    start : datetime
        When the film begins.
    context : PaperContext
        Of the cook.

    Returns
    -------
    tuple of Chapter
        One a line from then on; the first stands at 0, for a film has to begin with a chapter.

    Raises
    ------
    InputError
        Nothing is logged from then on.
    """
    ordered = sorted((line for line in lines if line.at >= start), key=lambda line: line.at)
    if not ordered:
        local = start.astimezone(context.zone)
        raise InputError(
            f"nothing is logged from {local:%Y-%m-%d %H:%M} on",
            "a start before the last line of the log",
            "`stallwise log COOK` lists it",
        )
    found: list[Chapter] = []
    for line in ordered:
        at_s = round((line.at - start).total_seconds()) if found else 0
        least = found[-1].at_s + _APART_S if found else 0
        found.append(Chapter(max(at_s, least), _words(line, context)))
    return tuple(found)


def chapter_text(found: Iterable[Chapter]) -> str:
    """Write chapters, a line each: ``0:00 Meat on``; with hours where the film has some.

    Examples
    --------
    >>> print(chapter_text([Chapter(0, "Meat on"), Chapter(9600, "Wrapped in foil")]), end="")
    0:00:00 Meat on
    2:40:00 Wrapped in foil
    """
    rows = list(found)
    hours = bool(rows) and rows[-1].at_s >= 3600
    return "".join(f"{_clock(row.at_s, hours=hours)} {row.words}\n" for row in rows)


def _clock(at_s: int, *, hours: bool) -> str:
    minutes, seconds = divmod(at_s, 60)
    if not hours:
        return f"{minutes}:{seconds:02d}"
    return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"


def _words(line: LogLine, context: PaperContext) -> str:
    words = " ".join((said(line.what, line.data, context.units) or line.note).split())
    if line.what == "note":
        words = " ".join(line.note.split()) or "Note"
    of = f" ({line.piece})" if line.piece and len(context.pieces) > 1 else ""
    return f"{words[:1].upper()}{words[1:]}{of}"
