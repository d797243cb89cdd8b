"""Where a plan comes too late: no serving time, a start that has passed, a wrap after the meal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.result import PieceResult
from stallwise.joins.ways.remedy import Remedy
from stallwise.joins.words import ODDS, day_clock, joined, odds_text

__all__ = ["in_danger", "lateness", "ready_words"]


def lateness(
    pieces: Sequence[PieceResult],
    as_of: dt.datetime,
    *,
    fixed: Collection[str] = (),
    planned: bool = False,
    windowed: Collection[str] = (),
    unusual: Sequence[CookWarning] = (),
) -> list[CookWarning]:
    """Say where the plan cannot be had: no serving time, a start that has passed, too late in all.

    Parameters
    ----------
    pieces : sequence of PieceResult
    as_of : datetime
        Now.
    fixed : collection of str, optional
        Letters of pieces whose start the cook set.
    planned : bool, optional
        Nothing is on the pit yet.
    windowed : collection of str, optional
        Letters of pieces whose wrap the cook gave a time.
    unusual : sequence of CookWarning, optional
        What is unusual about plans: a pit that is far too hot makes any wrap a late one.
    """
    found = []
    for piece in pieces:
        if piece.serve_at is None:
            text = (
                "No serving time is set: clock times count from meat on at "
                f"{piece.on_at:%H:%M}.{ready_words(piece)}"
            )
            found.append(CookWarning("no-serve", text, piece.piece))
        elif planned and not piece.is_on and as_of >= piece.serve_at:
            text = (
                f"Serving at {piece.serve_at:%A %H:%M} has passed, and it is not on the pit: set "
                "another serving time, or log what was done."
            )
            found.append(CookWarning("serve-passed", text, piece.piece))
        elif (
            piece.piece not in fixed
            and not piece.is_on
            and (wanted := _wanted(piece))
            and wanted < as_of < piece.serve_at
        ):
            text = (
                f"With these odds the meat should have gone on at {wanted:%A %H:%M}, which has "
                f"passed. With the fire lit now it goes on at {piece.on_at:%H:%M}: bring the pit "
                f"up, wrap earlier, or serve later.{ready_words(piece)}"
            )
            found.append(CookWarning("start-passed", text, piece.piece))
        wrap = piece.wrap_window_h
        tender = piece.stages["tender"].elapsed_h.p50
        if wrap and tender is not None and wrap[0] > tender and not piece.stages["wrapped"].known:
            text = "The wrap is planned after the piece is most likely tender."
            found.append(CookWarning("wrap-after-tender", text, piece.piece))
        own = piece.piece in windowed  # a cut's own habit is warned of, not refused
        if own and (piece.piece in fixed or not _too_late_already(piece)):
            pit = [one.text for one in unusual if one.piece == piece.piece and "pit" in one.key]
            _refuse_late_wrap(piece, as_of, " ".join(pit))
    return found


def in_danger(
    pieces: Sequence[PieceResult], open_now: Sequence[Remedy], asked: str
) -> list[CookWarning]:
    """Say that a serving time is at risk, and what can still be done now.

    Parameters
    ----------
    pieces : sequence of PieceResult
        That are under way and less likely in time than was asked for.
    open_now : sequence of Remedy
        What can still be done for them.
    asked : str
        The odds asked for, in words.
    """
    found = []
    for piece in pieces:
        if piece.serve_at is None:
            continue
        eat = day_clock(piece.serve_at, piece.serve_at.date())
        text = (
            f"Serving at {eat} is at risk: ready in time {odds_text(piece.odds_in_time)}, and you "
            f"asked for {odds_text(ODDS[asked])} ({asked})."
        )
        mine = [one for one in open_now if one.own.piece == piece.piece]
        never = odds_text(0.0)
        said = [
            f"{one.words} ({odds})"
            for one in mine
            if (odds := odds_text(one.own.odds_in_time)) != never
        ]
        text += f" Still open now: {joined(said, 'or')}." if said else " Nothing helps any more."
        found.append(CookWarning("at-risk", text, piece.piece))
    return found


def ready_words(piece: PieceResult) -> str:
    """Say when it can be eaten, by the odds; empty where it is never ready."""
    day = (piece.serve_at or piece.on_at).date()
    said = [
        f"{day_clock(at, day)} ({words})" for words, at in piece.ready_at.items() if at is not None
    ]
    return f" Ready to eat by {', '.join(said)}." if said else ""


def _wanted(piece: PieceResult) -> dt.datetime | None:
    return next((chance.on_at for chance in piece.chances if chance.chosen), None)


def _too_late_already(piece: PieceResult) -> bool:
    """Whether the start has passed: then a late wrap is not the plan's fault."""
    wanted = _wanted(piece)
    return not piece.is_on and wanted is not None and wanted < piece.on_at


def _refuse_late_wrap(piece: PieceResult, as_of: dt.datetime, pit: str) -> None:
    """Refuse a wrap that begins after serving: it is no plan."""
    if piece.wrap_window_h is None or piece.serve_at is None or piece.stages["wrapped"].known:
        return
    begins = piece.on_at.astimezone(dt.UTC) + dt.timedelta(hours=piece.wrap_window_h[0])
    if begins > piece.serve_at and (as_of < piece.serve_at or not piece.is_on):
        raise InputError(
            f"piece {piece.piece} is wrapped from {begins.astimezone(piece.on_at.tzinfo):%H:%M}, "
            f"after it is served at {piece.serve_at:%H:%M}",
            "a wrap before serving",
            f'{pit} Change wrap_from, or wrap = "none"'.strip(),
        )
