"""Wall clocks: zone names, and a cook's times of day as instants."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from zoneinfo import ZoneInfo, available_timezones

from stallwise.ground.errors import InputError, nearest

__all__ = ["as_utc", "moment", "rfc3339", "split_clock", "zone"]

_CLOCK = re.compile(
    r"(?:(?P<date>\d{4}-\d{2}-\d{2})(?:[ T]|$))?"
    r"(?:(?P<noon>noon)|(?P<hour>\d{1,2})(?::(?P<minute>[0-5]\d)(?::00)?)?\s*(?P<half>[ap])?\.?(?(half)m\.?))?$",
    re.IGNORECASE,
)
#: Zone data knows these, but they keep no summer time, which is hardly ever meant.
_FIXED = frozenset({"EST", "MST", "HST"})
_CLOCK_ALLOWED = '"16:00", "4 pm" or "2026-09-26 16:00"'


def zone(name: str) -> ZoneInfo:
    """Time zone of an IANA name.

    Parameters
    ----------
    name : str
        ``Etc/UTC``, ``UTC`` or Region/City.

    Raises
    ------
    InputError
        Not such a name, or an abbreviation that keeps no summer time (EST).
    """
    if name not in _FIXED:
        try:
            return ZoneInfo(name)
        except (KeyError, ValueError, OSError):
            pass
    near = nearest(name, _places(), 2) if name.strip() else []
    raise InputError(
        f"{name!r} is not the name of a time zone",
        'an IANA name: "Etc/UTC", or Region/City as a phone or computer shows it under date and time',
        f"Nearest: {', '.join(near)}" if near else "",
    )


def _places() -> Iterable[str]:
    return (name for name in available_timezones() if "/" in name)


def split_clock(text: str) -> tuple[dt.date | None, dt.time]:
    """Date, if there is one, and time of day of a clock text.

    Parameters
    ----------
    text : str
        ``16:00``, ``4 pm``, ``noon``, or one of them after a date.

    Raises
    ------
    InputError
        None of these; or ``4:00``, which may be meant for the afternoon: both readings are
        offered.

    Examples
    --------
    >>> split_clock("4:30 pm")
    (None, datetime.time(16, 30))
    """
    match = _CLOCK.match(text.strip())
    if not match or not (match["noon"] or match["hour"]):
        raise InputError(f"{text!r} is not a clock time", _CLOCK_ALLOWED)
    try:
        day = dt.date.fromisoformat(match["date"]) if match["date"] else None
    except ValueError:
        raise InputError(f"{text!r} names no day of the calendar", _CLOCK_ALLOWED) from None
    if match["noon"]:
        return day, dt.time(12)
    return day, _time(text, match["hour"], match["minute"], (match["half"] or "").casefold())


def _time(text: str, hour: str, minute: str | None, half: str) -> dt.time:
    number, past = int(hour), int(minute or 0)
    if half:
        if not 1 <= number <= 12:
            raise InputError(f"{text!r} is not a clock time", _CLOCK_ALLOWED)
        return dt.time(number % 12 + (12 if half == "p" else 0), past)
    if minute is None or number > 23:
        raise InputError(f"{text!r} is not a clock time", _CLOCK_ALLOWED)
    if len(hour) == 1 and number:
        early, late = f"{number:02d}:{past:02d}", f"{number + 12:02d}:{past:02d}"
        raise InputError(
            f"{text!r} may be {early} or {late}", f'"{early}", "{late}" or "{number}:{past:02d} pm"'
        )
    return dt.time(number, past)


def moment(text: str, day: dt.date, where: ZoneInfo) -> dt.datetime:
    """Instant (UTC) of a clock text on a day.

    Parameters
    ----------
    text : str
        ``16:00`` or ``2026-09-26 16:00``, wall clock.
    day : date
        The cook's date, where the text names none.
    where : ZoneInfo
        The cook's zone.

    Returns
    -------
    datetime
        Aware, in UTC. In the hour that a clock change repeats it is the first one.

    Raises
    ------
    InputError
        Not a clock text, or a time that the zone skips that night.
    """
    said, time = split_clock(text)
    found = as_utc(dt.datetime.combine(said or day, time, tzinfo=where))
    if found.astimezone(where).time() != time:
        raise InputError(
            f"{text!r} does not exist on {said or day} in {where}: the clock goes forward over it",
            "a time an hour earlier or later",
        )
    return found


def as_utc(when: dt.datetime) -> dt.datetime:
    """Take an aware instant to UTC; one without a zone is refused."""
    if when.tzinfo is None:
        raise InputError(
            f"{when.isoformat(sep=' ')} says no time zone",
            "a time with its offset, as in 16:00+00:00",
        )
    return when.astimezone(dt.UTC)


def rfc3339(when: dt.datetime) -> str:
    """Write an instant as RFC 3339; UTC as ``Z``."""
    return when.isoformat().replace("+00:00", "Z")
