"""How the window was told from time to time, in words and as rows."""

from __future__ import annotations

import datetime as dt

from stallwise.joins import words
from stallwise.joins.learn.keptresult import KeptWindow
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.tables import Table

__all__ = ["kept_said", "kept_table", "told_at", "window"]

#: Of what happened at least so much lies inside a window that is called right.
_INSIDE = 0.5


def window(kept: KeptWindow, result: Result) -> str:
    """Say a window as it was said then: its ends rounded outwards, as far ahead as it looked."""
    low, _, high = kept.clock
    start = words.day_clock(low, result.date, kept.as_of, mode="down")
    if high is None:
        return f"from {start}, perhaps much later"
    return f"{start} to {words.day_clock(high, result.date, kept.as_of, mode='up')}"


def told_at(kept: KeptWindow, result: Result) -> str:
    """Say when a window was told: by the clock, or before meat on."""
    if kept.as_of.astimezone(dt.UTC) <= result.hour_zero.astimezone(dt.UTC):
        return "before meat on"
    return f"at {words.day_clock(kept.as_of, result.date)}"


def kept_said(result: Result) -> tuple[str, ...]:
    """Say of each piece how its window drew in, and whether it held; nothing where none was kept."""
    return tuple(
        said for piece in result.pieces if (said := _said(_of(piece, result), piece, result))
    )


def _of(piece: PieceResult, result: Result) -> list[KeptWindow]:
    return [one for one in result.kept if one.piece == piece.piece]


def _said(told: list[KeptWindow], piece: PieceResult, result: Result) -> str:
    if not told:
        return ""
    head = f"{piece.piece}: told" if len(result.pieces) > 1 else "Told"
    parts = [f"{head} {told_at(told[0], result)}, {window(told[0], result)}"]
    if len(told) > 1:
        parts.append(f"told {told_at(told[-1], result)}, {window(told[-1], result)}")
    if piece.finish_seen is not None:
        parts.append(words.finish_seen(piece, result))
    known = [one.inside >= _INSIDE for one in told if one.inside is not None]
    if known:
        parts.append(_right(known))
    return f"{'; '.join(parts)}."


def _right(known: list[bool]) -> str:
    if len(known) == 1:
        return "inside what was told" if known[0] else "outside what was told"
    if all(known):
        return "inside each time"
    return f"inside {sum(known)} of {len(known)} times" if any(known) else "outside each time"


def kept_table(result: Result) -> Table:
    """Lay out every window that was told, oldest first.

    Parameters
    ----------
    result : Result
        The day.
    """
    many = len(result.pieces) > 1
    rows = tuple(
        (
            one.piece if many else "",
            told_at(one, result),
            window(one, result),
            "–" if one.elapsed_h[2] is None else words.hours(one.elapsed_h[2] - one.elapsed_h[0]),
            "" if one.inside is None else "inside" if one.inside >= _INSIDE else "outside",
        )
        for one in result.kept
    )
    header = ("piece", "told", "four days in five", "wide", "it was")
    return Table("The forecast as it was told", header, rows, "kept")
