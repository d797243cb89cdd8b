"""Several numbers of one pit: each its own place, the nearest believed, none taken for another."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.foresight import plan_pieces, question
from stallwise.joins.learn.learning import learn
from stallwise.models.plan import OtherNumber
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Pit, PitPlace, PitUse
from tests.joins import cooks

ON = dt.datetime(2026, 5, 16, 6, tzinfo=dt.UTC)
GRATE_C, LID_C = 110.0, 124.0


def at(hours: float) -> dt.datetime:
    return ON + dt.timedelta(hours=hours)


def line(hours: float, what: str, **data) -> LogLine:
    piece = "" if what.startswith("pit") else "A"
    made = at(hours)
    return LogLine(f"{hours}-{what}-{data}", made, what, made=made, piece=piece, data=data)


def lid(*hours: float, value_c: float = LID_C) -> list[LogLine]:
    return [line(hour, "pit_reading", temperature_c=value_c, place="lid") for hour in hours]


def probe(place: str, hours: float, value_c: float = GRATE_C, since: float = 0.0) -> Readings:
    times = tuple(at(since + minute / 60.0) for minute in range(0, round(hours * 60), 5))
    return Readings("f", f"pit {place}", "", "P", place, times, (value_c,) * len(times))


def plan(lines=(), readings=(), *, as_of=6.0, use=None, pit=None, place=None, moves=()):
    """One shoulder's plan, six hours in."""
    piece = cooks.Piece(
        letter="A",
        cut="pork-shoulder-bone-in",
        mass="8 lb",
        wrap="none",
        place=place,
        moves=list(moves),
    )
    record = cooks.record(
        piece,
        log=(line(0.0, "meat_on"), *lines),
        pits=[PitUse(letter="P", pit="ours", start="255 F", **(use or {}))],
    )
    pits = {"ours": pit} if pit else {}
    record = dataclasses.replace(record, readings=tuple(readings), pits=pits)
    asked = question(record, made_at=at(as_of), as_of=at(as_of))
    (planned,), _ = plan_pieces(asked, {"A": ON})
    return planned


def test_a_lid_written_down_beside_a_probe_at_the_grate_is_measured_by_it():
    made = plan(lid(1, 2, 3, 4), [probe("grate", 6.0)], use={"number_at": "lid"}).plan
    assert made.number_place == "grate"
    assert made.pit_changes == ()
    assert made.facts.pit.at(4.5 * 3600.0) == pytest.approx(GRATE_C)
    assert made.facts.others == (OtherNumber("ours", "pit.gap.lid", GRATE_C - LID_C),)
    # steered by the lid: what is planned is set over to the grate, not taken for it
    assert made.pit.at(20.0 * 3600.0) == pytest.approx(123.9 + GRATE_C - LID_C, abs=0.2)


def test_where_the_probe_falls_silent_the_lid_stands_in_set_over():
    made = plan(lid(1, 2, 2.5, 4, 5), [probe("grate", 3.0)]).plan
    assert made.pit_changes == ()
    assert made.facts.pit.at(5.0 * 3600.0) == pytest.approx(GRATE_C)


def test_a_lid_that_was_never_read_beside_the_probe_stays_a_lid():
    made = plan(lid(4, 5), [probe("grate", 3.0)]).plan
    assert made.number_place == "grate"
    assert [(one.time_s, one.number_place) for one in made.pit_changes] == [(4.0 * 3600.0, "lid")]
    assert made.facts.pit.at(5.0 * 3600.0) == pytest.approx(LID_C)
    assert made.facts.others == ()


def test_a_guess_before_and_after_is_not_set_over_by_the_gap_of_two_other_numbers():
    guess = [line(h, "pit_reading", temperature_c=120.0, place="guess") for h in (0.5, 5.0)]
    made = plan(
        [*guess, *lid(2, 2.5, 3)], [probe("grate", 2.5, since=1.5)], use={"number_at": "lid"}
    ).plan
    assert made.pit_changes[-1].number_place == "guess"
    # 4 K below what was planned, and no more than that is shared out
    assert 119.9 < made.pit.at(20.0 * 3600.0) < 123.9


def test_a_line_without_a_place_was_read_where_the_pit_is_read():
    plain = [line(hour, "pit_reading", temperature_c=LID_C) for hour in (1, 2, 3)]
    assert plan(plain, use={"number_at": "lid"}).plan.number_place == "lid"
    assert plan(plain).plan.number_place == "grate"


def test_a_pit_set_by_another_gauge_is_read_there_from_then_on():
    made = plan([line(2.0, "pit_set", temperature_c=130.0, place="lid")]).plan
    assert [(one.time_s, one.number_place) for one in made.pit_changes] == [(2.0 * 3600.0, "lid")]


