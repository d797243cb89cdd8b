"""Calendar files: the same answer gives the same file, and a changed plan moves the same event."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

import icalendar

from stallwise.joins.calendar import calendar_text

sys.path.insert(0, str(Path(__file__).parent))
from paper_contexts import at
from sheet_pieces import RIB_PITS, RIBS, SHOULDER, SHOULDER_PITS, later, result_of, rib, shoulder


def events(text):
    return {str(event["UID"]): event for event in icalendar.Calendar.from_ical(text).walk("VEVENT")}


def test_every_step_is_an_event_at_its_instant():
    result = result_of(RIBS, [rib("A"), rib("B")], RIB_PITS)
    found = events(calendar_text(result))
    assert len(found) == len(result.steps)
    starts = {str(event["SUMMARY"]): event.decoded("DTSTART") for event in found.values()}
    assert starts["A: Meat on"] == at("2027-09-25 10:00")
    assert starts["B: Serve"] == at("2027-09-25 16:00")
    wrap = next(event for event in found.values() if event["SUMMARY"] == "A: Wrap: foil")
    assert "until the colour is right\nmost likely 12:45–13:30" in wrap["DESCRIPTION"]


def test_the_zone_stands_in_the_file():
    text = calendar_text(result_of(SHOULDER, [shoulder()], SHOULDER_PITS))
    calendar = icalendar.Calendar.from_ical(text)
    assert [str(zone["TZID"]) for zone in calendar.walk("VTIMEZONE")] == ["EST5EDT"]
    assert all(event["DTSTART"].params["TZID"] for event in calendar.walk("VEVENT"))
    assert "\r\n" in text
    assert "2010" not in text
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75


def test_the_same_answer_gives_the_same_bytes():
    result = result_of(RIBS, [rib("A"), rib("B")], RIB_PITS)
    again = result_of(RIBS, [rib("A"), rib("B")], RIB_PITS, made_at=at("2027-09-24 01:00"))
    assert calendar_text(result) == calendar_text(again)


def test_a_changed_plan_moves_the_same_events():
    first = events(calendar_text(result_of(RIBS, [rib("A")], RIB_PITS)))
    moved = later(rib("A"), dt.timedelta(hours=2))
    second = events(calendar_text(result_of(RIBS, [moved], RIB_PITS)))
    assert first.keys() == second.keys()
    other = events(calendar_text(result_of(RIBS, [moved], RIB_PITS, cook="another")))
    assert not first.keys() & other.keys()
