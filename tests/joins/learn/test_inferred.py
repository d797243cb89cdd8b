"""What readings suggest, laid beside the log of a cook; what was written down wins."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np
import pytest

from stallwise.joins.answer import answer
from stallwise.joins.foresight import foresee, question
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.joins.learn.inferredwords import inferred_table
from stallwise.models.stages import stall as stall_of_members
from stallwise.models.tracestages import core_signs
from stallwise.record.readings import Readings
from stallwise.record.schema import PitUse
from stallwise.surfaces.journal.public import public_result
from tests.joins.cooks import DATE, NOW, line, record, ribs
from tests.models import traces as made
from tests.models.traces import HOUR

ON = dt.datetime(DATE.year, DATE.month, DATE.day, 4, tzinfo=dt.UTC)
SHOULDER = {"cut": "pork-shoulder-bone-in", "mass": "8 lb", "wrap": "none"}
PITS = [PitUse(letter="P", start="235 F")]
LIDS_H = [2.0, 3.0, 7.5]


def read(value_c, *, time_s, piece="", pit="", place=""):
    at = tuple(ON + dt.timedelta(seconds=float(second)) for second in time_s)
    return Readings("probe.csv", piece or pit, piece, pit, place, at, tuple(map(float, value_c)))


def cook(*log, knots=made.ONE, end_h=11.5, on=True):
    time_s = made.times(end_h)
    held = made.noisy(np.full(len(time_s), 112.0), seed=2)
    probes = (
        read(made.noisy(made.curve(time_s, knots)), time_s=time_s, piece="A"),
        read(made.opened(time_s, held, LIDS_H), time_s=time_s, pit="P", place="grate"),
    )
    log = (line("04:00", "meat_on"), *log) if on else log
    planned = {} if on else {"on": "04:00"}
    one = record(ribs(**SHOULDER, **planned), log=log, pits=PITS, serve="19:00")
    return dataclasses.replace(one, readings=probes)


def at(clock_h):
    return ON + dt.timedelta(hours=clock_h)


def ask(one, after_h=11.5):
    return answer(one, made_at=at(after_h), changes={"members": 20})


def kinds(result, kind):
    return [item for item in result.inferred if item.kind == kind]


def test_a_stall_of_a_piece_and_openings_of_its_pit_are_told():
    result = ask(cook())
    (stall,) = kinds(result, "stall")
    assert (stall.piece, stall.pit, stall.words) == ("A", "", "likely")
    assert at(3.7) < stall.at < at(4.5)
    assert stall.elapsed_h == pytest.approx((stall.at - ON).total_seconds() / HOUR)
    assert [item.pit for item in kinds(result, "lid_open")] == ["P"] * len(LIDS_H)


def test_what_was_written_down_near_it_agrees():
    result = ask(cook(line("06:02", "spritz"), line("11:31", "wrapped", "A", kind="foil")))
    said = [item.agrees_with for item in kinds(result, "lid_open")]
    assert said == ["spritz", "", "wrapped"]
    assert [item.agrees_with for item in kinds(result, "meat_on")] == ["meat_on"]


def test_a_logged_wrap_elsewhere_wins():
    free = ask(cook(knots=made.LOW, end_h=8.0), 8.0)
    assert kinds(free, "wrapped")
    said = ask(cook(line("06:30", "wrapped", "A", kind="foil"), knots=made.LOW, end_h=8.0), 8.0)
    assert not kinds(said, "wrapped")


def test_a_feel_check_leaves_no_hint_and_no_verdict_is_ever_inferred():
    (hint,) = kinds(ask(cook()), "feel_check")
    assert hint.words == "perhaps"
    assert "tender" not in hint.words
    checked = cook(line("13:00", "feel_check", "A", verdict="not yet"))
    assert not kinds(ask(checked), "feel_check")


def test_only_readings_until_then_count():
    early = ask(cook(), 3.0)
    assert not kinds(early, "stall")
    assert all(item.at <= at(3.0) for item in early.inferred)


def test_a_planned_cook_without_readings_has_none():
    assert ask(record(ribs())).inferred == ()


def test_meat_on_is_suggested_where_nobody_wrote_it_down():
    (on,) = kinds(ask(cook(on=False)), "meat_on")
    assert on.agrees_with == ""
    assert abs((on.at - ON).total_seconds()) <= 900.0


def test_a_second_probe_tells_the_same_stall_once():
    one = cook()
    core = dataclasses.replace(one.readings[0], channel="second", place="point")
    (stall,) = kinds(ask(dataclasses.replace(one, readings=(*one.readings, core))), "stall")
    assert stall.piece == "A"


def test_a_finished_cook_is_read_whole_afterwards():
    one = cook(line("15:20", "off", "A"))
    before = ask(one, 20.0)
    assert not kinds(before, "stall")
    assert kinds(with_outcome(before, one), "stall")


def test_the_table_tells_openings_in_one_row():
    table = inferred_table(ask(cook(line("06:02", "spritz"))))
    rows = [row for row in table.rows if "lid open" in row[1]]
    assert [row[1] for row in rows] == ["likely lid open", "likely lid open, 2 times"]
    assert rows[0][5] == "spritz"


def test_readings_kept_private_suggest_nothing_to_others():
    result = ask(cook(line("06:02", "spritz")))
    assert public_result(result, ["readings"]).inferred == ()
    assert all(not item.agrees_with for item in public_result(result, ["log"]).inferred)


def test_the_forecasts_own_days_show_the_stalls_it_knows_of():
    bare = record(ribs(**SHOULDER), pits=PITS, serve="23:00")
    seen = foresee(question(bare, made_at=NOW, changes={"members": 40}))
    days, half_m = seen.forecast.pieces["A"], seen.planned[0].plan.body.half_thickness_m
    starts, _ = stall_of_members(days.time_s, days.core_c, days.stages["tender"])
    off_by_min = []
    agree = 0
    for day, start_s in enumerate(starts):
        time_s = np.arange(0.0, min(days.stages["tender"][day], days.time_s[-1]), 60.0)
        core_c = np.interp(time_s, days.time_s, days.probe_c[day])
        pit_c = np.interp(time_s, days.time_s, days.pit_c[day])
        signs = core_signs(time_s, core_c, pit_s=time_s, pit_c=pit_c, half_m=half_m)
        stalls = [sign for sign in signs if sign.kind == "stall"]
        agree += bool(stalls) == bool(np.isfinite(start_s))
        if stalls and np.isfinite(start_s):
            off_by_min.append(min(abs(one.at_s - start_s) for one in stalls) / 60.0)
    assert agree >= 0.9 * len(starts)
    assert np.median(off_by_min) < 10.0
    assert 0.5 * len(starts) < len(off_by_min) < len(starts)
