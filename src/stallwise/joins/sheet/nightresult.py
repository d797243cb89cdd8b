"""What a Result holds of the night: alarms to set, if-then lines, the next look, who gets up."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

__all__ = ["Alarm", "IfThen", "Look", "NightCard"]


@dataclass(frozen=True)
class Alarm:
    """One alarm to set on whatever thermometer there is.

    Attributes
    ----------
    letter : str
        Letter of the piece or the pit whose probe it is.
    whose : str
        What that is called: ``bone-in shoulder A``, ``pit``.
    kind : {"core_high", "core_low", "pit_low", "pit_high"}
        At which end it sounds; ``core_low`` for a piece that is held hot.
    temperature_c : float
        Where it is set, unrounded [°C].
    why : str
        What it means when it sounds.
    source : str
        Key behind the number: ``forecast``, or a row.
    """

    letter: str
    whose: str
    kind: str
    temperature_c: float
    why: str
    source: str


@dataclass(frozen=True)
class IfThen:
    """One line of the card: what may be found in the night, and what to do then."""

    when: str
    then: str
    source: str


@dataclass(frozen=True)
class Look:
    """One time at which somebody gets up.

    Attributes
    ----------
    at : datetime
        When, in the cook's zone, as the day sheet shows it.
    what : str
        What is done: ``2 splits on``, ``A: Wrap: foil``.
    who : str
        Name of whoever is up then; empty where nobody is named.
    """

    at: dt.datetime
    what: str
    who: str


@dataclass(frozen=True)
class NightCard:
    """What hangs beside the bed while something cooks: facts for one side of paper.

    Attributes
    ----------
    begins, ends : datetime
        The night [cook's zone]: from when on nobody need be up, until somebody is.
    alarms : tuple of Alarm
        To set on whatever thermometer there is.
    lines : tuple of IfThen
        Five, the likeliest trouble first.
    looks : tuple of Look
        When somebody gets up, in order; the first is the next look.
    shifts : tuple of (str, datetime, datetime)
        Who is up from when to when, where names are known.
    caution : str
        What may hurt, once, with its source.
    source : str
        Key of the group of numbers.
    """

    begins: dt.datetime
    ends: dt.datetime
    alarms: tuple[Alarm, ...]
    lines: tuple[IfThen, ...]
    looks: tuple[Look, ...]
    shifts: tuple[tuple[str, dt.datetime, dt.datetime], ...]
    caution: str
    source: str