def test_a_probe_in_the_pieces_own_place_is_the_nearest():
    both = [probe("next to the firebox", 6.0, 118.0), probe("under the chimney", 6.0, 104.0)]
    made = plan((), both, place="Under the chimney").plan
    assert made.facts.pit.at(3600.0) == pytest.approx(104.0)
    assert made.place is None
    other = plan((), both[:1], place="under the chimney").plan
    assert other.place.known == "unknown"
    assert other.place.offset_k == 0.0


def test_two_probes_at_the_grate_measure_a_place():
    near, usual = probe("next to the firebox", 6.0, 118.0), probe("grate", 6.0, 110.0)
    beside = plan((), [near, usual], place="next to the firebox").plan
    (told,) = beside.facts.others
    assert (told.owner, told.key) == ("ours / next to firebox", "pit.place.unknown")
    assert told.value_k == pytest.approx(8.0)
    # the same from a piece that lies elsewhere
    assert plan((), [near, usual]).plan.facts.others == beside.facts.others
    # what a test said is taken off: 6 K a shade, two shades
    by = probe("under the chimney", 6.0, 110.0)
    tested = plan((), [near, by], pit=TOASTED, place="next to the firebox").plan
    (told,) = tested.facts.others
    assert told.key == "pit.place.toast"
    assert told.value_k == pytest.approx(8.0 - 12.0)
    # neither is the pit's own number: it tells nothing of the place against that
    assert plan((), [near, by], use={"number_at": "lid"}).plan.facts.others == ()


def test_a_short_look_lifts_the_plan_less_than_a_long_one():
    short = plan((), [probe("grate", 0.25)], as_of=0.25, use={"number_at": "lid"}).plan
    long = plan((), [probe("grate", 4.0)], as_of=4.0, use={"number_at": "lid"}).plan
    planned = 123.9
    assert planned > short.pit.at(36000.0) > long.pit.at(36000.0) > GRATE_C
    # places 10 and 6 K in doubt, a fire 8 K for an hour: nine tenths of 14 K after four hours
    assert long.pit.at(36000.0) == pytest.approx(111.4, abs=0.3)
    assert plan((), [probe("grate", 4.0)], as_of=4.0).plan.pit.at(36000.0) == pytest.approx(
        planned, abs=0.1
    )


TESTED = Pit(
    name="Ours",
    number_at="lid",
    tested_at="250 F",
    places=[
        PitPlace(name="next to the firebox", temperature="268 F"),
        PitPlace(name="under the chimney", temperature="241 F"),
    ],
)
TOASTED = Pit(
    name="Ours",
    number_by="under the chimney",
    places=[
        PitPlace(name="next to the firebox", toast=4),
        PitPlace(name="under the chimney", toast=2),
    ],
)


def test_a_tested_place_is_taken_against_the_number_or_the_other_places():
    by_number = plan(pit=TESTED, place="next to the firebox").plan.place
    assert (by_number.known, by_number.of_number) == ("thermometer", True)
    assert by_number.offset_k == pytest.approx(10.0)
    # a probe at the grate is not the number that was noted at the test
    by_probe = plan((), [probe("grate", 6.0)], pit=TESTED, place="next to the firebox").plan.place
    assert not by_probe.of_number
    assert by_probe.offset_k == pytest.approx(7.5)
    toast = plan(pit=TOASTED, place="next to the firebox").plan.place
    assert (toast.known, toast.offset_k) == ("toast", 12.0)
    assert plan(pit=TOASTED, place="under chimney").plan.place is None


def test_a_place_that_was_not_tested_is_said():
    planned = plan(pit=TESTED, place="next to firebx")
    (warned,) = [one for one in planned.warnings if one.key == "place-untested"]
    assert "Is “next to the firebox” meant?" in warned.text
    assert planned.plan.place.known == "unknown"
    assert not [one for one in plan(pit=TESTED).warnings if one.key == "place-untested"]


def test_a_move_within_the_pit_is_another_place():
    moves = [{"to": "P", "at": "10:00", "place": "under the chimney"}]
    made = plan(pit=TESTED, place="next to the firebox", moves=moves).plan
    (change,) = made.pit_changes
    assert (change.time_s, change.pit_name) == (4.0 * 3600.0, "ours")
    assert change.place.offset_k == pytest.approx(-5.0)


def test_what_two_numbers_of_a_pit_teach_is_forgotten_with_their_cook():
    piece = cooks.Piece(letter="A", cut="pork-shoulder-bone-in", mass="8 lb", wrap="none")
    record = cooks.record(
        piece,
        log=(line(0.0, "meat_on"), *lid(1, 2, 3, 4), line(6.0, "off")),
        pits=[PitUse(letter="P", pit="ours", start="255 F")],
    )
    record = dataclasses.replace(record, readings=(probe("grate", 6.0),))
    (entry,) = learn([record])["cooks"]
    assert entry["taught"]
    assert entry["pits"]["ours"]["pit.gap.lid"][0] == pytest.approx(GRATE_C - LID_C, abs=1.5)
    assert learn([record], without=[record.name])["cooks"] == []
