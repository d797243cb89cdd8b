"""Pieces that come and go: what names them follows, and the file says the same afterwards."""

import datetime as dt
import tomllib
from dataclasses import replace

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins import lineup
from stallwise.record.edits import edit
from stallwise.record.folder import Cookbook
from stallwise.record.schema import Cook

TEXT = """\
schema = 1
title = "Lots"
date = 2027-10-02
serve = "17:00"

[[pits]]
letter = "Q"

[[mixes]]
mix = "plain-rub"   # the usual
on = ["A", "B"]

[[mixes]]
mix = "low-salt-rub"
on = ["B"]

[[jobs]]
job = "beans"
takes = "2 h"
needs = ["B"]

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
mass = "3 lb"
mass_bought = "3 lb 6 oz"
wrap = "foil"

[[pieces]]
letter = "B"   # the lean one
cut = "pork-shoulder-bone-in"
"""
COOK = Cook.model_validate(tomllib.loads(TEXT))


def rewritten(after: Cook) -> Cook:
    """What the file says once the change is written into it."""
    text = edit(TEXT, lineup.written(COOK, after))
    assert "# the usual" in text
    return Cook.model_validate(tomllib.loads(text))


@pytest.fixture
def record(tmp_path):
    book = Cookbook.start(tmp_path / "book", title="Try", units="us", time_zone="Etc/UTC")
    return book.new_cook("lots", dt.date(2027, 10, 2), TEXT).load()


def test_a_copy_takes_the_plan_and_the_mixes_but_no_fact_and_no_used_letter() -> None:
    after = lineup.with_copy(COOK, "A", COOK.pieces[0])
    new = after.pieces[-1]
    assert (new.letter, new.mass, new.wrap, new.mass_bought) == ("C", "3 lb", "foil", None)
    assert [mix.on for mix in after.mixes] == [["A", "B", "C"], ["B"]]
    assert rewritten(after) == after


def test_letters_are_free_of_pits_and_end() -> None:
    cook = COOK
    for _ in range(22):  # A, B and the pits P and Q are taken
        cook = lineup.with_piece(cook, "turkey-half")
    assert cook.pieces[-1].letter == "Z"
    assert not {"P", "Q"} & {piece.letter for piece in cook.pieces}
    with pytest.raises(InputError, match="how many are alike"):
        lineup.with_piece(cook, "turkey-half")


def test_two_more_pieces_are_written_as_two() -> None:
    after = lineup.with_piece(lineup.with_piece(COOK, "turkey-half"), "lamb-leg")
    assert [piece.cut for piece in rewritten(after).pieces[2:]] == ["turkey-half", "lamb-leg"]


def test_a_piece_that_goes_leaves_no_letter_behind(record) -> None:
    after = lineup.without_piece(record, "B")
    assert [mix.mix for mix in after.mixes] == ["plain-rub"]
    assert (after.mixes[0].on, after.jobs[0].needs) == (["A"], [])
    assert rewritten(after) == after


def test_another_cut_brings_nothing_of_the_old_one_but_pit_count_and_serving() -> None:
    after = lineup.with_cut(COOK, "A", "beef-brisket-flat")
    assert (after.pieces[0].cut, after.pieces[0].mass, after.pieces[0].wrap) == (
        "beef-brisket-flat",
        None,
        None,
    )
    assert rewritten(after) == after


def test_the_last_piece_and_one_that_was_logged_stay(record) -> None:
    with pytest.raises(NotFoundError):
        lineup.without_piece(record, "Z")
    alone = replace(record, cook=lineup.without_piece(record, "B"))
    with pytest.raises(InputError, match="only piece"):
        lineup.without_piece(alone, "A")


def test_a_piece_that_was_logged_is_not_taken_out(record) -> None:
    from stallwise.record.log import LogLine

    at = dt.datetime(2027, 10, 2, 12, tzinfo=dt.UTC)
    line = LogLine(id="1", at=at, what="meat_on", made=at, piece="B")
    with pytest.raises(InputError, match="in the log already"):
        lineup.without_piece(replace(record, log=(line,)), "B")
