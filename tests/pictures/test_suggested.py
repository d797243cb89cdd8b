"""What readings suggest, in the picture: faint, dashed, few, and nothing that was written down."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.result import Inferred
from stallwise.pictures.charts import NARROW, WIDE
from stallwise.pictures.day import day_scene
from tests.pictures.results import shoulder as a_day


def item(kind, hour, *, long_h=None, **known):
    day = a_day()
    when = day.hour_zero + dt.timedelta(hours=hour)
    until = None if long_h is None else when + dt.timedelta(hours=long_h)
    given = {"piece": day.pieces[0].piece, "pit": "", "temperature_c": 70.0, "confidence": 0.7}
    given |= {"words": "likely", "why": "it looks so"} | known
    return Inferred(kind=kind, at=when, elapsed_h=hour, until=until, **given)


def words_of(*items, width=WIDE):
    scene = day_scene(dataclasses.replace(a_day(), inferred=items), width)
    return [row["text"] for row in scene.data["words"]], scene


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_a_stall_is_named_with_how_sure_it_is(width):
    said, _ = words_of(item("stall", 1.0, long_h=1.0), width=width)
    assert any(text.startswith("likely stall") for text in said)
    assert "as the readings look" in said


def test_what_agrees_with_the_log_is_not_drawn_twice():
    said, _ = words_of(item("lid_open", 1.0, agrees_with="spritz"))
    assert "as the readings look" not in said


def test_openings_are_one_word_and_a_picture_is_not_crowded():
    pit = a_day().pieces[0].pit
    lids = [item("lid_open", 0.5 + 0.3 * i, piece="", pit=pit) for i in range(5)]
    moved = [item("probe_moved", 0.4 + 0.2 * i) for i in range(12)]
    said, _ = words_of(*lids)
    assert sum("lid open" in text for text in said) == 1
    said, _ = words_of(*moved)
    assert sum("probe moved" in text for text in said) == 6
