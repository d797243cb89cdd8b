"""What a step's button writes is read as that step, for every kind of step there is a line for."""

import dataclasses
import datetime as dt
import importlib.util
from pathlib import Path

import pytest

from stallwise.joins.log.paper import read_one
from stallwise.joins.log.papercontext import paper_context
from stallwise.joins.sheet.donesteps import done_at
from stallwise.joins.sheet.stepline import _PHRASES, next_lines

_SPEC = importlib.util.spec_from_file_location(
    "cooks", Path(__file__).parents[2] / "surfaces" / "cooks.py"
)
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

#: A day with as many kinds of steps as one day can have.
FULL = """\
schema = 1
title = "All of it"
date = 2027-09-25
serve = "18:00"

[[pits]]
letter = "P"
start = "225 F"
climb_to = "275 F"
climb_from = "2 h"

[[pits]]
letter = "Q"
pit = "kitchen-oven"
kind = "oven"

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
pit = "P"
wrap = "foil"
unwrap = "4 h 30 min"
turn = "1 h"
glaze_at = "5 h"

[[pieces]]
letter = "B"
cut = "beef-brisket-whole"
pit = "P"
wrap = "paper"
moves = [{ to = "Q", at = "12:00" }]

[[jobs]]
job = "Beans"
takes = "40 min"
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    book = cooks.start_book(tmp_path_factory.mktemp("steps"))
    return cooks.desk_of(book.new_cook("all", dt.date(2027, 9, 25), FULL))


def test_what_a_button_writes_is_read_as_its_step(desk):
    result, record = desk.result, desk.record
    context = paper_context(record, now=cooks.BEFORE)
    pieces = {piece.letter: piece for piece in desk.cook.pieces}
    kinds = set()
    for line in next_lines(result, record):
        step = next(step for step in result.steps if step.id == line.id)
        at = step.at.strftime("%Y-%m-%d %H:%M")
        read = read_one(line.phrase, at=at, piece=line.letter, context=context)
        number = int("".join(filter(str.isdigit, step.id)) or 1)
        entries = [*read.entries] * number
        assert done_at(step, pieces.get(step.piece), entries) is not None, line
        kinds.add(step.id.partition("-")[0])
    rare = {"trim", "switch_on", "chill", "reheat"}  # of other days, each a word of the list alone
    assert kinds | rare == set(_PHRASES)


def test_a_step_that_a_later_one_overtook_is_not_next(desk):
    record = desk.record
    context = paper_context(record, now=cooks.NIGHT)
    lines = [
        entry
        for words, piece in (("2027-09-25 12:30 wrapped foil", "A"), ("2027-09-25 15:00 note: beans done", ""))
        for entry in read_one(words[17:], at=words[:16], piece=piece, context=context).entries
    ]  # fmt: skip
    logged = dataclasses.replace(record, log=tuple(lines))
    left = [line.id for line in next_lines(desk.result, logged)]
    assert not {"meat_on-A", "rub-A", "wrap-A"} & set(left)
    assert {"unwrap-A", "serve-A", "meat_on-B"} <= set(left)
    # A job by the side waits for no piece, and none overtakes it.
    assert not any(name.startswith("job") for name in left)
