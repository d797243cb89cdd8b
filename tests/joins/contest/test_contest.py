"""Four hand-ins half an hour apart: starts apart from each other, fit at the minute, and what does not go."""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
import time

import numpy as np
import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.contest.contestplan import contest_plan
from stallwise.joins.contest.contestwords import handin_table, more_words, picked_table
from stallwise.joins.contest.fitness import fit_span
from stallwise.joins.foresight import foresee, question
from stallwise.joins.sheet.lastminutes import last_minutes
from stallwise.models.showing import Showable, best_starts, shown_share
from stallwise.record.number import Number
from stallwise.record.schema import Cook
from stallwise.record.toml import parse
from stallwise.surfaces.contestprint import handins_html
from tests.joins.eventbook import AHEAD, event_book, holds_together


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    return event_book(tmp_path_factory.mktemp("contest")).cook("four-hand-ins").load()


def _changed(record, **changes):
    return dataclasses.replace(record, cook=record.cook.model_copy(update=changes))


def _unplanned(record):
    return _changed(
        record, pieces=[one.model_copy(update={"on": None}) for one in record.cook.pieces]
    )


@pytest.fixture(scope="module")
def planned(kept):
    bare = _unplanned(kept)
    before = time.process_time()
    plan, result = contest_plan(bare, made_at=AHEAD)
    return bare, plan, result, time.process_time() - before


def test_four_hand_ins_half_an_hour_apart_hold_together(planned):
    record, plan, result, seconds = planned
    holds_together(record, result)
    assert seconds < 3.0
    times = [one.at for one in plan.hand_ins]
    assert {b - a for a, b in itertools.pairwise(times)} == {dt.timedelta(minutes=30)}
    assert [one.serve_at for one in last_minutes(result)] == times
    assert min(one.share for one in plan.hand_ins) >= 0.9
    assert not [one for one in plan.warnings if one.key.startswith("hand-in")]
    lit = [step.at for step in result.steps if step.id.startswith("fire_lit")]
    assert min(lit) >= plan.opens


def test_pieces_apart_from_each_other_are_worth_more_than_one(planned):
    record, plan, _result, _ = planned
    ribs = plan.hand_ins[2]
    assert len({piece.on_at for piece in ribs.pieces}) == 3
    assert ribs.shares[0] + 0.2 < ribs.shares[1] < ribs.shares[2] == ribs.share
    # As many all put on at once, by the odds: there they wait until they are soft.
    together = {f"on__{letter}": "2027-08-21 09:40" for letter in "EFG"}
    asked = question(record, made_at=AHEAD, changes={**plan.starts, **together})
    seen = foresee(asked)
    ahead_s = (ribs.at - seen.on["E"]).total_seconds()
    spans = [fit_span(seen, letter) for letter in "EFG"]
    at_once = shown_share(spans, [ahead_s] * 3, seen.forecast.pieces["E"].weights)
    assert at_once < ribs.share - 0.2
    said = list(more_words(plan))
    assert said[2].startswith("Spare ribs, 1 of 3: E ")
    assert handin_table(plan).rows[0][1] == "lamb shoulder"


def test_fit_ends_where_it_would_be_softer_than_wanted(kept):
    asked = question(kept, made_at=AHEAD)
    seen = foresee(asked)
    crisp, ribs, brisket = (fit_span(seen, letter) for letter in "CEJ")
    known = np.isfinite(crisp.since_s)
    # Skin stays crisp for half an hour, ribs keep longer, brisket in a warm oven longest.
    assert np.max((crisp.until_s - crisp.since_s)[known]) <= 1801.1
    kept_h = [
        float(np.median((one.until_s - one.since_s)[np.isfinite(one.since_s)])) / 3600
        for one in (ribs, brisket)
    ]
    assert 0.5 < kept_h[0] < kept_h[1] < 8.0


def test_a_hand_in_before_the_cook_could_finish_names_the_earliest_that_works(kept):
    late = kept.cook.contest.model_copy(update={"opens": "13:00"})
    plan, _ = contest_plan(_changed(_unplanned(kept), contest=late), made_at=AHEAD)
    (lamb, *_) = [one.text for one in plan.warnings if one.key == "hand-in-early"]
    assert lamb.startswith(
        "lamb shoulder at 16:00 comes before the cook can finish: with no fire before 13:00"
    )
    told = lamb.partition("The earliest that works (guests coming) is ")[2][:5]
    again = kept.cook.contest.hand_ins[0].model_copy(update={"at": told})
    moved = late.model_copy(update={"hand_ins": [again, *kept.cook.contest.hand_ins[1:]]})
    plan, _ = contest_plan(_changed(_unplanned(kept), contest=moved), made_at=AHEAD)
    assert not [one for one in plan.warnings if one.text.startswith("lamb shoulder at")]


