"""What a Result holds of what readings suggest."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

__all__ = ["Inferred"]


@dataclass(frozen=True)
class Inferred:
    """Something that readings suggest, which nobody may have written down.

    Attributes
    ----------
    kind : str
        ``meat_on``, ``lid_open``, ``stall``, ``wrapped``, ``probe_moved``, ``probe_suspect``,
        ``pit_sag``, ``feel_check`` (time for one, never its verdict) or ``off``.
    piece, pit : str
        Letter of what the probe measured; the other one is empty.
    at, elapsed_h : datetime, float
        When it began, and how long after the first meat on [h].
    until : datetime or None
        When it was over; None while it lasts, and for a moment.
    temperature_c : float or None
        What the probe read then [°C]; of a stall the middle.
    confidence : float
        0 to 1; a judgement, no share of days.
    words : str
        The same as a word: ``likely`` or ``perhaps``.
    why : str
        What in the readings says so.
    agrees_with : str
        What was logged near it: the key of the log word; empty where nothing was.
    """

    kind: str
    piece: str
    pit: str
    at: dt.datetime
    elapsed_h: float
    until: dt.datetime | None
    temperature_c: float | None
    confidence: float
    words: str
    why: str
    agrees_with: str = ""
