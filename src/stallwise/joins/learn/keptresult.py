"""What a Result holds of forecasts that were kept: as it was told then, and what became of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.joins.learn.scored import Scored

__all__ = ["CookTally", "KeptWindow", "TallyRow"]


@dataclass(frozen=True)
class KeptWindow:
    """When a piece was expected to have its finish, as it was told at one moment.

    Attributes
    ----------
    piece : str
        Letter.
    made_at, as_of : datetime
        When it was told, and what it knew.
    as_of_h : float
        The same after the first meat on [h]; negative before.
    elapsed_h : (float, float, float or None)
        Early end, middle and late end of four days in five [h since the piece's own meat on]; no late
        end where it was later than was tried.
    clock : (datetime, datetime, datetime or None)
        The same on the clock.
    inside : float or None
        Share of what happened that lies inside [-]; None while nobody knows.
    """

    piece: str
    made_at: dt.datetime
    as_of: dt.datetime
    as_of_h: float
    elapsed_h: tuple[float, float, float | None]
    clock: tuple[dt.datetime, dt.datetime, dt.datetime | None]
    inside: float | None = None


@dataclass(frozen=True)
class TallyRow:
    """One forecast of one piece, held against its outcome.

    Attributes
    ----------
    piece, cut, wrap, model_version : str
        What it is sorted by.
    made_at, as_of : datetime
    low_h, high_h : float
        Between which it had its finish [h since meat on]; 0 and infinity where nobody looked.
    by_core : bool
        Core temperatures told of it.
    scored : Scored
    rule : Scored or None
        Hours per pound of the same piece, held against the same.
    """

    piece: str
    cut: str
    wrap: str
    model_version: str
    made_at: dt.datetime
    as_of: dt.datetime
    low_h: float
    high_h: float
    by_core: bool
    scored: Scored
    rule: Scored | None


@dataclass(frozen=True)
class CookTally:
    """The forecasts of one cook, each in its heap; what a tally adds up.

    Attributes
    ----------
    cook : str
        Name of its folder.
    date : date
    sample : bool
    forecasts, hindcasts : tuple of TallyRow
        Made before the outcome was known, and after it.
    left_out : mapping of reason to int
        Forecasts that were not held against anything.
    open_forecasts : int
        Of pieces whose outcome is not known.
    """

    cook: str
    date: dt.date
    sample: bool
    forecasts: tuple[TallyRow, ...]
    hindcasts: tuple[TallyRow, ...]
    left_out: Mapping[str, int]
    open_forecasts: int
