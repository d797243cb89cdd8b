"""What cooks ask of paper and of a phone's calendar, each in a day of our own."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import subprocess
from functools import cache
from itertools import pairwise
from zoneinfo import ZoneInfo

import icalendar
import pytest
from cooks import DATE, NOW, record

from stallwise.joins.answer import answer
from stallwise.joins.instants import later
from stallwise.joins.sheet.calendar import calendar_file
from stallwise.joins.sheet.lastminutes import last_minutes
from stallwise.joins.sheet.sheetwords import step_clock
from stallwise.record.schema import Piece, PitUse
from stallwise.surfaces.prints import print_of, text_of

EVENING = DATE - dt.timedelta(days=1)


def plain(html):
    body = html[html.index("<body>") :].replace("\N{NO-BREAK SPACE}", " ").replace("\u2060", "")
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", body)).replace(" ,", ",")


@cache
def plan(*pieces, units="us", kind="", **cook):
    if kind:
        cook["pits"] = [PitUse(letter="P", kind=kind, start="225 F")]
    made = record(*(dict_piece(one) for one in pieces), **cook)
    book = made.book.model_copy(update={"units": units})
    return answer(dataclasses.replace(made, book=book), made_at=NOW, changes={"members": 60})


def dict_piece(pairs):
    return Piece(**dict(pairs))


def piece(letter, cut, mass, **more):
    """A piece as pairs, so that a plan of it is reckoned once."""
    return tuple({"letter": letter, "cut": cut, "mass": mass, **more}.items())


SHOULDER = piece("A", "pork-shoulder-bone-in", "7 lb 8 oz", finish="pull")
TURKEY = piece("B", "turkey-whole", "11 lb")
RACK = piece("C", "pork-spare-ribs-trimmed", "3 lb", wrap="foil")


def events(text):
    return {str(e["SUMMARY"]): e for e in icalendar.Calendar.from_ical(text).walk("VEVENT")}


def test_two_unlike_cuts_for_one_plate_each_say_day_and_clock_of_every_step():
    result = plan(SHOULDER, RACK, serve="15:30")
    said = plain(print_of(result))
    assert f"{DATE.day} May {DATE.year}" in said
    assert "Eat at 15:30." in said
    for one in result.pieces:
        (on,) = (s.at for s in result.steps if s.id == f"meat_on-{one.piece}")
        clock = f"{on:%H:%M}"
        assert re.search(rf"{clock} {one.piece}: Meat on", said), one.piece
    # The first goes on the evening before, and the sheet says so where its day begins.
    first = min(result.pieces, key=lambda one: one.on_at)
    assert f"{first.on_at:%a} " in said


def test_each_step_rings_on_a_phone_with_its_date_and_zone():
    result = plan(SHOULDER, RACK, serve="15:30")
    found = events(calendar_file(result).text)
    for one in result.pieces:
        event = found[f"{one.piece}: Meat on"]
        assert abs((event.decoded("DTSTART") - one.on_at).total_seconds()) < 300
        assert event.walk("VALARM")


def test_meat_that_waits_long_has_a_look_on_paper_and_an_alarm():
    early = piece("A", "pork-shoulder-bone-in", "7 lb 8 oz", finish="pull", on="2026-05-15 18:00")
    result = plan(early, serve="18:30")
    (look,) = (step for step in result.steps if step.id == "measure-A")
    assert "Measure it in the hold" in plain(print_of(result))
    event = events(calendar_file(result).text)["A: Measure it in the hold"]
    assert event.walk("VALARM")
    assert abs((event.decoded("DTSTART") - look.at).total_seconds()) < 15 * 60


def test_a_glaze_moves_on_the_phone_when_the_finish_moves():
    made = {"mixes": ("stock-glaze",)}
    first = calendar_file(plan(RACK, serve="16:00", **made))
    moved = plan(RACK, serve="18:00", **made)
    second = events(calendar_file(moved, earlier=first.given).text)
    name = next(name for name in second if name.endswith("glaze on"))
    old, new = events(first.text)[name], second[name]
    assert old["UID"] == new["UID"]
    assert int(new["SEQUENCE"]) == int(old["SEQUENCE"]) + 1
    assert new.decoded("DTSTART") - old.decoded("DTSTART") == dt.timedelta(hours=2)


def test_a_night_cook_in_grams_and_celsius_names_its_days():
    result = plan(SHOULDER, serve="12:00", units="metric")
    said = plain(print_of(result))
    assert "°F" not in said
    assert "1 h above 32 °C" in said
    assert "Pit steady at 107 °C" in said
    assert re.search(rf"{EVENING:%a} \d\d:\d\d", said)
    assert re.search(rf"{DATE:%a} \d\d:\d\d", said)


def test_a_butt_and_birds_are_one_sheet_in_order_of_time_with_the_birds_own_care():
    result = plan(SHOULDER, TURKEY, serve="20:30")
    said = plain(print_of(result))
    first, second = (said.index(f"{letter}: Meat on") for letter in "AB")
    assert first < second
    assert "165 °F" in said
    assert "raw juice off other food" in said


def test_four_plates_half_an_hour_apart_are_four_lists():
    racks = [
        piece(
            letter,
            "pork-spare-ribs-trimmed",
            "3 lb",
            wrap="foil",
            serve=f"{12 + i // 2}:{30 * (i % 2):02d}",
        )
        for i, letter in enumerate("ABCD")
    ]
    result = plan(*racks, serve="12:00")
    lists = last_minutes(result)
    assert [f"{one.serve_at:%H:%M}" for one in lists] == ["12:00", "12:30", "13:00", "13:30"]
    said = text_of(result, reader="serving")
    assert said.count("Eat at") == 4
    # While one plate is cut the one before goes out.
    assert (30, "A", "Serve") in [(row.minutes, row.who, row.what) for row in lists[1].rows]


def test_the_watch_of_a_cold_night_knows_what_to_set_and_when_to_get_up():
    result = plan(SHOULDER, serve="12:00", kind="offset")
    said = plain(print_of(result, reader="night"))
    assert re.search(r"below \d+ °F the fire is going down", said)
    assert "The fire is out" in said
    assert re.search(r"Get up (\w{3} )?\d\d:\d\d", said)


def test_paper_has_room_for_what_slips_in_a_long_day_and_how_to_write_it_short():
    html = print_of(plan(SHOULDER, serve="12:00"))
    rows = html.count('<td class="pencil">')
    assert rows >= 12
    assert html.count('class="blank"') >= 2
    assert "Write short:" in html
    assert "1310 wrapped foil" in html


def printed_instants(html, days, zone):
    """Read the clocks of a printed sheet back, row by row, as somebody with that paper would."""
    row = r'<th scope="row">(?:<span class="day">([^<]*)</span>)?(\d\d):(\d\d)</th>'
    day, again, found = days[-1], False, []
    for name, hour, minute in re.findall(row, html):
        if name:
            again = name.endswith("again")
            day = next((each for each in days if f"{each:%a}" == name.split()[0]), day)
        clock = dt.time(int(hour), int(minute), fold=int(again))
        found.append(dt.datetime.combine(day, clock, zone).timestamp())
    return found


@pytest.mark.parametrize("date", [dt.date(2027, 11, 7), dt.date(2027, 3, 14)])
def test_hours_between_printed_clocks_are_the_hours_that_pass(date):
    zone = ZoneInfo("America/New_York")
    # Looks every half hour, so that the changed hour has steps in it.
    made = piece("A", "pork-shoulder-bone-in", "7 lb 8 oz", finish="pull", on=f"{date} 00:10")
    result = plan(made, serve="17:00", date=date, time_zone=str(zone))
    night = [
        dataclasses.replace(
            step,
            id=f"look-A{n}",
            at=at,
            earliest=at,
            latest=at,
            what=f"Look {n}",
            source="common-practice",
        )
        for n in range(8)
        for step in [next(one for one in result.steps if one.id.startswith("look"))]
        for at in [later(result.pieces[0].on_at, dt.timedelta(minutes=30 * n))]
    ]
    steps = sorted((*result.steps, *night), key=lambda step: step.at.timestamp())
    result = dataclasses.replace(result, steps=tuple(steps))
    days = [date - dt.timedelta(days=n) for n in range(6, -1, -1)]
    read = printed_instants(print_of(result), days, zone)
    shown = {step_clock(step, result.as_of).timestamp() for step in result.steps}
    assert set(read) <= shown
    assert read == sorted(read)
    looks = [step_clock(step, result.as_of).timestamp() for step in night]
    assert set(looks) <= set(read)
    assert {round(b - a) for a, b in pairwise(looks)} == {1800}
    # The calendar of the same night.
    found = events(calendar_file(result).text)
    for n, at in enumerate(looks):
        assert found[f"A: Look {n}"].decoded("DTSTART").timestamp() == at
    assert "The clocks go" in plain(print_of(result))


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("people", [None, 2])
def test_the_card_beside_the_bed_is_one_side(chromium, tmp_path, paper, people):
    from playwright.sync_api import sync_playwright

    brisket = piece("B", "beef-brisket-whole", "13 lb", wrap="paper")
    result = plan(SHOULDER, brisket, serve="13:00", people=people, kind="offset")
    assert len(result.night.lines) == 5
    file, pdf = tmp_path / "night.html", tmp_path / "night.pdf"
    file.write_text(print_of(result, reader="night", paper=paper), encoding="utf-8")
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page()
        page.goto(file.as_uri())
        page.pdf(path=pdf, prefer_css_page_size=True)
        browser.close()
    told = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Pages:\s+1\n", told)
    small = re.findall(
        r"font(?:-size)?: ?(\d+)pt", file.read_text(encoding="utf-8").split("@media")[0]
    )
    assert min(map(int, small)) >= 16
