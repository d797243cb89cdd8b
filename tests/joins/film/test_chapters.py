"""Chapters of a film from the log: one a line, from 0:00 on."""

import datetime as dt
import re

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.film.chapters import chapter_text, chapters
from stallwise.joins.log.papercontext import paper_context
from tests.joins.cooks import line, record

TWELVE = (
    ("rub_on", "08:30"), ("fire_lit", "08:45"), ("pit_steady", "09:55"), ("meat_on", "10:00"),
    ("spritz", "12:00"), ("spritz", "13:00"), ("wrapped", "14:00"), ("feel_check", "15:00"), ("feel_check", "15:30"),
    ("rest_start", "15:40"), ("sliced", "16:00"), ("served", "16:05"),
)  # fmt: skip


@pytest.fixture
def twelve():
    return record(log=tuple(line(at, what) for what, at in TWELVE))


def test_twelve_lines_and_a_start_are_twelve_chapters_from_nought_on(twelve):
    start = twelve.log[0].at - dt.timedelta(minutes=5)
    found = chapters(twelve.log, start, paper_context(twelve))
    lines = chapter_text(found).splitlines()
    assert len(lines) == 12
    assert lines[0] == "0:00:00 Rub on"
    assert all(re.fullmatch(r"\d+:\d\d:\d\d \S.*", each) for each in lines)
    assert lines[3] == "1:35:00 Meat on"
    times = [one.at_s for one in found]
    assert times == sorted(set(times))


def test_what_happened_before_the_film_is_not_in_it(twelve):
    found = chapters(twelve.log, twelve.log[3].at, paper_context(twelve))
    assert len(found) == 9
    assert found[0].at_s == 0


def test_lines_of_one_minute_stand_a_second_apart():
    made = record(
        log=(line("10:00", "meat_on"), line("10:00", "lid_open"), line("10:00", "spritz"))
    )
    found = chapters(made.log, made.log[0].at, paper_context(made))
    assert [one.at_s for one in found] == [0, 1, 2]
    assert chapter_text(found).startswith("0:00 Meat on\n0:01 ")


def test_a_film_after_the_last_line_is_refused(twelve):
    after = twelve.log[-1].at + dt.timedelta(hours=1)
    with pytest.raises(InputError, match="nothing is logged from"):
        chapters(twelve.log, after, paper_context(twelve))
