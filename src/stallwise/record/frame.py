"""What helps to read a log: what the cook's folder knows, and what the cook said of the file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from stallwise.ground.errors import InputError

__all__ = ["Answers", "Frame"]


@dataclass(frozen=True)
class Frame:
    """What is known of a cook that helps to read its readings.

    Attributes
    ----------
    zone : str
        IANA zone of times without an offset.
    day : date
        Date of the cook.
    zero : datetime, optional
        First piece on, the zero of elapsed time.
    pieces, pits : tuple of str
        Letters.
    set_c : mapping of str to (float, float)
        Lowest and highest temperature each pit was set to [°C].
    home : str
        Zone that times are shown in; by default `zone`.
    """

    zone: str
    day: dt.date
    zero: dt.datetime | None = None
    pieces: tuple[str, ...] = ()
    pits: tuple[str, ...] = ("P",)
    set_c: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    home: str = ""


@dataclass(frozen=True)
class Answers:
    """What the cook said of a file, where the file itself leaves it open.

    Attributes
    ----------
    unit : {"C", "F"}, optional
        Unit of the columns whose header names none.
    day_first : bool, optional
        How dates such as 12/06/2027 are written; by default the whole file tells, or it is asked.
    hours : {12, 24}, optional
        How clock times without am or pm are read.
    start : datetime, optional
        When the first reading was taken; all times move with it.
    shift_s : float, optional
        How much later than the file says everything was [s]: its clock was wrong. 0 says that it
        was right.
    every_s : float, optional
        Time from row to row [s], for a file without times.
    columns : mapping of str to str
        Column to what it measures: a letter, ``pit``, ``grate``, ``lid``, ``oven``, ``skip``, with
        a unit after it where the header is wrong (``pit C``); or ``time``, ``minutes``, ``hours``,
        ``seconds`` for the column of times.
    rows : mapping of str to str
        Column to the value that rows must have in it; other rows are another cook's.
    """

    unit: Literal["C", "F"] | None = None
    day_first: bool | None = None
    hours: Literal[12, 24] | None = None
    start: dt.datetime | None = None
    shift_s: float | None = None
    every_s: float | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    rows: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what no file can mean."""
        if self.unit not in {None, "C", "F"}:
            raise InputError(f"unit {self.unit!r}", "C or F")
        if self.hours not in {None, 12, 24}:
            raise InputError(f"a clock of {self.hours!r} hours", "12 or 24")
        if self.start is not None and self.shift_s is not None:
            raise InputError("a start and a shift of the times", "one of the two")
        if self.every_s is not None and not 0 < self.every_s <= 86_400:
            raise InputError(f"{self.every_s!r} s from row to row", "more than 0 s, up to a day")
