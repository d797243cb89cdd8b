"""The time at the head of a short line: clocks as people write them, and elapsed time."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from stallwise.ground import units
from stallwise.ground.errors import InputError

__all__ = [
    "LocalTime",
    "Stamp",
    "is_skipped",
    "local_times",
    "take_day",
    "take_stamp",
    "trailing_stamp",
]

_ABOUT = r"(?:about|around|abt\.?|roughly|approx\.?|circa|ca\.?|c\.|~|≈)\s*"
_AT = r"(?:at\b|@)\s*"
_HALF = r"(?:\s?(?P<half>[ap]\.?m\b\.?)|(?P<short>[ap])(?![\w.]))"
_END = r"(?=$|[\s,;:)\-–—])"
_CLOCKS = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"(?P<h>\d{{1,2}})[:.h](?P<m>\d{{2}})(?::(?P<s>\d{{2}}))?{_HALF}?(?P<ish>\s?-?ish)?{_END}",
        rf"(?P<h>\d{{1,2}}){_HALF}{_END}",
        rf"(?P<h>\d{{1,2}})(?P<m>\d{{2}})(?:{_HALF}|(?P<ish>\s?-?ish)|\s?h(?:rs?)?\b)?{_END}",
        rf"(?P<h>\d{{1,2}})(?:(?P<ish>\s?-?ish)|\s?o['’]clock){_HALF}?{_END}",
    )
)
_HOUR = re.compile(rf"(?P<h>\d{{1,2}}){_END}")
_NAMED = {"noon": (12, "pm"), "midday": (12, "pm"), "midnight": (12, "am")}
_NAME = re.compile(r"(?:12\s*)?(noon|midday|midnight)(?P<ish>\s?-?ish)?\b", re.IGNORECASE)
_CLOCK_WORDS = (
    r"\d{1,2}[:.]\d{2}(?:\s?[ap]\.?m?\.?)?(?:\s?-?ish)?(?:\s[A-Z]{2,5})?|\d{1,2}\s?[ap]\.?m\.?|"
    r"\d{4}(?:\s?h(?:rs?)?)?(?:\s?-?ish)?|(?:12\s)?(?:noon|midday|midnight)|\+\d[\d:]*\s?[hm]?"
)
#: A bare hour or three digits at the end are a time only behind such a word.
_MARKED_END = re.compile(
    rf"\s(?P<lead>(?:(?:at|@|about|around|~)\s*)+)(?P<clock>{_CLOCK_WORDS}|\d{{1,2}}(?:\s?-?ish)?)$",
    re.IGNORECASE,
)
_BARE_END = re.compile(
    rf"\s(?P<lead>~?)(?P<clock>{_CLOCK_WORDS}|\d{{1,2}}\s?-?ish)$", re.IGNORECASE
)
_ELAPSED = re.compile(
    r"\+\s*(?P<time>\d{1,2}:\d{2}(?::\d{2})?|\d+\s*h(?:rs?)?\s*\d{1,2}(?:\s*m(?:ins?)?)?|"
    r"[\d.,/½¼¾⅓⅔ ]*[\d½¼¾⅓⅔]\s*(?:hours?|hrs?|h|minutes?|mins?|m)\.?"
    r"(?:\s*\d{1,2}\s*(?:minutes?|mins?|m))?)" + _END,
    re.IGNORECASE,
)
_DATE = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T,]\s*|\s+|$)")
_WEEKDAY = re.compile(
    r"(mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun)(?:day|nesday|sday|rsday|urday)?\b[.,:]?\s*",
    re.IGNORECASE,
)
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True)
class Stamp:
    """A time as written.

    Attributes
    ----------
    hour, minute, second : int
        As written.
    half : str
        ``am``, ``pm`` or empty.
    whole_day : bool
        Reads on a 24-hour clock only: ``13:10``, ``09:15``, ``00:40``.
    digits : bool
        Bare digits with no mark between, which could be another number.
    named : bool
        A word for a time, ``noon``.
    about : bool
        A guess.
    date, weekday : date, int or None
        Where the line names its day; Monday is 0.
    headed : bool
        Its day is that of a heading above it, not its own.
    zone_name : str
        ``EDT`` in ``01:30 EDT``, for the hour that comes twice.
    elapsed_s : float or None
        Time since meat on, instead of a clock.
    said : str
        The words it was read from.
    """

    hour: int = 0
    minute: int = 0
    second: int = 0
    half: str = ""
    whole_day: bool = False
    digits: bool = False
    named: bool = False
    about: bool = False
    date: dt.date | None = None
    weekday: int | None = None
    headed: bool = False
    zone_name: str = ""
    elapsed_s: float | None = None
    said: str = ""

    def hours(self) -> tuple[int, ...]:
        """Hours of the day that it can mean; 24 is midnight at the day's end."""
        if self.half:
            return (self.hour % 12 + (12 if self.half == "pm" else 0),)
        if self.whole_day or self.hour > 12:
            return (self.hour,)
        return (self.hour % 12, self.hour % 12 + 12)


@dataclass(frozen=True)
class LocalTime:
    """An instant that a stamp can mean.

    Attributes
    ----------
    at : datetime
        In UTC.
    literal : bool
        Read as written on a 24-hour clock.
    twice : bool
        The clock shows this time twice that night.
    doubt : str
        Why it is hardly meant; it only stands against another reading.
    """

    at: dt.datetime
    literal: bool
    twice: bool = False
    doubt: str = ""


def take_day(text: str) -> tuple[dt.date | None, int | None, str]:
    """Take a date or weekday off the head of a line; what is left comes last."""
    match = _DATE.match(text)
    if match:
        try:
            return dt.date.fromisoformat(match[1]), None, text[match.end() :].lstrip()
        except ValueError:
            return None, None, text
    match = _WEEKDAY.match(text)
    if match:
        return None, _DAYS.index(match[1][:3].casefold()), text[match.end() :]
    return None, None, text