def test_a_hand_in_that_could_be_but_is_not_sure_asks_for_one_more_piece(kept):
    ribs = kept.cook.contest.hand_ins[2].model_copy(update={"pieces": ["E"]})
    alone = kept.cook.contest.model_copy(update={"hand_ins": [ribs]})
    plan, _ = contest_plan(_changed(_unplanned(kept), contest=alone), made_at=AHEAD)
    (said,) = [one for one in plan.warnings if one.key.startswith("hand-in")]
    assert said.key == "hand-in-unsure"
    assert "one more piece on another start" in said.text


def test_two_people_wanted_at_once_names_how_many_do(kept):
    plan, result = contest_plan(_changed(kept, people=1, roles=[]), made_at=AHEAD)
    assert [one for one in result.warnings if one.key == "hands"]
    (said,) = [one.text for one in plan.warnings if one.key == "people"]
    many = int(said.split()[1])
    _, enough = contest_plan(_changed(kept, people=many, roles=[]), made_at=AHEAD)
    assert said.startswith("With ")
    assert ("nobody" in said) == (not [one for one in enough.warnings if one.key == "hands"])


def test_what_was_picked_is_told_with_its_line_and_number(kept):
    told = {
        "picked": ["B"],
        "why": "the bark held and A had split",
        "photo": "both.jpg",
        "comments": ["smoky enough"],
        "number": Number(name="bites left", value=2, out_of=6),
    }
    first = kept.cook.contest.hand_ins[0].model_copy(update=told)
    changed = kept.cook.contest.model_copy(
        update={"hand_ins": [first, *kept.cook.contest.hand_ins[1:]]}
    )
    plan, result = contest_plan(_changed(kept, contest=changed), made_at=AHEAD)
    (row,) = picked_table(plan).rows
    assert row[2:] == (
        "B",
        "the bark held and A had split",
        "both.jpg",
        "bites left: 2 of 6",
        "smoky enough",
    )
    assert "the bark held" in handins_html(plan, result)
    with pytest.raises(InputError, match="is no contest day"):
        contest_plan(_changed(kept, contest=None), made_at=AHEAD)


PIECE = '[[pieces]]\nletter = "A"\ncut = "lamb-shoulder"\n'
HEAD = 'title = "t"\ndate = 2027-08-21\n'


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (
            '[[contest.hand_ins]]\nname = "x"\nat = "12:00"\npieces = ["Z"]\n',
            "pieces of this cook: A",
        ),
        (
            (
                '[[contest.hand_ins]]\nname = "x"\nat = "12:00"\npieces = ["A"]\n'
                '[[contest.hand_ins]]\nname = "y"\nat = "12:30"\npieces = ["A"]\n'
            ),
            "each piece once",
        ),
    ],
)
def test_hand_ins_that_do_not_fit_together_are_told(rows, words):
    with pytest.raises(InputError, match=words):
        parse(f"{HEAD}{PIECE}{rows}", Cook, file="cook.toml")
    twice = (
        PIECE + 'serve = "13:00"\n[[contest.hand_ins]]\nname = "x"\nat = "12:00"\npieces = ["A"]\n'
    )
    with pytest.raises(InputError, match="one time: leave serve out"):
        parse(HEAD + twice, Cook, file="cook.toml")


def test_starts_cover_the_most_days_by_hand():
    days = np.array([0.0, 600.0, 1200.0, 1800.0])
    one = Showable(days, days + 700.0)
    weights = np.full(4, 0.25)
    alone, both = best_starts([one], weights), best_starts([one, one], weights)
    assert (alone.any_of_them, both.any_of_them) == (0.5, 1.0)
    assert best_starts([one], weights, longest_s=300.0).before_s[0] <= 300.0
    with pytest.raises(InputError, match="on no possible day"):
        best_starts([Showable(np.full(4, np.inf), np.full(4, np.inf))], weights)
