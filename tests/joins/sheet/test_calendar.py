"""Calendar files: read back by two libraries, updates replace, what vanished is cancelled."""

from __future__ import annotations

import datetime as dt
import io
import re
from dataclasses import replace
from zoneinfo import ZoneInfo

import icalendar
import pytest
from dateutil.tz import tzical
from hypothesis import example, given
from hypothesis import strategies as st
from paper_contexts import at
from sheet_pieces import RIB_PITS, RIBS, SHOULDER, SHOULDER_PITS, later, result_of, rib, shoulder

from stallwise.ground.errors import InputError
from stallwise.joins.sheet.calendar import calendar_file


def events(text):
    return {str(event["UID"]): event for event in icalendar.Calendar.from_ical(text).walk("VEVENT")}


def ribs(*letters, **more):
    return result_of(RIBS, [rib(letter) for letter in letters], RIB_PITS, **more)


ONE = ribs("A")


def test_every_step_is_an_event_at_its_instant():
    result = ribs("A", "B")
    found = events(calendar_file(result).text)
    # Both racks are served in one go.
    assert len(found) == len(result.steps) - 1
    starts = {str(event["SUMMARY"]): event.decoded("DTSTART") for event in found.values()}
    assert starts["A: Meat on"] == at("2027-09-25 10:00")
    assert starts["Serve"] == at("2027-09-25 16:00")
    wrap = next(event for event in found.values() if event["SUMMARY"] == "A: Wrap: foil")
    assert "until the colour is right\nmost likely 12:45–13:30" in wrap["DESCRIPTION"]


