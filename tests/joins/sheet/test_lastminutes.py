"""The last 45 minutes: minutes backwards, nobody late by the list, no odds."""

from __future__ import annotations

from dataclasses import replace

from paper_contexts import at
from sheet_pieces import RIB_PITS, RIBS, result_of, rib

from stallwise.joins.sheet.lastminutes import last_minutes


def step_like(step, key, when, **more):
    return replace(step, id=f"{key}-{step.piece}", at=at(when), **more)


def day(*serves):
    letters = "AB"[: len(serves)]
    pieces = [
        rib(letter, serve=f"2027-09-25 {when}")
        for letter, when in zip(letters, serves, strict=True)
    ]
    return result_of(RIBS, pieces, RIB_PITS)


def test_minutes_count_down_to_serving():
    (one,) = last_minutes(day("16:00", "16:00"))
    minutes = [row.minutes for row in one.rows]
    assert minutes == sorted(minutes, reverse=True)
    assert max(minutes) <= 45
    last = one.rows[-1]
    assert (last.minutes, last.clock, last.who, last.what) == (0, "16:00", "", "Serve")
    assert one.letters == ("A", "B")


def test_a_minute_begun_is_a_minute_less():
    plan = day("16:00")
    knife = next(step for step in plan.steps if step.id.startswith("carve"))
    moved = replace(knife, at=at("2027-09-25 15:48").replace(second=20))
    steps = tuple(moved if step is knife else step for step in plan.steps)
    (one,) = last_minutes(replace(plan, steps=steps))
    row = next(row for row in one.rows if row.what == knife.what)
    assert (row.minutes, row.clock) == (12, "15:48")


def test_turn_ins_half_an_hour_apart_have_a_list_each_with_the_other_ones_steps():
    first, second = last_minutes(day("16:00", "16:30"))
    assert (first.letters, second.letters) == (("A",), ("B",))
    # The first plate goes out while the second piece still waits: the same hands.
    assert (30, "A", "Serve") in [(row.minutes, row.who, row.what) for row in second.rows]


def test_a_plate_that_is_late_is_counted_back_from_when_it_comes():
    plan = day("16:00")
    late = tuple(
        replace(step, at=at("2027-09-25 17:30").replace(second=40))
        if step.id.startswith("serve")
        else step
        for step in plan.steps
    )
    (one,) = last_minutes(replace(plan, steps=late))
    assert one.serve_at == at("2027-09-25 17:30")
    assert (one.rows[-1].minutes, one.rows[-1].what) == (0, "Serve")


def test_where_each_piece_is_when_the_list_begins_and_whose_hands():
    plan = day("16:00")
    serve = next(step for step in plan.steps if step.id.startswith("serve"))
    steps = (
        step_like(serve, "rest", "2027-09-25 14:10"),
        step_like(serve, "hold", "2027-09-25 14:30"),
        step_like(serve, "carve", "2027-09-25 15:50", what="Slice", person="1 2"),
    )
    (one,) = last_minutes(replace(plan, steps=steps, roles=("fire", "kitchen")))
    assert one.stands == "A held"
    assert [(row.minutes, row.what, row.by) for row in one.rows] == [
        (10, "Slice", "fire and kitchen")
    ]


def test_without_a_serving_time_there_is_nothing_to_count_back_from():
    plan = result_of(RIBS, [rib("A", serve=None)], RIB_PITS)
    assert last_minutes(plan) == ()
