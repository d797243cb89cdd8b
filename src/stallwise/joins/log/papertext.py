"""Log lines in words: read back for a cook, and written as short lines."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.joins.log import vocabulary
from stallwise.joins.log.papercontext import PaperContext, paper_context
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine

__all__ = ["entry_words", "grouped_words", "short_line"]


def entry_words(line: LogLine, cook: PaperContext | CookRecord) -> str:
    """One log line read back: ``13:10 A: wrapped in foil``."""
    context = cook if isinstance(cook, PaperContext) else paper_context(cook)
    return grouped_words([line], context)[0]


def grouped_words(entries: Sequence[LogLine], context: PaperContext) -> list[str]:
    """Read log lines back; what several pieces share is said once."""
    groups: dict[tuple[str, str, str, str], list[LogLine]] = {}
    for entry in entries:
        words = vocabulary.said(entry.what, entry.data, context.units)
        key = (_clock(entry, context), words, entry.note, entry.pit)
        groups.setdefault(key, []).append(entry)
    found = []
    for (clock, words, note, pit), lines in groups.items():
        whose = ", ".join(dict.fromkeys(line.piece for line in lines if line.piece)) or pit
        if not whose:
            on_pit = vocabulary.words()[lines[0].what].whose == "pit" if lines else False
            whose = "" if on_pit or lines[0].what == "note" else "all pieces"
        place = (
            ""
            if lines[0].what != "pit_reading" or "place" in lines[0].data
            else f" at {_place(context)}"
        )
        found.append(
            f"{clock}{' ' if whose else ''}{whose}: {words}{place}" + (f" – {note}" if note else "")
        )
    return found


def _place(context: PaperContext) -> str:
    return {"grate": "the grate", "lid": "the lid", "oven": "the oven dial"}.get(
        context.pit_place, "a guess"
    )


def _clock(entry: LogLine, context: PaperContext) -> str:
    local = entry.at.astimezone(context.zone)
    day = "" if local.date() == context.date else f"{local:%a} "
    return f"{'about ' if entry.about else ''}{day}{local:%H:%M}"


def short_line(line: LogLine, context: PaperContext) -> str:
    """Write a log line as a short line that reads back the same.

    Parameters
    ----------
    line : LogLine
        Of whole minutes.
    context : PaperContext
        Of the cook it belongs to.
    """
    local = line.at.astimezone(context.zone)
    clock = f"{local:%H:%M}"
    if local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset():
        clock += f" {local.tzname()}"
    head = f"{local:%Y-%m-%d} {'about ' if line.about else ''}{clock}"
    letter = line.piece or line.pit
    if line.what == "note":
        return " ".join(filter(None, [head, letter, f"note: {line.note}"]))
    words = vocabulary.phrase_of(line.what, line.data, context.units)
    remark = f" - {line.note}" if line.note else ""
    return " ".join(filter(None, [head, letter, words])) + remark
