"""A probe's clock against the log's: asked before it is brought in, said afterwards, never guessed."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np
import pytest

from stallwise.joins.answer import answer
from stallwise.joins.learn.learning import learn
from stallwise.joins.learn.probeclock import clock_questions, clock_warnings
from stallwise.record.readings import Channel, Readings
from stallwise.record.schema import PitUse
from tests.joins.cooks import DATE, line, record, ribs
from tests.models import traces as made

ON = dt.datetime(DATE.year, DATE.month, DATE.day, 4, tzinfo=dt.UTC)
SHOULDER = {"cut": "pork-shoulder-bone-in", "mass": "8 lb", "wrap": "none"}
LIDS_H = [2.0, 3.0, 4.1, 5.7, 7.5]
LOG = (
    line("04:00", "meat_on"),
    *(line(f"{4 + int(h):02d}:{round(h % 1 * 60):02d}", "spritz") for h in LIDS_H),
    line("15:20", "off"),
)


def probe(shift_h: float, what: str = "A", file: str = "readings/probe.csv") -> Readings:
    time_s = made.times(11.4)
    core_c = made.noisy(made.curve(time_s, made.ONE))
    held_c = made.opened(time_s, made.noisy(np.full(len(time_s), 112.0), seed=2), LIDS_H)
    at = tuple(ON + dt.timedelta(seconds=float(s), hours=shift_h) for s in time_s)
    values = tuple(map(float, core_c if what == "A" else held_c))
    piece, pit = (what, "") if what == "A" else ("", what)
    return Readings(file, what, piece, pit, "core" if piece else "grate", at, values)


def channels(*some: Readings) -> list[Channel]:
    return [Channel(r.channel, "C", r.piece, r.pit, r.place, r.at, r.temperature_c) for r in some]


def cook(*readings: Readings, log=LOG):
    one = record(ribs(**SHOULDER), log=log, pits=[PitUse(letter="P", start="235 F")], serve="19:00")
    return dataclasses.replace(one, readings=readings)


def ask(*some: Readings, log=LOG, held=()):
    one = cook(log=log)
    return clock_questions(one.cook, log, channels(*some), held, zone=one.zone)


@pytest.mark.parametrize(("shift_h", "said"), [(1.0, "1 h earlier"), (-1.0, "1 h later")])
def test_an_hour_off_is_asked_with_the_option_that_answers_it(shift_h, said):
    (question,) = ask(probe(shift_h), probe(shift_h, "P"))
    assert f"--shift '{said}'" in question
    assert "--zone" in question
    assert "--shift 0" in question
    assert "A went on about" in question
    assert "by pit P the lid was open at" in question


def test_the_core_alone_tells_an_hour():
    (question,) = ask(probe(1.0), log=LOG[:1])
    assert "04:00 by the log" in question


def test_a_clock_that_was_never_set_is_asked_without_a_zone():
    (question,) = ask(probe(2.6), probe(2.6, "P"))
    assert "--zone" not in question
    assert "2 h 3" in question


def test_clocks_that_agree_or_have_nothing_to_agree_with_are_not_asked_about():
    assert ask(probe(0.0), probe(0.0, "P")) == []
    assert ask(probe(0.1), probe(0.1, "P")) == []
    assert ask(probe(1.0), probe(1.0, "P"), log=()) == []
    assert ask() == []


def test_two_files_whose_clocks_come_apart_are_asked_about():
    held = (probe(0.0, file="readings/first.csv"),)
    (question,) = ask(probe(1.0), log=(), held=held)
    assert "piece A come about 1 h later than those in first.csv" in question
    assert "--shift '1 h earlier'" in question
    assert "--shift '1 h later' --overlap replace" in question
    assert ask(probe(0.0), log=(), held=held) == []
    # where the log knows better it is asked once
    assert len(ask(probe(1.0), held=held)) == 1


def test_a_file_that_goes_on_where_another_ended_is_no_other_clock():
    whole = probe(0.0, "P")
    cut = 300
    first = dataclasses.replace(
        whole, file="a.csv", at=whole.at[:cut], temperature_c=whole.temperature_c[:cut]
    )
    rest = dataclasses.replace(whole, at=whole.at[cut:], temperature_c=whole.temperature_c[cut:])
    assert ask(rest, log=(), held=(first,)) == []
    hand = [
        line(f"{4 + hour:02d}:10", "pit_reading", temperature_c=112.0, place="grate")
        for hour in range(5)
    ]
    assert ask(rest, log=(LOG[0], *hand)) == []
    assert ask(rest, log=LOG[:4]) == []


def test_a_log_typed_after_the_import_finds_it_out_too():
    (warned,) = clock_warnings(cook().cook, LOG, [probe(1.0), probe(1.0, "P")], zone=cook().zone)
    assert warned.key == "clocks-apart"
    assert "probe.csv" in warned.text
    assert "--shift '1 h earlier' --overlap replace" in warned.text
    said = dataclasses.replace(probe(1.0), clock_said=True)
    assert clock_warnings(cook().cook, LOG, [said], zone=cook().zone) == ()


def test_the_result_says_it_and_looks_no_further_than_its_moment():
    late = ON + dt.timedelta(hours=11)
    found = answer(cook(probe(1.0)), made_at=late, as_of=late, changes={"members": 20})
    assert "clocks-apart" in {warning.key for warning in found.warnings}
    early = ON + dt.timedelta(hours=1.2)
    found = answer(cook(probe(1.0)), made_at=early, as_of=early, changes={"members": 20})
    assert "clocks-apart" not in {warning.key for warning in found.warnings}


def test_a_cook_whose_clocks_disagree_does_not_teach_until_it_is_said():
    (entry,) = learn([cook(probe(1.0))])["cooks"]
    assert not entry["taught"]
    assert "--shift" in entry["why"]
    said = dataclasses.replace(probe(1.0), clock_said=True)
    (entry,) = learn([cook(said)])["cooks"]
    assert "--shift" not in entry["why"]


def test_a_probe_on_the_skin_tells_no_core_and_is_not_asked_about() -> None:
    skin = dataclasses.replace(probe(1.0), place="skin")
    assert ask(probe(1.0), log=LOG[:1])
    assert ask(skin, log=LOG[:1]) == []