def test_it_holds_what_a_calendar_must_and_reads_back_the_same():
    text = calendar_file(ribs("A", "B")).text
    calendar = icalendar.Calendar.from_ical(text)
    assert calendar.to_ical(sorted=True).decode() == text
    assert not calendar.errors
    assert {"PRODID", "VERSION"} <= calendar.keys()
    assert "METHOD" not in calendar  # publishing would ask for an organiser
    for event in calendar.walk("VEVENT"):
        assert not event.errors
        assert {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE"} <= event.keys()
        assert event.decoded("DTSTAMP").tzinfo is not None
        assert event.decoded("DTEND") > event.decoded("DTSTART")
        for alarm in event.walk("VALARM"):
            assert alarm["ACTION"] == "DISPLAY"
            assert alarm["DESCRIPTION"]
            assert alarm.decoded("TRIGGER") == dt.timedelta(0)
    lines = text.split("\r\n")
    assert max(len(line.encode()) for line in lines) <= 75
    assert "\n" not in "".join(lines)


def test_each_thing_to_do_rings_and_rings_once():
    found = events(calendar_file(ribs("A", "B")).text).values()
    things = [(str(e["SUMMARY"]).partition(": ")[2], e.decoded("DTSTART")) for e in found]
    rung = [thing for thing, event in zip(things, found, strict=True) if event.walk("VALARM")]
    assert sorted(rung) == sorted(set(things))
    assert len(rung) < len(things)


def test_the_zone_stands_in_the_file():
    text = calendar_file(result_of(SHOULDER, [shoulder()], SHOULDER_PITS)).text
    calendar = icalendar.Calendar.from_ical(text)
    assert [str(zone["TZID"]) for zone in calendar.walk("VTIMEZONE")] == ["EST5EDT"]
    assert all(event["DTSTART"].params["TZID"] for event in calendar.walk("VEVENT"))
    assert "2010" not in text


@pytest.mark.parametrize(
    "name", ["America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kolkata"]
)
@given(minutes=st.integers(0, 365 * 24 * 60))
@example(minutes=(310 * 24 + 6) * 60 + 15)  # the second 01:15 of New York's long night
@example(minutes=(310 * 24 + 5) * 60 + 45)  # ends in the hour that comes twice
@example(minutes=(303 * 24 + 1) * 60 + 15)  # the second 02:15 of Berlin's
@example(minutes=(92 * 24 + 15) * 60 + 15)  # the second 01:45 of Lord Howe's, half an hour longer
def test_another_library_finds_the_same_instants_by_the_rules_in_the_file(name, minutes):
    # dateutil reads the rules out of the text; it knows nothing of the zone by its name.
    zone = ZoneInfo(name)
    start = dt.datetime(2027, 1, 1, tzinfo=dt.UTC) + dt.timedelta(minutes=minutes)
    step = replace(ONE.steps[0], at=start.astimezone(zone), source="common-practice")
    made = replace(ONE, date=start.date(), time_zone=name, steps=(step,))
    text = calendar_file(made).text
    begins, ends = (_instant(text, name, key) for key in ("DTSTART", "DTEND"))
    assert begins == dt.datetime.fromtimestamp(start.timestamp() // 300 * 300, dt.UTC)
    assert ends - begins == dt.timedelta(minutes=30)


def _instant(text, zone, key):
    line = [row for row in text.split("\r\n") if row.startswith(key)][-1]
    shown = dt.datetime.fromisoformat(line.partition(":")[2].rstrip("Z"))
    other = dt.UTC if line.endswith("Z") else tzical(io.StringIO(text)).get(zone)
    return shown.replace(tzinfo=other).astimezone(dt.UTC)


def test_the_same_answer_gives_the_same_bytes():
    first = calendar_file(ribs("A", "B"))
    again = ribs("A", "B", made_at=at("2027-09-24 01:00"))
    assert calendar_file(again, earlier=first.given).text == first.text


def test_an_update_replaces_what_moved_and_leaves_the_rest():
    first = calendar_file(ribs("A", "B"))
    moved = later(rib("A"), dt.timedelta(hours=2))
    result = result_of(RIBS, [moved, rib("B")], RIB_PITS, made_at=at("2027-09-22 08:00"))
    second = calendar_file(result, earlier=first.given)
    old, new = events(first.text), events(second.text)
    # The plates part: what was one event is two.
    assert old.keys() < new.keys()
    serves = {
        str(e["SUMMARY"]): e.decoded("DTSTART") for e in new.values() if "Serve" in e["SUMMARY"]
    }
    assert serves == {"A: Serve": at("2027-09-25 18:00"), "B: Serve": at("2027-09-25 16:00")}
    knife = "A: Cut between the bones"
    cut = next(uid for uid, event in new.items() if event["SUMMARY"] == knife)
    assert new[cut].decoded("DTSTART") - old[cut].decoded("DTSTART") == dt.timedelta(hours=2)
    assert (old[cut]["SEQUENCE"], new[cut]["SEQUENCE"]) == (0, 1)
    assert new[cut].decoded("DTSTAMP") == at("2027-09-22 08:00")
    same = next(uid for uid, event in new.items() if event["SUMMARY"] == "B: Meat on")
    assert new[same].to_ical() == old[same].to_ical()
    third = calendar_file(result, earlier=second.given)
    assert third.text == second.text


def test_a_step_that_vanished_is_cancelled_and_one_that_is_back_is_not():
    first = calendar_file(ribs("A", "B"))
    only = ribs("A", made_at=at("2027-09-22 08:00"))
    second = calendar_file(only, earlier=first.given)
    gone = [event for event in events(second.text).values() if event["STATUS"] == "CANCELLED"]
    assert {str(event["SUMMARY"]) for event in gone} >= {"B: Meat on", "B: Wrap: foil"}
    assert {int(event["SEQUENCE"]) for event in gone} == {1}
    assert not any(event.walk("VALARM") for event in gone)
    # Still there in the next file: a phone may have missed this one.
    assert calendar_file(only, earlier=second.given).text == second.text
    back = events(calendar_file(ribs("A", "B"), earlier=second.given).text)
    meat = next(event for event in back.values() if event["SUMMARY"] == "B: Meat on")
    assert (meat["STATUS"], int(meat["SEQUENCE"])) == ("CONFIRMED", 2)


def test_a_step_that_is_done_stands_where_it_was_done_and_rings_no_more():
    result = ribs("A")
    done = replace(result.steps[-2], done_at=at("2027-09-25 16:07"))
    text = calendar_file(replace(result, steps=(done,))).text
    (event,) = events(text).values()
    assert event.decoded("DTSTART") == at("2027-09-25 16:07")
    assert not event.walk("VALARM")


def test_one_reader_gets_his_own_steps_and_every_cancellation():
    first = calendar_file(ribs("A", "B"))
    pit = events(calendar_file(ribs("A"), earlier=first.given, reader="pit").text).values()
    confirmed = {str(e["SUMMARY"]) for e in pit if e["STATUS"] == "CONFIRMED"}
    assert "A: Wrap: foil" in confirmed
    assert "A: Serve" not in confirmed
    assert "B: Meat on" in {str(e["SUMMARY"]) for e in pit if e["STATUS"] == "CANCELLED"}


def test_two_cooks_share_no_event():
    assert not events(calendar_file(ribs("A")).text).keys() & events(
        calendar_file(ribs("A", cook="another")).text
    )


@pytest.mark.parametrize("row", [{}, {"starts": "noon"}, [], None, "x"])
def test_a_spoilt_note_of_the_last_file_is_told_with_what_to_do(row):
    kept = dict(calendar_file(ONE).given)
    kept[next(iter(kept))] = row
    with pytest.raises(InputError, match=r"Take it away"):
        calendar_file(ONE, earlier=kept)


#: Plans one after the other: which steps are there, and by how much each is moved [min].
_REVISIONS = st.lists(
    st.dictionaries(st.integers(0, len(ONE.steps) - 1), st.integers(-90, 90), min_size=1),
    min_size=2,
    max_size=5,
)


@given(revisions=_REVISIONS)
def test_through_any_number_of_updates_numbers_rise_and_what_is_told_is_the_newest_plan(revisions):
    earlier, before = {}, {}
    for hour, moves in enumerate(revisions):
        steps = tuple(
            replace(ONE.steps[i], at=move(ONE.steps[i].at, minutes)) for i, minutes in moves.items()
        )
        made = move(ONE.made_at, 60 * hour)
        answer = replace(ONE, steps=steps, made_at=made)
        file = calendar_file(answer, earlier=earlier)
        now = events(file.text)
        alive = {uid for uid, event in now.items() if event["STATUS"] == "CONFIRMED"}
        assert alive == set(events(calendar_file(answer).text))
        assert before.keys() <= now.keys()
        for uid, old in before.items():
            new = now[uid]
            assert int(new["SEQUENCE"]) >= int(old["SEQUENCE"])
            assert new.decoded("DTSTAMP") >= old.decoded("DTSTAMP")
            same = new.to_ical() == old.to_ical()
            assert same == (int(new["SEQUENCE"]) == int(old["SEQUENCE"]))
        earlier, before = file.given, now


def move(at, minutes):
    return (at.astimezone(dt.UTC) + dt.timedelta(minutes=minutes)).astimezone(at.tzinfo)


@given(title=st.text(max_size=90), what=st.text(min_size=1, max_size=90))
def test_any_words_of_a_cook_come_through_and_make_no_line_of_their_own(title, what):
    step = replace(ONE.steps[0], what=what, detail=title)
    made = calendar_file(replace(ONE, title=title, steps=(step,)))
    text = made.text
    lines = text.split("\r\n")
    assert max(len(line.encode()) for line in lines) <= 75
    assert not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", "".join(lines))
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert str(event["SUMMARY"]) == plain_words(f"A: {what}")
    assert plain_words(title).strip() in str(event["DESCRIPTION"])
    assert calendar_file(replace(ONE, title=title, steps=(step,)), earlier=made.given).text == text


def plain_words(text):
    ended = re.sub(r"\r\n?|[\x85\u2028\u2029]", "\n", text)
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", "", ended)
