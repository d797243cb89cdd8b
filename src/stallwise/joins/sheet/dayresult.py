"""What a Result holds of the day: its steps, the gear, who lies where in a pit."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

__all__ = ["GearLine", "GoneStep", "PitLoad", "ShelfLoad", "Step"]


@dataclass(frozen=True)
class Step:
    """One step of the day sheet, planned, with what was logged beside.

    Attributes
    ----------
    hands_s : float
        How long somebody is bound by it [s]; 0 where nobody is.
    person : str
        Whose it is, ``1`` to as many as there are people; empty where nobody was counted.
    due_at, odds : datetime, float
        The latest it may be for its piece to be served in time, and the chance of that; None where
        serving does not hang on it.
    was_at : datetime or None
        Where it stood on the sheet printed last.
    change : str
        Against that sheet: ``moved``, ``new``, or empty.
    """

    id: str
    what: str
    piece: str
    pit: str
    at: dt.datetime
    earliest: dt.datetime
    latest: dt.datetime
    until_sign: str
    detail: str
    caution: str
    done_at: dt.datetime | None
    source: str
    hands_s: float = 0.0
    person: str = ""
    due_at: dt.datetime | None = None
    odds: float | None = None
    was_at: dt.datetime | None = None
    change: str = ""


@dataclass(frozen=True)
class GoneStep:
    """A step that stood at `was_at` on the sheet printed last, and is none any more."""

    what: str
    piece: str
    pit: str
    was_at: dt.datetime


@dataclass(frozen=True)
class GearLine:
    """One thing that a day needs laid out.

    Attributes
    ----------
    key, what : str
        Its name, in a table and to a cook.
    amount, unit : float, str
        How much: metres, or how many where `unit` is empty.
    text : str
        The same in the cookbook's units, rounded up.
    source : str
        Key of the row behind it.
    """

    key: str
    what: str
    amount: float
    unit: str
    text: str
    source: str


@dataclass(frozen=True)
class ShelfLoad:
    """A shelf: which pieces lie on it, how many of each, and what share of it they take with air between."""

    name: str
    pieces: tuple[tuple[str, int], ...]
    share: float


@dataclass(frozen=True)
class PitLoad:
    """What lies in a pit from one change to the next, its shelves from the top down."""

    pit: str
    since: dt.datetime
    until: dt.datetime
    shelves: tuple[ShelfLoad, ...]
