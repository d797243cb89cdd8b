"""Cooked one day, eaten another: cooling and reheating with the times of their rules."""

from __future__ import annotations

import datetime as dt

from stallwise.joins.answer import answer
from stallwise.joins.explain import explain
from stallwise.tables.limits import clock, minimum
from tests.joins.cooks import DATE, NOW, line, record
from tests.joins.ways.test_troubles import OFFSET, asked, shoulder, trouble

NEXT = (DATE + dt.timedelta(days=1)).isoformat()


def plan(serve=f"{NEXT} 16:00", **piece):
    made = record(shoulder(reheat="90 min", **piece), pits=OFFSET, serve=serve)
    return answer(made, made_at=NOW, changes={"members": 60})


def steps(result):
    return {step.id: step for step in result.steps}


def test_the_sheet_runs_over_two_dates_with_the_rules_times():
    result = plan(on=f"{DATE.isoformat()} 02:00")
    found = steps(result)
    assert "hold-A" not in found
    rested = found["chill-A"].at
    assert (found["chilled-A"].at - rested).total_seconds() == clock("cool-total").limit_s
    assert found["chill-A"].until_sign == "70 °F within 2 h, 41 °F within 6 h in all"
    assert found["chill-A"].at.date() == DATE
    reheat, carve = found["reheat-A"], found["carve-A"]
    assert (carve.at - reheat.at).total_seconds() == 90 * 60
    assert reheat.at.date().isoformat() == NEXT
    assert f"{minimum('leftovers').temperature_c * 1.8 + 32:.0f} °F" in reheat.until_sign
    assert "3 to 4 days" in reheat.caution
    assert "Food Code 3-501.14" in found["chill-A"].caution
    for key in ("chill", "chilled", "reheat"):
        assert explain(f"steps.{key}")[0].source


def test_there_is_time_to_cool_and_to_reheat_before_it_is_served():
    chosen = next(one for one in plan().pieces[0].chances if one.chosen)
    plain = record(shoulder(), pits=OFFSET, serve=f"{NEXT} 16:00")
    before = answer(plain, made_at=NOW, changes={"members": 60}).pieces[0].chances
    hot = next(one for one in before if one.chosen)
    assert (hot.on_at - chosen.on_at).total_seconds() == (6 + 1.5) * 3600


def test_it_is_followed_to_its_rest_and_no_cold_hold_is_warned_of():
    result = plan(on=f"{DATE.isoformat()} 02:00")
    assert result.pieces[0].serving.wait_h.p50 < 2.0
    assert "hold-cold" not in {one.key for one in result.warnings}


def test_it_is_off_in_time_to_be_chilled_and_reheated_and_waits_in_no_heat():
    result = plan(on=f"{DATE.isoformat()} 02:00")
    found = steps(result)
    assert found["rest-A"].due_at == found["tender-A"].due_at
    rest_s = (found["carve-A"].due_at - found["rest-A"].due_at).total_seconds()
    assert rest_s == result.pieces[0].rest_h * 3600 + (6 + 1.5) * 3600
    assert {one.colder_share for one in result.pieces[0].chances} == {None}


def test_meat_that_would_be_kept_too_long_is_told():
    late = (DATE + dt.timedelta(days=6)).isoformat()
    keys = {one.key for one in plan(serve=f"{late} 16:00", on=f"{DATE.isoformat()} 02:00").warnings}
    assert "kept-too-long" in keys
    assert "kept-too-long" not in {one.key for one in plan().warnings}


def test_what_was_chilled_and_reheated_is_done_on_the_sheet():
    log = (
        line("02:00", "meat_on"), line("13:00", "off"), line("14:00", "chilled"),
        line("19:00", "cooling_reading", temperature_c=4.0),
    )  # fmt: skip
    made = record(shoulder(reheat="90 min"), log=log, pits=OFFSET, serve=f"{NEXT} 16:00")
    now = line("20:00", "off").at
    found = steps(answer(made, made_at=now, as_of=now, changes={"members": 60}))
    assert found["chill-A"].done_at.hour == 14
    assert found["chilled-A"].done_at.hour == 19
    assert found["reheat-A"].done_at is None


def test_a_piece_that_is_ready_the_day_before_is_offered_the_cold():
    as_of = line("11:00", "off").at
    wrapped = line("09:00", "wrapped", "A", kind="foil")
    ways = trouble(asked(wrapped, as_of=as_of, serve=f"{NEXT} 08:00"), "early").ways
    chill = next(way for way in ways if way.key == "early.chill")
    assert "41 °F within 6 h" in chill.note
    assert set(chill.changes) == {"reheat"}
    soon = trouble(asked(wrapped, as_of=as_of, serve="19:30"), "early").ways
    assert "early.chill" not in {way.key for way in soon}
