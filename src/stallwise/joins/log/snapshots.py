"""Pictures beside the log: when each was taken by a camera's clock put right, and what it lies near."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.papertext import entry_words
from stallwise.joins.log.vocabulary import said
from stallwise.record.camera import Taken
from stallwise.record.log import LogLine

__all__ = ["Snapshot", "matched_s", "snapshot", "typed_line"]

#: A line so near is likely what the picture shows.
_NEAR = dt.timedelta(minutes=15)
#: What is further from the cook was taken on another day, or by a clock that is wrong.
_FAR = dt.timedelta(hours=36)


@dataclass(frozen=True)
class Snapshot:
    """What is proposed for one picture.

    Attributes
    ----------
    at : datetime or None
        When it was taken, in the cook's zone; None where the camera did not say.
    words : str
        The same for a cook, with the line that it lies near.
    caption : str
        What it likely shows, to be mended; empty where nothing is near.
    """

    at: dt.datetime | None
    words: str
    caption: str


def snapshot(
    taken: Taken | None, lines: Sequence[LogLine], context: PaperContext, shift_s: float
) -> Snapshot:
    """Propose a time for a picture.

    Parameters
    ----------
    taken : Taken or None
        What the camera wrote into it.
    lines : sequence of LogLine
        Logged, and understood but not written yet.
    context : PaperContext
        What is known of the cook.
    shift_s : float
        To be added to what the camera says [s].
    """
    if taken is None:
        return Snapshot(None, "no time in it: type one with what happened", "")
    at = taken.at(context.zone, shift_s).astimezone(context.zone)
    middle = context.served or dt.datetime.combine(context.date, dt.time(12), context.zone)
    day = "" if at.date() == context.date else f"{at:%a %d %b} "
    clock = f"{day}{at:%H:%M}"
    if abs(at - middle) > _FAR:
        return Snapshot(at, f"{at:%Y-%m-%d %H:%M}, far from this cook: is its clock right?", "")
    near = min(lines, key=lambda line: abs(line.at - at), default=None)
    if near is None or abs(near.at - at) > _NEAR:
        return Snapshot(at, f"{clock}, no line near it", "")
    words = said(near.what, near.data, context.units)
    of = f" ({near.piece})" if near.piece and len(context.pieces) > 1 else ""
    caption = f"{words[:1].upper()}{words[1:]}{of}"
    return Snapshot(at, f"{clock}, {_apart(at, near)} {entry_words(near, context)}", caption)


def matched_s(taken: Taken, line: LogLine, context: PaperContext) -> float:
    """Shift of a camera whose picture shows what a line says [s]."""
    return (line.at - taken.at(context.zone)).total_seconds()


def typed_line(at: dt.datetime, words: str) -> str:
    """Short line for the sheet that says what happened when a picture was taken.

    With its date: it stands below the other lines, whatever their hours are.
    """
    return f"{at:%Y-%m-%d %H:%M} {words.strip()}"


def _apart(at: dt.datetime, line: LogLine) -> str:
    minutes = round((at - line.at).total_seconds() / 60)
    if not minutes:
        return "at the minute of"
    return f"{abs(minutes)} min {'after' if minutes > 0 else 'before'}"
