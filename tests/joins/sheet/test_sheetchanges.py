"""What is new since the last print: a paper in hand is never silently out of date."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace

import pytest
from paper_contexts import ZONE, at
from sheet_pieces import RIB_PITS, RIBS, later, result_of, rib

from stallwise.joins.sheet.sheetchanges import marked, printed_now

PLAN = result_of(RIBS, [rib("A"), rib("B")], RIB_PITS)


def moved(minutes, *, made="2027-09-22 08:00"):
    pieces = [later(rib("A"), dt.timedelta(minutes=minutes)), rib("B")]
    return result_of(RIBS, pieces, RIB_PITS, made_at=at(made))


def news(result, printed):
    found = marked(result.steps, printed, result.as_of, ZONE)
    return found.since, {(s.id, s.change): s.was_at for s in found.steps if s.change} | {
        (one.what, "gone"): one.was_at for one in found.gone
    }


def test_without_a_print_nothing_is_new():
    assert news(PLAN, {}) == (None, {})


def test_a_step_that_moved_is_marked_with_the_time_on_the_paper():
    since, found = news(moved(60), printed_now(PLAN, {}))
    assert since == PLAN.made_at
    assert found[("serve-A", "moved")] == at("2027-09-25 16:00")
    assert ("serve-B", "moved") not in found


def test_less_than_the_paper_could_show_is_no_news():
    assert news(moved(4), printed_now(PLAN, {}))[1] == {}


def test_new_gone_and_other_steps_are_told_apart():
    only = replace(PLAN, steps=PLAN.steps[1:])
    assert {kind for _, kind in news(PLAN, printed_now(only, {}))[1]} == {"new"}
    first = PLAN.steps[0]
    assert list(news(only, printed_now(PLAN, {}))[1]) == [(first.what, "gone")]
    step = replace(PLAN.steps[3], what="Wrap: paper")
    other = replace(PLAN, steps=(*PLAN.steps[:3], step, *PLAN.steps[4:]))
    assert set(news(other, printed_now(PLAN, {}))[1]) == {(step.id, "new")}


def test_what_is_done_is_no_news():
    later_plan = moved(60)
    steps = tuple(replace(step, done_at=step.at) for step in later_plan.steps)
    assert news(replace(later_plan, steps=steps), printed_now(PLAN, {}))[1] == {}


def test_the_second_print_of_the_same_plan_has_the_same_marks():
    plan = moved(60)
    once = printed_now(plan, printed_now(PLAN, {}))
    twice = printed_now(replace(plan, made_at=at("2027-09-22 08:05")), once)
    assert news(plan, once) == news(plan, printed_now(PLAN, {})) == news(plan, twice)
    # A plan that changed again is told against the newest paper.
    since, _ = news(moved(120), twice)
    assert since == at("2027-09-22 08:05")


@pytest.mark.parametrize(
    "spoil",
    [
        lambda kept: kept.update(sheets="none"),
        lambda kept: kept["sheets"].append(3),
        lambda kept: kept["sheets"][-1].update(steps=[]),
        lambda kept: kept["sheets"][-1]["steps"]["serve-A"].pop("shown"),
        lambda kept: kept["sheets"][-1]["steps"]["serve-A"].update(at="yesterday"),
        lambda kept: kept["sheets"][-1]["steps"]["serve-A"].update(at="2027-09-25T16:00:00"),
        lambda kept: kept["sheets"][-1]["steps"]["serve-A"].update(to_s=None, what=4),
    ],
)
def test_a_spoilt_print_keeps_no_answer_back(spoil):
    kept = json.loads(json.dumps(printed_now(PLAN, {})))
    spoil(kept)
    news(moved(60), kept)
    assert news(moved(60), printed_now(PLAN, kept))[0] == PLAN.made_at
