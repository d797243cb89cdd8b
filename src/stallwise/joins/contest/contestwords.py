"""A contest day in words and tables, one set for terminal and paper."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.joins.contest.contestplan import ContestPlan, HandInPiece, HandInPlan
from stallwise.joins.tables import Table
from stallwise.joins.words import day_clock, hours, joined, odds_text

__all__ = ["handin_table", "more_words", "picked_table"]


def handin_table(plan: ContestPlan) -> Table:
    """Lay out each hand-in with its pieces: when they go on, how long they wait, how sure it is."""
    rows = []
    for one in plan.hand_ins:
        for at, piece in enumerate(one.pieces):
            first = at == 0
            rows.append(
                (
                    f"{one.at:%H:%M}" if first else "",
                    one.name if first else "",
                    f"{piece.letter}{f' × {piece.count}' if piece.count > 1 else ''}",
                    day_clock(piece.on_at, plan.date),
                    _waits(piece),
                    odds_text(piece.share),
                    odds_text(one.share) if first else "",
                )
            )
    header = ("at", "hand-in", "piece", "meat on", "waits", "as wanted", "any of them")
    return Table("Hand-ins", header, tuple(rows), "contest")


def _waits(piece: HandInPiece) -> str:
    waits = "" if piece.wait_h is None else f"about {hours(piece.wait_h, minutes=15)}"
    return f"{waits}, {piece.softness}" if waits and piece.softness else waits


def more_words(plan: ContestPlan) -> Iterator[str]:
    """Say what each piece more than is needed is worth, and where one line of alike pieces hides it."""
    for one in plan.hand_ins:
        if len(one.shares) > 1:
            letters = [piece.letter for piece in one.pieces]
            steps = [
                f"{joined(letters[: many + 1], 'and')} {odds_text(share)}"
                for many, share in enumerate(one.shares)
            ]
            yield f"{one.name.capitalize()}, {_wanted(one)}: {', '.join(steps)}."
        elif one.cooked > one.wanted:
            yield (
                f"{one.name.capitalize()}, {_wanted(one)}: all {one.cooked} are one line and cooked as one; with letters of "
                "their own they go on apart, and it is seen what one more is worth."
            )


def _wanted(one: HandInPlan) -> str:
    return f"{one.wanted} of {one.cooked}"


def picked_table(plan: ContestPlan) -> Table:
    """Lay out what was picked, why, and what came back; empty before anything was."""
    rows = [
        (
            f"{one.at:%H:%M}",
            one.name,
            joined(list(one.picked), "and"),
            one.why,
            one.photo,
            one.number,
            "; ".join(one.comments),
        )
        for one in plan.hand_ins
        if one.picked or one.why or one.comments or one.number
    ]
    return Table(
        "Handed in", ("at", "", "picked", "why", "picture", "number", "said"), tuple(rows), "log"
    )
