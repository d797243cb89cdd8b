"""Every forecast kept of one cook, held against what happened."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground.errors import StallwiseError
from stallwise.joins import timing
from stallwise.joins.learn.keptforecast import KeptForecast, kept_forecasts
from stallwise.joins.learn.outcome import Outcome, outcome
from stallwise.joins.learn.scored import Scored
from stallwise.joins.learn.scoring import score
from stallwise.joins.plan import piece_cut
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Piece

__all__ = ["CookScores", "ScoredForecast", "score_cook"]


@dataclass(frozen=True)
class ScoredForecast:
    """A forecast that was held against its outcome, with what it is sorted by."""

    record: CookRecord
    piece: Piece
    kept: KeptForecast
    happened: Outcome
    scored: Scored
    wrap: str


@dataclass(frozen=True)
class CookScores:
    """What became of the forecasts of one cook.

    Attributes
    ----------
    forecasts, hindcasts : tuple of ScoredForecast
        Made before the outcome was known, and after it.
    left_out : mapping of reason to int
        Forecasts that were not held against anything.
    waiting : tuple of KeptForecast
        Of pieces whose outcome is not known.
    """

    forecasts: tuple[ScoredForecast, ...]
    hindcasts: tuple[ScoredForecast, ...]
    left_out: Mapping[str, int]
    waiting: tuple[KeptForecast, ...]


def score_cook(record: CookRecord) -> CookScores:
    """Score the forecasts of one cook, each into its heap.

    Parameters
    ----------
    record : CookRecord
        With its forecasts, its log and its readings.
    """
    kept, unusable = kept_forecasts(record)
    left_out: Counter[str] = Counter()
    if unusable:
        left_out["cannot be used"] += unusable
    before: list[ScoredForecast] = []
    after: list[ScoredForecast] = []
    waiting: list[KeptForecast] = []
    pieces = {piece.letter: piece for piece in record.cook.pieces}
    happened = {letter: _outcome(record, piece) for letter, piece in pieces.items()}
    for one in kept:
        piece = pieces.get(one.piece)
        if piece is None or not _same(record, piece, one):
            left_out["of another piece, cut or finish than was cooked"] += 1
            continue
        end = happened[one.piece]
        if end is None:
            waiting.append(one)
        elif one.as_of >= end.seen_at:
            left_out["as of a moment when the outcome was known"] += 1
        else:
            wrap = _wrap(record, piece, one)
            row = ScoredForecast(record, piece, one, end, score(record.name, one, end), wrap)
            (after if one.made_at > end.seen_at else before).append(row)
    return CookScores(tuple(before), tuple(after), dict(left_out), tuple(waiting))


def _outcome(record: CookRecord, piece: Piece) -> Outcome | None:
    try:
        return outcome(record, piece)
    except StallwiseError:
        # A cut that is no longer in the cookbook: nobody knows which finish was meant.
        return None


def _same(record: CookRecord, piece: Piece, kept: KeptForecast) -> bool:
    """Whether a forecast was of what was cooked; older lines do not say of what they were."""
    if kept.cut and kept.cut != piece.cut:
        return False
    try:
        finish = piece_cut(record, piece).finish(piece.finish).words
    except StallwiseError:
        return False
    return not kept.finish or kept.finish == finish


def _wrap(record: CookRecord, piece: Piece, kept: KeptForecast) -> str:
    """Wrap as logged, or else as planned."""
    logged = [
        str(line.data.get("kind") or "")
        for line in timing.seen(record, None)
        if line.what == "wrapped" and timing.concerns(line, piece)
    ]
    return next((kind for kind in reversed(logged) if kind), kept.wrap or "none")
