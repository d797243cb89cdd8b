"""Steps of the day sheet as a calendar file that a phone reads [rfc-5545]_."""

from __future__ import annotations

import datetime as dt
import hashlib

import icalendar

from stallwise.joins.result import Result, Step
from stallwise.joins.sheetwords import kind_of, step_clock, step_span
from stallwise.joins.steptable import step_row

__all__ = ["calendar_text"]

_RULES_FOR = dt.timedelta(days=370)
_PRODUCT = "-//stallwise//day sheet//EN"


def calendar_text(result: Result) -> str:
    """Calendar file of a cook's steps.

    Parameters
    ----------
    result : Result
        The cook as answered.

    Returns
    -------
    str
        iCalendar text with CRLF line ends. Each step has a name of its own that stays when
        the plan changes, so that a calendar moves the event instead of doubling it; the stamp
        is the moment of the forecast, so that the same answer gives the same file.
    """
    calendar = icalendar.Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", result.title)
    for step in result.steps:
        calendar.add_component(_event(step, result))
    # The zone's rules of these years, not of all since 1970.
    calendar.add_missing_timezones(
        first_date=result.date - _RULES_FOR, last_date=result.date + _RULES_FOR
    )
    text: str = calendar.to_ical(sorted=True).decode("utf-8")
    return text


def _event(step: Step, result: Result) -> icalendar.Event:
    starts = step_clock(step, result.as_of)
    event = icalendar.Event()
    event.add("uid", _uid(step, result))
    event.add("dtstamp", result.as_of.astimezone(dt.UTC).replace(microsecond=0))
    event.add("dtstart", starts)
    event.add("dtend", starts + _length(step))
    event.add("summary", _summary(step))
    event.add("description", _description(step, result.as_of))
    event.add("categories", [result.title])
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _summary(step))
    alarm.add("trigger", dt.timedelta(0))
    event.add_component(alarm)
    return event


def _uid(step: Step, result: Result) -> str:
    """Name of an event: of the cook and its step, never of the time."""
    basis = f"{result.cook}\n{result.date.isoformat()}\n{step.id}"
    return f"{hashlib.sha256(basis.encode()).hexdigest()[:24]}@stallwise.invalid"


def _length(step: Step) -> dt.timedelta:
    """Long enough to be seen in a day's view."""
    row = step_row(kind_of(step))
    return dt.timedelta(minutes=max(5, min(round(row.usual_s / 60.0), 30)))


def _summary(step: Step) -> str:
    whose = step.piece or step.pit
    return f"{whose}: {step.what}" if whose else step.what


def _description(step: Step, as_of: dt.datetime) -> str:
    span = step_span([step], as_of)
    lines = [
        f"until {step.until_sign}" if step.until_sign else "",
        f"most likely {span}" if span else "",
        step.detail,
        step.caution,
    ]
    return "\n".join(filter(None, lines))
