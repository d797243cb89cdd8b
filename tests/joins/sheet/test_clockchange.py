"""Nights on which the clocks change: the same cook, the same hours, whatever the clock shows."""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

import icalendar
import pytest
from cooks import record

from stallwise.joins.answer import answer
from stallwise.joins.instants import clock_change, is_second_hour, later, wall
from stallwise.joins.sheet.calendar import calendar_file
from stallwise.joins.sheet.sheetwords import sheet_rows, step_clock
from stallwise.record.schema import Piece

#: Zone, the cook's day after a night with a change, and by how much that night is longer [h].
NIGHTS = [
    ("America/New_York", dt.date(2027, 11, 7), 1.0),
    ("America/New_York", dt.date(2027, 3, 14), -1.0),
    ("Europe/Berlin", dt.date(2027, 10, 31), 1.0),
    ("Europe/Berlin", dt.date(2027, 3, 28), -1.0),
    ("Australia/Lord_Howe", dt.date(2027, 4, 4), 0.5),
]
MADE = dt.datetime(2027, 1, 2, 12, tzinfo=dt.UTC)


def night_cook(zone, date):
    shoulder = Piece(letter="A", cut="pork-shoulder-bone-in", mass="8 lb", finish="pull")
    return answer(record(shoulder, date=date, serve="13:00", time_zone=zone), made_at=MADE)


def before_serving(result):
    serve = next(step.at for step in result.steps if step.id == "serve-A")
    # Thawing begins by day, on whatever date that is.
    return {
        step.id: (serve.timestamp() - step.at.timestamp()) / 60
        for step in result.steps
        if not step.id.startswith("thaw")
    }


@pytest.fixture(scope="module", params=NIGHTS, ids=lambda night: f"{night[0]} {night[1]}")
def night(request):
    zone, date, longer_h = request.param
    return night_cook(zone, date), night_cook(zone, date - dt.timedelta(days=14)), longer_h


def test_every_step_is_as_long_before_serving_as_on_any_night(night):
    changed, usual, _ = night
    assert before_serving(changed) == pytest.approx(before_serving(usual), abs=1e-3)


def test_the_forecast_adds_hours_to_meat_on_and_not_to_the_clock(night):
    changed, usual, _ = night
    for result in (changed, usual):
        piece = result.pieces[0]
        tender = piece.stages["tender"]
        elapsed_h = (tender.clock["p50"].timestamp() - piece.on_at.timestamp()) / 3600
        assert elapsed_h == pytest.approx(tender.elapsed_h.p50, abs=1e-3)


def test_the_clock_shows_meat_on_later_or_earlier_by_the_change(night):
    changed, usual, longer_h = night
    days = dt.timedelta(days=14)
    shown = [result.pieces[0].on_at.replace(tzinfo=None) for result in (changed, usual)]
    assert (shown[0] - shown[1] - days).total_seconds() / 3600 == pytest.approx(longer_h, abs=1e-3)


def test_paper_and_calendar_show_the_instant_of_the_step(night):
    result = night[0]
    text = calendar_file(result).text
    events = icalendar.Calendar.from_ical(text).walk("VEVENT")
    in_calendar = {(str(e["SUMMARY"]), e.decoded("DTSTART").timestamp()) for e in events}
    rows = sheet_rows(result.steps, date=result.date, as_of=result.as_of)
    on_paper = {(row.what, row.day, row.clock) for row in rows}
    for step in result.steps:
        at = step_clock(step, result.as_of)
        day = "" if at.date() == result.date else f"{at:%a}"
        if is_second_hour(at):
            day = f"{day} again".strip()
        assert (step.what, day, f"{at:%H:%M}") in on_paper
        whose = step.piece or step.pit
        name = f"{whose}: {step.what}" if whose else step.what
        assert (name, at.timestamp()) in in_calendar


def test_the_hour_that_comes_twice_is_told_apart():
    zone = ZoneInfo("America/New_York")
    first = dt.datetime(2027, 11, 7, 1, 15, tzinfo=zone)
    second = later(first, dt.timedelta(hours=1))
    assert (wall(first), wall(second)) == ("01:15", "01:15 again")
    assert wall(later(second, dt.timedelta(hours=1))) == "02:15"


def test_a_change_in_the_night_is_told_before_it():
    zone = ZoneInfo("America/New_York")

    def night(month, day):
        return [
            dt.datetime(2027, month, day, 21, tzinfo=zone),
            dt.datetime(2027, month, day + 1, 9, tzinfo=zone),
        ]

    back, forward = clock_change(night(11, 6)), clock_change(night(3, 13))
    assert re.match(r"The clocks go back on Sunday, from 02:00 to 01:00;", back)
    assert re.match(r"The clocks go forward on Sunday, from 02:00 to 03:00;", forward)
    assert clock_change(night(6, 5)) == ""
    assert clock_change([]) == ""
