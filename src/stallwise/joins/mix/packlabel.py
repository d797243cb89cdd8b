"""What a pack says of itself: the day it was packed, and the solution that was put into the meat."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.ground.errors import CookWarning
from stallwise.record.schema import Cook, Piece

__all__ = ["label_warnings", "pack_age_days", "pack_words"]


def pack_age_days(cook: Cook, piece: Piece) -> int | None:
    """Days from packing to the cook; None where nobody wrote the date, or it lies after the cook."""
    if piece.pack_date is None or piece.pack_date > cook.date:
        return None
    return (cook.date - piece.pack_date).days


def pack_words(days: int | None) -> str:
    """``15 days before``; nothing is said about how long that may be, for the label says it."""
    if days is None:
        return ""
    return "the same day" if days == 0 else f"{days} day{'s' * (days != 1)} before"


def label_warnings(cook: Cook) -> tuple[CookWarning, ...]:
    """Ask about a pack that contradicts the cook, or whose salt is not known."""
    return tuple(found for piece in cook.pieces for found in _asked(cook, piece))


def _asked(cook: Cook, piece: Piece) -> Iterator[CookWarning]:
    if piece.pack_date is not None and piece.pack_date > cook.date:
        text = f"It was packed on {piece.pack_date}, after the cook on {cook.date}. Which date is wrong?"
        yield CookWarning("pack-date", text, piece.letter)
    if piece.label_solution and not piece.label_sodium:
        text = (
            f"The salt in its {piece.label_solution} of solution is not known and not counted: "
            'label_sodium = "250 mg per 4 oz", off the label.'
        )
        yield CookWarning("label-sodium", text, piece.letter)
