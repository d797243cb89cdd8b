"""Cooked one day, eaten another: chilled after the rest and reheated, with the times that rules allow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from stallwise.ground import units
from stallwise.ground.errors import CookWarning
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.stepdraft import Clocks, SheetDay, after, make_step, tender_of
from stallwise.record.schema import Piece
from stallwise.tables.limits import clock, minimum

__all__ = ["chill_s", "chill_steps", "kept_too_long", "reheat_s"]


def reheat_s(piece: Piece) -> float | None:
    """Time that a chilled piece is given to come up again [s]; None where it is not chilled."""
    return units.parse("duration", piece.reheat, key="reheat") if piece.reheat else None


def chill_s(piece: Piece) -> float:
    """From its rest back to hot [s], at the least: cooled as long as the rule allows, and reheated.

    References
    ----------
    [fda-food-code]_
    """
    again_s = reheat_s(piece)
    return 0.0 if again_s is None else clock("cool-total").limit_s + again_s


def chill_steps(
    piece: SheetPiece, day: SheetDay, rested: Clocks, ready: dt.datetime
) -> Iterator[Step]:
    """Into the cold after the rest, read cold, and back in the heat in time to be cut.

    Parameters
    ----------
    piece : SheetPiece
        One with `reheat`.
    day : SheetDay
        Its day.
    rested : Clocks
        When it has rested.
    ready : datetime
        When it has to be hot for the knife.
    """
    again_s = reheat_s(piece.piece)
    if again_s is None:
        return
    first, whole, hot = clock("cool-first"), clock("cool-total"), minimum("leftovers")
    warm, cold, line = (
        units.format_temperature(each, day.units)
        for each in (first.to_c or 0.0, whole.to_c or 0.0, hot.temperature_c)
    )
    within = [units.format_duration(each.limit_s) for each in (first, whole)]
    yield make_step(
        "chill", piece.letter, rested.middle, (rested.low, rested.high), piece=piece.letter,
        until=f"{warm} within {within[0]}, {cold} within {within[1]} in all",
    )  # fmt: skip
    by = after(rested.middle, whole.limit_s)
    yield make_step(
        "chilled", piece.letter, by, (after(rested.low, first.limit_s), by), piece=piece.letter,
        until=f"the thickest spot reads {cold} or less",
    )  # fmt: skip
    back = max(after(ready, -again_s), by)
    yield make_step(
        "reheat", piece.letter, back, (back, back), piece=piece.letter,
        until=f"the coldest spot reads {line}, within {units.format_duration(clock('reheat').limit_s)}",
        detail=units.format_duration(again_s),
    )  # fmt: skip


def kept_too_long(pieces: Sequence[SheetPiece]) -> list[CookWarning]:
    """Say which chilled pieces would be kept for longer than cooked meat is, on the usual day."""
    longest = clock("leftovers-fridge")
    found = []
    for piece in pieces:
        tender = tender_of(piece)
        if piece.serve_at is None or not piece.chill_s or tender is None:
            continue
        wait_s = (piece.serve_at - after(tender.middle, piece.rest_s)).total_seconds()
        if wait_s > longest.limit_s:
            text = (
                f"Chilled it waits longer than {units.format_duration(longest.limit_s)}, the longest "
                "that cooked meat is kept in a fridge (USDA FSIS). Cook it later, or freeze it."
            )
            found.append(CookWarning("kept-too-long", text, piece.letter))
    return found
