"""What a Result holds of a way to be in time after all: what to do, and what becomes of each piece."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.joins.spread import Spread, StageResult

__all__ = ["Remedy", "Touched", "Trouble"]


@dataclass(frozen=True)
class Touched:
    """What becomes of a piece when something is done now.

    Attributes
    ----------
    piece : str
        Letter.
    tender : StageResult
        When it is tender then.
    shift_h : Spread
        How much later than as it goes [h], negative sooner.
    odds_in_time : float or None
        Chance that it is tender, rested and carved by its serving time; None without one.
    serve_at : datetime or None
        Its serving time then.
    """

    piece: str
    tender: StageResult
    shift_h: Spread
    odds_in_time: float | None
    serve_at: dt.datetime | None


@dataclass(frozen=True)
class Remedy:
    """Something that can still be done now for a piece that is likely late, and what it does.

    Attributes
    ----------
    key : str
        Row of ``data/levers.csv``: ``now.wrap``.
    words : str
        What to do, in a cook's words and units.
    note : str
        What speaks against it as far as the forecast knows; empty for nothing.
    changes : mapping of parameter to text
        The same as settings; empty where no setting says it, such as "from now on".
    own : Touched
        The piece that it is done for.
    others : tuple of Touched
        Pieces that it moves too: what stands in the same pit, what is served with it.
    source : str
        Key of the row that says how far it is pulled.
    """

    key: str
    words: str
    note: str
    changes: Mapping[str, str]
    own: Touched
    others: tuple[Touched, ...]
    source: str


@dataclass(frozen=True)
class Trouble:
    """Something that went wrong, and two or three ways on.

    Attributes
    ----------
    key : {"fire_out", "rain", "guests_late", "out_of", "early"}
    words : str
        What is the matter, with its times.
    pieces : tuple of str
        Letters of what it bears on.
    ways : tuple of Remedy
        In the order of ``data/levers.csv``; each `own` is the first of `pieces`.
    caution : str
        What may hurt, with its source; empty for nothing.
    """

    key: str
    words: str
    pieces: tuple[str, ...]
    ways: tuple[Remedy, ...]
    caution: str = ""
