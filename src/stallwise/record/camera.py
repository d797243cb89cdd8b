"""The clock of a camera: what it wrote into a picture, and how far it is off, as a cook says it.

Times of pictures help to tell what happened when. They stay with the originals, in the cook's own
folder; no page is ever told them.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from stallwise.ground import units
from stallwise.ground.errors import InputError

__all__ = ["Taken", "shift_of", "shift_words"]

_ALLOWED = "'right', '1 h 2 min behind' or '3 min ahead'"
#: Which way a camera is off: to be added to what it said, or taken away.
_WAYS = {"behind": 1.0, "slow": 1.0, "late": 1.0, "ahead": -1.0, "fast": -1.0, "early": -1.0}


@dataclass(frozen=True)
class Taken:
    """When a camera says that a picture was taken.

    Attributes
    ----------
    clock : datetime
        What its clock showed, without a zone.
    offset : timedelta or None
        How far from UTC it took itself to be; None where it did not say.
    """

    clock: dt.datetime
    offset: dt.timedelta | None = None

    def at(self, zone: ZoneInfo, shift_s: float = 0.0) -> dt.datetime:
        """Instant (UTC) at which it was taken.

        Parameters
        ----------
        zone : ZoneInfo
            The cook's, where the camera names none.
        shift_s : float
            To be added to what the camera says [s].
        """
        where = zone if self.offset is None else dt.timezone(self.offset)
        said = self.clock.replace(tzinfo=where).astimezone(dt.UTC)
        return said + dt.timedelta(seconds=shift_s)


def shift_of(text: str) -> float:
    """Seconds to be added to what a camera says.

    Parameters
    ----------
    text : str
        ``right``, ``1 h 2 min behind``, ``3 min ahead``.

    Raises
    ------
    InputError
        Neither right nor a time with which way it is off.

    Examples
    --------
    >>> shift_of("3 min ahead")
    -180.0
    """
    said = " ".join(text.casefold().split())
    if said in {"", "right"}:
        return 0.0
    amount, _, way = said.rpartition(" ")
    if way not in _WAYS or not amount:
        raise InputError(f"the camera's clock is {text!r}", _ALLOWED)
    seconds = units.parse("duration", amount, key="camera")
    return _WAYS[way] * seconds


def shift_words(seconds: float) -> str:
    """Say a shift as `shift_of` reads it, to the minute.

    Examples
    --------
    >>> shift_words(3720.0)
    '1 h 2 min behind'
    """
    minutes = round(seconds / 60)
    if not minutes:
        return "right"
    return f"{units.format_duration(abs(minutes) * 60.0)} {'behind' if minutes > 0 else 'ahead'}"
