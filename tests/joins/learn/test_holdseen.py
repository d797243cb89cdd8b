"""Hold boxes are learned like pits: how fast what lies in them cools."""

from __future__ import annotations

import json
from dataclasses import replace

from stallwise.joins.answer import answer
from stallwise.joins.learn.learning import learn
from tests.joins.cooks import NOW, line, record
from tests.joins.ways.test_troubles import OFFSET, shoulder


def cook(name, *cores, hold="box", **more):
    """A shoulder off at one o'clock, read in its box."""
    log = (
        line("02:00", "meat_on"), line("13:00", "off"), line("13:05", "rest_start"),
        *(line(at, "core_reading", "A", temperature_c=core_c) for at, core_c in cores),
        line("18:30", "pulled"),
    )  # fmt: skip
    made = record(shoulder(hold=hold), log=log, pits=OFFSET, serve="19:00", **more)
    return replace(made, name=name)


QUICK = (("14:00", 90.0), ("16:00", 68.0), ("18:00", 53.0))
SLOW = (("14:00", 92.0), ("16:00", 88.0), ("18:00", 84.0))


def keeps(*records):
    known = learn(records)["cooks"][-1]["pits"].get("hold box", {})
    return known.get("pit.keeps.box")


def test_a_box_that_lets_go_is_told_from_one_that_keeps():
    (quick, doubt), (slow, _) = keeps(cook("1", *QUICK)), keeps(cook("1", *SLOW))
    assert quick > 1.3
    assert slow < 0.8
    assert doubt < 0.3
    twice = keeps(cook("1", *QUICK), cook("2", *QUICK))
    assert twice[1] < doubt


def test_what_was_learned_is_how_the_next_hold_is_forecast():
    def core_c(*before):
        known = learn(before) if before else None
        asked = record(
            shoulder(hold="box"), pits=OFFSET, serve="19:00", date=NOW.date().replace(month=6)
        )
        made = answer(replace(asked, name="9", learned=known), made_at=NOW, changes={"members": 60})
        return made.pieces[0].serving.core_c.p50

    usual = core_c()
    assert core_c(cook("1", *QUICK), cook("2", *QUICK)) < usual - 3.0
    assert core_c(cook("1", *SLOW), cook("2", *SLOW)) > usual + 2.0


def test_a_cook_left_out_leaves_no_trace():
    both = learn([cook("1", *QUICK), cook("2", *SLOW)], without=["1"])
    assert json.dumps(both) == json.dumps(learn([cook("2", *SLOW)]))


def test_two_readings_an_hour_apart_are_the_least_and_a_counter_is_no_box():
    assert keeps(cook("1", ("14:00", 90.0))) is None
    assert keeps(cook("1", ("14:00", 90.0), ("14:30", 86.0))) is None
    assert keeps(cook("1", *QUICK, hold="counter")) is None
    # A core that rises tells nothing of the box.
    assert keeps(cook("1", ("14:00", 80.0), ("16:00", 84.0))) is None
