"""Guesses that were written down before the forecast was shown, held against what happened as the tally does."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from stallwise.joins import timing
from stallwise.joins.learn.keptforecast import KeptForecast, kept_forecasts
from stallwise.joins.learn.outcome import outcome
from stallwise.models.rules import RuleHours
from stallwise.models.scores import likely_times
from stallwise.record import clocks
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Piece

__all__ = ["Guess", "Guessed", "guessed"]

_HOUR_S = 3600.0


@dataclass(frozen=True)
class Guess:
    """A guess: how long after its meat on it is tender [h], and when it was written down."""

    hours_h: float
    at: dt.datetime


@dataclass(frozen=True)
class Guessed:
    """One piece: the team's guess, hours per pound, the forecast as kept, and what happened.

    Attributes
    ----------
    piece, pit : str
    guess : Guess or None
    first : bool or None
        It was written down before the forecast was kept in class; None where one of them is not there.
    rule_h : (float, float, float) or None
        What hours per pound say [h].
    forecast_h : (float, float, float) or None
        Window of four days in five and its middle, as first kept in class, else as kept last before [h].
    happened_h : (float, float) or None
        Between the last look that said not yet and the first that said tender [h].
    off_h : mapping of str to float
        How far ``guess``, ``hours per pound`` and ``forecast`` were off [h], at the same moments that are
        equally likely between the looks; empty until both looks are there.
    nearest : str
        Which of them was nearest; empty likewise.
    """

    piece: str
    pit: str
    guess: Guess | None
    first: bool | None
    rule_h: tuple[float, float, float] | None
    forecast_h: tuple[float, float, float] | None
    happened_h: tuple[float, float] | None
    off_h: Mapping[str, float]
    nearest: str


def guessed(record: CookRecord, piece: Piece, rule: RuleHours | None) -> Guessed:
    """Lay a piece's guess beside hours per pound, the forecast and what happened.

    Parameters
    ----------
    record : CookRecord
    piece : Piece
    rule : RuleHours or None
        Hours per pound of it, where cooks have such a rule.
    """
    guess = _guess(record, piece)
    kept, shown = _kept(record, piece)
    came = outcome(record, piece)
    two_sided = came is not None and came.two_sided
    off = _off(guess, rule, kept, (came.low_h, came.high_h)) if came and two_sided else {}
    return Guessed(
        piece.letter,
        piece.pit or "",
        guess,
        guess.at <= kept.made_at if guess and kept and shown else None,
        (rule.low_h, rule.middle_h, rule.high_h) if rule else None,
        kept.window_h if kept else None,
        (came.low_h, came.high_h) if came and two_sided else None,
        off,
        min(off, key=lambda name: off[name]) if off else "",
    )


def _kept(record: CookRecord, piece: Piece) -> tuple[KeptForecast | None, bool]:
    """Find the first forecast kept in class, and whether it was; else the last that was kept before."""
    mine = [one for one in kept_forecasts(record)[0] if one.piece == piece.letter]
    lesson = record.cook.lesson
    begins = clocks.moment(lesson.begins, record.cook.date, record.zone) if lesson else None
    in_class = [one for one in mine if begins is None or one.made_at >= begins]
    if in_class:
        return in_class[0], True
    return (mine[-1] if mine else None), False


def _guess(record: CookRecord, piece: Piece) -> Guess | None:
    """Read the last guess of a piece, or of its pit's team."""
    lines = [
        line
        for line in timing.seen(record, None)
        if line.what == "guess" and (line.piece or line.pit) and timing.concerns(line, piece)
    ]
    return Guess(float(lines[-1].data["duration_s"]) / _HOUR_S, lines[-1].at) if lines else None


def _off(
    guess: Guess | None,
    rule: RuleHours | None,
    kept: KeptForecast | None,
    bracket: tuple[float, float],
) -> dict[str, float]:
    if kept is not None:
        times = likely_times(kept.hours, kept.probabilities, bracket)
    else:
        times = np.linspace(*bracket)
    middles = {
        "guess": guess.hours_h if guess else None,
        "hours per pound": rule.middle_h if rule else None,
        "forecast": kept.window_h[1] if kept else None,
    }
    return {
        name: float(np.mean(np.abs(times - middle)))
        for name, middle in middles.items()
        if middle is not None
    }
