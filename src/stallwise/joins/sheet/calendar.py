"""Steps of the day sheet as a calendar file that a phone reads [rfc-5545]_.

A calendar tells an update from a second event by its name (UID), and a newer update from an
older one by its number (SEQUENCE) and its stamp (DTSTAMP). So that these are right, what was
given out before has to be known: `calendar_file` takes it and gives back what to keep.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

import icalendar

from stallwise.ground.errors import InputError
from stallwise.joins.instants import is_second_hour, later, wall
from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.readers import people_words, steps_for
from stallwise.joins.sheet.sheetwords import kind_of, step_clock, step_span
from stallwise.joins.sheet.steptable import step_row

__all__ = ["CalendarFile", "calendar_file"]

_PRODUCT = "-//stallwise//day sheet//EN"
_NOW = dt.timedelta(0)
_LINE_END = re.compile("\r\n?|[\x85\u2028\u2029]")
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")
#: Done for all plates at once.
_TOGETHER = frozenset({"carry", "serve"})


@dataclass(frozen=True)
class CalendarFile:
    """A calendar as made: its text with CRLF line ends, and what to keep of it, plain data."""

    text: str
    given: dict[str, Any]


@dataclass(frozen=True)
class _Entry:
    """One event: what it says, and which version of it this is."""

    uid: str
    starts: dt.datetime
    ends: dt.datetime
    summary: str
    description: str
    rings: bool
    cancelled: bool = False
    sequence: int = 0
    stamp: dt.datetime | None = None

    def plain(self) -> dict[str, Any]:
        """Give what is kept until the next file: instants, so that no clock is needed to read it."""
        said = {
            "starts": self.starts.astimezone(dt.UTC).isoformat(),
            "ends": self.ends.astimezone(dt.UTC).isoformat(),
            "summary": self.summary,
            "description": self.description,
            "rings": self.rings,
            "cancelled": self.cancelled,
        }
        stamp = self.stamp and self.stamp.isoformat()
        return said | {"sequence": self.sequence, "stamp": stamp}

    def says(self) -> dict[str, Any]:
        """Give what makes one version differ from another."""
        plain = self.plain()
        del plain["sequence"], plain["stamp"]
        return plain


def calendar_file(
    result: Result, *, earlier: Mapping[str, Any] | None = None, reader: str = ""
) -> CalendarFile:
    """Make the calendar file of a cook's steps.

    Parameters
    ----------
    result : Result
        The cook as answered.
    earlier : mapping, optional
        What was kept of the last file. An event that is as it was keeps its number and its stamp;
        one that changed gets the next; the event of a step that is gone is cancelled.
    reader : str, optional
        Whose steps, as in `steps_for`; all of them by default.

    Returns
    -------
    CalendarFile

    Raises
    ------
    InputError
        There is no step: a calendar holds one event or more [rfc-5545]_. Or `earlier` is spoilt:
        a calendar would take the new file for an old one.

    Notes
    -----
    An instant in the hour that a clock change repeats is written in UTC where it is the second:
    a local time means the first of the two [rfc-5545]_. No METHOD is said: publishing asks for an
    organiser's address, and there is none.
    """
    before = _before(earlier or {}, result)
    stamp = result.made_at.astimezone(dt.UTC).replace(microsecond=0)
    now = {
        entry.uid: _numbered(entry, before.get(entry.uid), stamp)
        for entry in _once(_entry(steps, result) for steps in _events(result))
    }
    gone = {
        uid: _numbered(replace(old, cancelled=True, rings=False), old, stamp)
        for uid, old in before.items()
        if uid not in now
    }
    mine = {step.id for step in steps_for(reader, result.steps)}
    wanted = {
        _uid(steps[0].id, result) for steps in _events(result) if mine & {s.id for s in steps}
    }
    shown = [entry for uid, entry in (now | gone).items() if uid in wanted or uid in gone]
    if not shown:
        raise InputError(
            "no step to put into a calendar",
            "a reader who has something to do: pit, person, or nobody named",
            "Leave out --for to have all steps in it",
        )
    given = {uid: entry.plain() for uid, entry in (now | gone).items()}
    return CalendarFile(_text(shown, result), given)


def _before(earlier: Mapping[str, Any], result: Result) -> dict[str, _Entry]:
    try:
        return {uid: _kept(uid, row, result) for uid, row in earlier.items()}
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise InputError(
            "what was kept of the last calendar cannot be read",
            "results/calendar.json as it was written",
            "Take it away, and the old events out of your calendar: the new ones begin anew",
        ) from error


def _text(entries: list[_Entry], result: Result) -> str:
    calendar = icalendar.Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", icalendar.vText(_plain(result.title).replace("\n", " ")))
    for entry in entries:
        calendar.add_component(_event(entry, result))
    # Before what they are for. Zones' names are kept in order, for the same bytes each time.
    zones = sorted(calendar.get_missing_tzids())
    calendar.subcomponents[:0] = [_rules(zone, result.date.year) for zone in zones]
    text: str = calendar.to_ical(sorted=True).decode("utf-8")
    return text


@lru_cache(maxsize=64)
def _rules(zone: str, year: int) -> icalendar.Timezone:
    """Rules of a zone in the years around one, not of all since 1970; read off the zone step by step."""
    return icalendar.Timezone.from_tzid(
        zone, first_date=dt.date(year - 1, 1, 1), last_date=dt.date(year + 1, 12, 31)
    )


def _events(result: Result) -> list[list[Step]]:
    """Put steps that are one thing to do for all plates into one event; each other has its own."""
    found: dict[object, list[Step]] = {}
    for step in result.steps:
        kind = kind_of(step)
        same = (kind, step.what, step_clock(step, result.as_of), step.done_at)
        found.setdefault(same if kind in _TOGETHER else step.id, []).append(step)
    return [sorted(steps, key=lambda step: step.id) for steps in found.values()]


def _once(entries: Iterable[_Entry]) -> Iterator[_Entry]:
    """Ring once where the same thing is to be done to several pieces at one time."""
    rung: set[tuple[str, dt.datetime]] = set()
    for entry in entries:
        what = (entry.summary.rpartition(": ")[2], entry.starts.astimezone(dt.UTC))
        yield replace(entry, rings=entry.rings and what not in rung)
        rung.add(what)


def _entry(steps: Sequence[Step], result: Result) -> _Entry:
    step = steps[0]
    starts = step.done_at or step_clock(step, result.as_of)
    return _Entry(
        uid=_uid(step.id, result),
        starts=starts,
        ends=later(starts, _length(step)),
        summary=_plain(_summary(steps, result)),
        description=_plain(_description(steps, result)),
        rings=step.done_at is None,
    )


def _kept(uid: str, row: Mapping[str, Any], result: Result) -> _Entry:
    zone = ZoneInfo(result.time_zone)
    return _Entry(
        uid=uid,
        starts=dt.datetime.fromisoformat(row["starts"]).astimezone(zone),
        ends=dt.datetime.fromisoformat(row["ends"]).astimezone(zone),
        summary=row["summary"],
        description=row["description"],
        rings=row["rings"],
        cancelled=row["cancelled"],
        sequence=row["sequence"],
        stamp=dt.datetime.fromisoformat(row["stamp"]),
    )


def _numbered(entry: _Entry, old: _Entry | None, stamp: dt.datetime) -> _Entry:
    """Give an event its number and stamp: the old ones where it says the same."""
    if old is None:
        return replace(entry, stamp=stamp)
    if entry.says() == old.says():
        return replace(entry, sequence=old.sequence, stamp=old.stamp)
    return replace(entry, sequence=old.sequence + 1, stamp=stamp)


def _event(entry: _Entry, result: Result) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", entry.stamp)
    event.add("last-modified", entry.stamp)
    event.add("sequence", entry.sequence)
    event.add("dtstart", _unmistakable(entry.starts))
    event.add("dtend", _unmistakable(entry.ends))
    event.add("summary", entry.summary)
    event.add("description", entry.description)
    event.add("categories", [_plain(result.title).replace("\n", " ")])
    event.add("status", "CANCELLED" if entry.cancelled else "CONFIRMED")
    # A step is no reason to be called busy.
    event.add("transp", "TRANSPARENT")
    for alarm in _alarms(entry):
        event.add_component(alarm)
    return event


def _alarms(entry: _Entry) -> Iterator[icalendar.Alarm]:
    if not entry.rings:
        return
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", entry.summary)
    alarm.add("trigger", _NOW)
    yield alarm


def _plain(text: str) -> str:
    """Take out what no text of a calendar may hold: control characters, and other ends of a line."""
    return _CONTROL.sub("", _LINE_END.sub("\n", text))


def _unmistakable(at: dt.datetime) -> dt.datetime:
    """Local time, or UTC where a local time would be taken for the hour before."""
    return at.astimezone(dt.UTC) if is_second_hour(at) else at


def _uid(step_id: str, result: Result) -> str:
    """Name of an event: of the cook and its step, never of the time."""
    basis = f"{result.cook}\n{result.date.isoformat()}\n{step_id}"
    return f"{hashlib.sha256(basis.encode()).hexdigest()[:24]}@stallwise.invalid"


def _length(step: Step) -> dt.timedelta:
    """Long enough to be seen in a day's view."""
    row = step_row(kind_of(step))
    return dt.timedelta(minutes=max(5, min(round(row.usual_s / 60.0), 30)))


def _summary(steps: Sequence[Step], result: Result) -> str:
    pieces = sorted(step.piece for step in steps if step.piece)
    everybody = len(pieces) > 1 and len(pieces) == len(result.pieces)
    whose = "" if everybody else " ".join(pieces) or steps[0].pit
    return f"{whose}: {steps[0].what}" if whose else steps[0].what


def _description(steps: Sequence[Step], result: Result) -> str:
    step, span = steps[0], step_span(steps, result.as_of)
    numbers = sorted({number for each in steps for number in each.person.split()})
    by = people_words(numbers, result)
    cautions = dict.fromkeys(each.caution for each in steps)
    lines = [
        by,
        f"until {step.until_sign}" if step.until_sign else "",
        f"most likely {span}" if span and not step.done_at else "",
        f"done {wall(step.done_at)}" if step.done_at else "",
        step.detail,
        *cautions,
    ]
    return "\n".join(filter(None, lines))
