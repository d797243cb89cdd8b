"""People and side jobs on the day sheet: hands counted, places shared, needs kept."""

from __future__ import annotations

import datetime as dt
import itertools

import pytest
from cooks import NOW, record, ribs

from stallwise.joins.answer import answer
from stallwise.record.jobs import Job
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece, PitUse


def sheet(*pieces, made_at=NOW, **cook):
    made = answer(record(*pieces, **cook), made_at=made_at)
    return {step.id: step for step in made.steps}, made


def keys(result):
    return {warning.key for warning in result.warnings}


def minutes(step, other):
    return (other.at - step.at).total_seconds() / 60


JOBS = [
    Job(job="beans", takes="2 h", hands="15 min", place="stove"),
    Job(job="stock", takes="3 h", hands="10 min", place="stove"),
    Job(job="gravy", takes="20 min", needs=["stock", "A"], by="carve"),
    Job(job="slaw", takes="25 min", by="15:30"),
]


@pytest.fixture(scope="module")
def party():
    return sheet(
        ribs(count=4),
        Piece(letter="B", cut="chicken-whole", mass="4 lb"),
        jobs=JOBS,
        people=2,
        carry="20 min",
    )


def test_a_job_is_done_before_what_needs_it(party):
    steps, _ = party
    assert minutes(steps["job-stock"], steps["job-gravy"]) >= 180
    assert (
        minutes(steps["job-gravy"], min((steps["carve-A"], steps["carve-B"]), key=lambda s: s.at))
        >= 20
    )
    assert steps["job-gravy"].at >= steps["rest-A"].at
    assert f"{steps['job-slaw'].at:%H:%M}" <= "15:05"
    assert steps["job-beans"].at + dt.timedelta(hours=2) <= steps["carry-A"].at


def test_a_place_takes_one_job_at_a_time(party):
    steps, _ = party
    first, second = sorted((steps["job-beans"], steps["job-stock"]), key=lambda step: step.at)
    assert minutes(first, second) >= (120 if first.id == "job-beans" else 180)


def test_two_rings_take_two():
    steps, _ = sheet(jobs=JOBS[:2], places={"stove": 2})
    ends = [
        steps["job-beans"].at + dt.timedelta(hours=2),
        steps["job-stock"].at + dt.timedelta(hours=3),
    ]
    assert ends[0] == ends[1] == steps["serve-A"].at


def test_nobody_is_in_two_places_where_hands_are_enough(party):
    steps, _ = party
    for who in ("1", "2"):
        spans = sorted(
            {
                (one.at, one.at + dt.timedelta(seconds=one.hands_s), one.id.partition("-")[0])
                for one in steps.values()
                if one.person == who and one.hands_s and not one.id.startswith(("carve", "pan"))
            }
        )
        for first, second in itertools.pairwise(spans):
            assert first[1] <= second[0] or first[2] == second[2], (who, first, second)
    assert {step.person for step in steps.values() if step.hands_s} <= {"1", "2", "1 2"}


def test_too_few_hands_are_said_with_what_wants_them():
    _, result = sheet(
        ribs(count=6, serve="16:00"),
        Piece(letter="B", cut="chicken-whole", serve="16:10"),
        Piece(letter="C", cut="beef-tri-tip", serve="16:15"),
        people=1,
        carry="15 min",
    )
    said = [warning.text for warning in result.warnings if warning.key == "hands"]
    assert said
    assert "one person is not enough" in said[0]
    assert "One more pair of hands" in said[0]


def test_without_a_count_nobody_is_named_and_nothing_moves():
    steps, result = sheet(ribs())
    assert {step.person for step in steps.values()} == {""}
    assert "hands" not in keys(result)
    assert "gear" not in steps


def test_a_job_that_waits_for_meat_too_long_is_said():
    jobs = [Job(job="pan sauce", takes="3 h", needs=["A"])]
    steps, result = sheet(ribs(), jobs=jobs, odds="coin flip")
    late = next(warning for warning in result.warnings if warning.key == "job-late")
    assert "waits for A" in late.text
    assert steps["job-pan_sauce"].at == steps["rest-A"].at


def test_gear_has_amounts_and_its_rows():
    _, result = sheet(ribs(count=4), pits=[PitUse(letter="P", start="250 F")])
    gear = {line.key: line for line in result.gear}
    # Four racks of some 40 cm, two sheets each, folded over at both ends.
    assert 5.0 < gear["foil"].amount < 8.0
    assert gear["foil"].text.endswith(" ft")
    assert gear["probes"].text == "1 and 1 for the pit"
    assert "paper" not in gear
    assert "pans" not in gear


def test_the_way_to_the_table_has_two_readings(party):
    steps, _ = party
    assert minutes(steps["carry-A"], steps["serve-A"]) == 20
    assert "leaving" in steps["carry-A"].detail
    assert "arriving" in steps["carry-A"].detail
    assert minutes(steps["pan-A"], steps["carry-A"]) >= 1
    # Four racks fill two pans.
    assert steps["pan-A"].hands_s == 2 * 180.0


def test_a_job_that_may_take_long_is_begun_for_its_longest():
    jobs = [Job(job="rice", takes="40 min", takes_most="1 h 10 min", hands="5 min")]
    steps, _ = sheet(jobs=jobs)
    rice = steps["job-rice"]
    assert minutes(rice, steps["serve-A"]) == 70
    assert "at most 1 h 10" in rice.detail


def test_a_remark_says_that_a_job_is_done():
    jobs = [Job(job="Rice", takes="40 min"), Job(job="slaw", takes="20 min")]
    at = dt.datetime(2026, 5, 16, 15, tzinfo=dt.UTC)
    said = LogLine("1", at, "note", made=at, text="note: rice done, a little firm")
    steps, _ = sheet(jobs=jobs, log=(said,), made_at=at)
    assert steps["job-Rice"].done_at == at
    assert steps["job-slaw"].done_at is None


def test_a_job_for_a_step_that_never_comes_is_ready_for_serving_and_said():
    steps, result = sheet(ribs(), jobs=[Job(job="sauce", takes="30 min", by="glaze")])
    assert minutes(steps["job-sauce"], steps["serve-A"]) >= 30
    said = next(warning.text for warning in result.warnings if warning.key == "job-by")
    assert "Sauce" in said
    assert "glaze" in said


def test_nobody_covers_pans_of_two_pieces_at_once():
    butts = Piece(
        letter="A", cut="pork-shoulder-bone-in", count=3, mass="8 lb", on="2026-05-15 21:00"
    )
    turkey = Piece(letter="T", cut="turkey-whole", mass="13 lb", on="12:00")
    steps, _ = sheet(butts, turkey, people=2, carry="20 min", serve="18:00")
    first, second = steps["pan-A"], steps["pan-T"]
    assert first.at == second.at
    assert not set(first.person.split()) & set(second.person.split())
    # Both had their hands in the butts before.
    assert steps["carve-A"].person == "1 2"