def take_stamp(text: str, zone_names: frozenset[str] = frozenset()) -> tuple[Stamp | None, str]:
    """Take a time off the head of a line.

    Parameters
    ----------
    text : str
        The line without what stands before its time.
    zone_names : set of str
        Abbreviations that the cook's zone uses.

    Returns
    -------
    tuple of Stamp or None, and str
        None where the line does not begin with a time; then the text is as it came.

    Raises
    ------
    InputError
        It begins like a time and is none, such as ``13:75``.
    """
    date, weekday, rest = take_day(text)
    rest = re.sub(f"^{_AT}", "", rest, flags=re.IGNORECASE)
    about = re.match(_ABOUT, rest, re.IGNORECASE)
    if about:
        rest = re.sub(f"^{_AT}", "", rest[about.end() :], flags=re.IGNORECASE)
    elapsed = _ELAPSED.match(rest)
    if elapsed:
        stamp = Stamp(elapsed_s=units.parse_duration_s(elapsed["time"]), about=bool(about))
        return replace(stamp, said=elapsed[0].strip()), rest[elapsed.end() :]
    found = _clock(rest, hour_alone=bool(about))
    if found is None:
        return None, text
    stamp, rest = found
    zone = re.match(r"\s+([A-Z]{2,5}|[+-]\d{2})(?=\s|$)", rest)
    if zone and zone[1] in zone_names:
        stamp, rest = replace(stamp, zone_name=zone[1]), rest[zone.end() :]
    # A written-out date goes with a 24-hour clock.
    whole_day = stamp.whole_day or (date is not None and not stamp.half)
    about_it = bool(about) or stamp.about
    return replace(stamp, about=about_it, date=date, weekday=weekday, whole_day=whole_day), rest


def trailing_stamp(text: str, zone_names: frozenset[str] = frozenset()) -> tuple[Stamp | None, str]:
    """Take a time off the end of a line: ``foil on 13:10``, ``off at 2``, ``wrap noon``."""
    for match in (_MARKED_END.search(text), _BARE_END.search(text)):
        if not match:
            continue
        # Behind "at" or "about" an hour may stand alone.
        said = f"{match['lead'] or ''}{match['clock']}"
        alone = match["clock"].isdigit() and len(match["clock"]) < len("100")
        try:
            stamp, left = take_stamp(f"about {said}" if alone else said, zone_names)
        except InputError:
            continue
        if stamp and not left.strip():
            loose = stamp.about and (not alone or bool(re.search(_ABOUT, said, re.IGNORECASE)))
            return replace(stamp, about=loose), text[: match.start()]
    return None, text


def _clock(text: str, *, hour_alone: bool) -> tuple[Stamp, str] | None:
    name = _NAME.match(text)
    if name:
        hour, half = _NAMED[name[1].casefold()]
        stamp = Stamp(hour, half=half, named=True, about=bool(name["ish"]), said=name[0])
        return stamp, text[name.end() :]
    for pattern in (*_CLOCKS, *([_HOUR] if hour_alone else [])):
        match = pattern.match(text)
        if match:
            return _read(match), text[match.end() :]
    return None


def _read(match: re.Match[str]) -> Stamp:
    part = match.groupdict()
    hour, minute = int(part["h"]), int(part.get("m") or 0)
    second = int(part.get("s") or 0)
    half = (part.get("half") or part.get("short") or "").casefold()[:1]
    wrong = minute > 59 or second > 59 or hour > 24 or (hour == 24 and minute > 0)
    if wrong or (half and hour == 0) or (half == "a" and hour > 12):
        raise InputError(
            f"{match[0].strip()!r} is not a clock time",
            "1310, 13:10, 1:10 pm, or +2:40 after meat on",
        )
    return Stamp(
        hour, minute, second, {"a": "am", "p": "pm"}.get(half, "") if hour <= 12 else "",
        whole_day=not half and (hour > 12 or part["h"].startswith("0")),
        digits=match[0].strip().isdigit(),
        about=bool(part.get("ish")),
        said=match[0].strip(),
    )  # fmt: skip


def local_times(stamp: Stamp, date: dt.date, zone: ZoneInfo) -> Iterator[LocalTime]:
    """Instants that a clock stamp can mean on one date.

    None for a time that was skipped, both for one that came twice.
    """
    for hour in stamp.hours():
        day = date + dt.timedelta(days=1) if hour == 24 else date
        naive = dt.datetime.combine(day, dt.time(hour % 24, stamp.minute, stamp.second))
        both = {fold: naive.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC) for fold in (0, 1)}
        there = {
            fold: at
            for fold, at in both.items()
            if at.astimezone(zone).replace(tzinfo=None) == naive
        }
        named = {
            fold: at for fold, at in there.items()
            if at.astimezone(zone).tzname() == stamp.zone_name
        }  # fmt: skip
        chosen = sorted(set((named if stamp.zone_name else there).values()))
        for at in chosen:
            yield LocalTime(at, literal=hour == stamp.hour, twice=len(set(there.values())) > 1)


def is_skipped(stamp: Stamp, date: dt.date, zone: ZoneInfo) -> bool:
    """Whether the clocks went forward over this time on that date."""
    for hour in stamp.hours():
        naive = dt.datetime.combine(date, dt.time(hour % 24, stamp.minute))
        shown = naive.replace(tzinfo=zone).astimezone(dt.UTC).astimezone(zone)
        if hour < 24 and shown.replace(tzinfo=None) != naive:
            return True
    return False
