"""The next crowd, class or contest begins with the terms of the last, not with what it came to."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground import assets
from stallwise.joins.draft import draft
from stallwise.record.schema import Cook
from stallwise.record.toml import parse

EVENTS = (
    "2027-06-12-fete-for-ninety",
    "2027-07-10-class-of-twelve",
    "2027-08-21-green-four-hand-ins",
)


def _read(name):
    return parse(
        assets.read_text("data", "sample-events", "cooks", name, "cook.toml"), Cook, file=""
    )


def _next(name, cook, cut=None):
    text = draft(title="again", date=dt.date(2028, 6, 10), cut=cut, before=(name, cook), changes={})
    return parse(text, Cook, file="cook.toml")


@pytest.mark.parametrize("name", EVENTS)
def test_terms_come_along(name):
    was = _read(name)
    new = _next(name, was)
    assert new.carried_from == name
    assert (new.guests, new.children, new.no_meat) == (was.guests, was.children, was.no_meat)
    assert new.quote == was.quote
    assert new.lesson == was.lesson
    assert new.contest == was.contest
    assert [one.a_head for one in new.extras] == [one.a_head for one in was.extras]


def test_what_it_came_to_and_names_stay_behind():
    crowd, lesson, contest = (_read(name) for name in EVENTS)
    quote = crowd.quote.model_copy(update={"came": 84, "quoted": "$14", "paid": {"meat": "$9"}})
    new = _next(EVENTS[0], crowd.model_copy(update={"quote": quote})).quote
    assert (new.came, new.quoted, new.paid, new.margin) == (None, None, {}, "25 %")
    team = lesson.lesson.teams[0].model_copy(update={"names": ["Quillon Vey"]})
    named = lesson.lesson.model_copy(update={"teams": [team]})
    assert _next(EVENTS[1], lesson.model_copy(update={"lesson": named})).lesson.teams[0].names == []
    first = contest.contest.hand_ins[0].model_copy(update={"picked": ["A"], "why": "x"})
    told = contest.contest.model_copy(update={"hand_ins": [first]})
    new = _next(EVENTS[2], contest.model_copy(update={"contest": told})).contest.hand_ins[0]
    assert (new.picked, new.why, new.pieces) == ([], None, ["A", "B"])


def test_a_hand_in_without_a_piece_stays_behind():
    contest = _read(EVENTS[2])
    new = _next(EVENTS[2], contest, cut="lamb-shoulder").contest
    assert [one.name for one in new.hand_ins] == ["lamb shoulder"]
