"""Room for words: no word covers a mark or a line, and no label is cut at an edge."""

from __future__ import annotations

import dataclasses
import itertools
import runpy
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.pictures.charts import NARROW, WIDE
from stallwise.pictures.day import day_scene
from stallwise.pictures.labels import Item, pack, text_width

_MADE = runpy.run_path(str(Path(__file__).with_name("results.py")))
_KINDS = ("weighed", "wood", "spritz", "wrapped", "feel_check", "served", "rub_on", "glazed")


def boxes(scene, data=None):
    """Left, right, middle height and text of each word."""
    for row in scene.data["words"]:
        wide = text_width(row["text"], row["size"])
        px = scene.hours.px(row["h"])
        left = {"left": px, "right": px - wide, "center": px - wide / 2}[row["align"]]
        yield left, left + wide, row["y"], row["text"]


def ribs_with(found):
    """Result of the two racks with these events of rack A in the place of its own."""
    ribs, seen = _MADE["ribs"](), _MADE["seen"]
    events = [
        seen(ribs.hour_zero, at, what, "A", verdict="not yet" if what == "feel_check" else "")
        for what, at in found
    ]
    return dataclasses.replace(ribs, events=tuple(events), pieces=ribs.pieces[:1])


@pytest.mark.parametrize("width", [NARROW, WIDE])
@given(st.lists(st.tuples(st.sampled_from(_KINDS), st.floats(-1.9, 7)), max_size=14))
def test_no_word_covers_a_mark(width, found):
    scene = day_scene(ribs_with(found), width)
    ticks = [
        (scene.hours.px(row["h"]), (row["y"] + row["y2"]) / 2, 1.0)
        for row in scene.data.get("rules", [])
        if row["y2"] - row["y"] == 10
    ]
    ticks += [(scene.hours.px(row["h"]), row["y"], 4.0) for row in scene.data.get("marks", [])]
    for left, right, middle, text in boxes(scene):
        for px, y, half in ticks:
            if abs(y - middle) < 8:
                assert right <= px - half or left >= px + half, text


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_words_of_the_log_stand_off_the_serving_line(width):
    last = [("weighed", 6.6), ("served", 6.7), ("wood", 6.4), ("glazed", 6.2), ("feel_check", 6)]
    result = ribs_with([("weighed", -1.9), ("weighed", 6.2), ("weighed", 6.3), *last])
    scene = day_scene(result, width)
    eat = scene.hours.px(6.5)
    own = {"weighed", "weighed, 3 times", "weighed, 4 times", "served", "wood", "glazed", "not yet"}
    shown = [box for box in boxes(scene) if box[3] in own]
    assert len(shown) >= 5
    assert not [text for left, right, _, text in shown if left < eat < right]
    assert not [t for left, right, _, t in boxes(scene) if "core" in t and left < eat < right]


@pytest.mark.parametrize("width", [NARROW, WIDE])
@given(
    st.lists(
        st.tuples(st.floats(0.1, 6.9), st.floats(20, 95), st.sampled_from(("core", "pit"))),
        min_size=2, max_size=4,
    )
)  # fmt: skip
def test_values_of_readings_by_hand_stand_apart(width, read):
    ribs, seen = _MADE["ribs"](), _MADE["seen"]
    events = tuple(
        seen(ribs.hour_zero, at, f"{of}_reading", "A" if of == "core" else "", value_c=value)
        for at, value, of in read
    )
    scene = day_scene(dataclasses.replace(ribs, events=events, pieces=ribs.pieces[:1]), width)
    values = [box for box in boxes(scene) if box[3].endswith((" °F", " °C"))]
    lines = [
        box for box in boxes(scene) if box[3].startswith(("pit, ", "core, ", "as read", "by h"))
    ]
    assert lines
    pairs = [*itertools.combinations(values, 2), *itertools.product(values, lines)]
    for one, other in pairs:
        apart = one[1] <= other[0] or other[1] <= one[0] or abs(one[2] - other[2]) >= 12
        assert apart, (one, other)
    assert all(left >= 0 and right <= width for left, right, *_ in values)


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_two_readings_by_hand_near_each_other_both_say_their_value(width):
    ribs, seen = _MADE["ribs"](), _MADE["seen"]
    near = [("core_reading", 4.0, 71.0), ("core_reading", 4.1, 73.5)]
    events = tuple(seen(ribs.hour_zero, at, what, "A", value_c=c) for what, at, c in near)
    scene = day_scene(dataclasses.replace(ribs, events=events, pieces=ribs.pieces[:1]), width)
    assert len([box for box in boxes(scene) if box[3] in {"71 °C", "74 °C", "73 °C"}]) == 2


@given(st.floats(3, 12))
def test_the_last_label_of_the_axis_is_whole(last):
    result = ribs_with([("served", last)])
    pieces = (dataclasses.replace(result.pieces[0], stages={}, serve_at=None),)
    for width in (NARROW, WIDE):
        scene = day_scene(dataclasses.replace(result, pieces=pieces), width)
        assert max(right for _, right, *_ in boxes(scene)) <= width + 0.01
        assert min(left for left, *_ in boxes(scene)) >= 0


def test_a_word_stands_between_marks_that_are_far_apart():
    item = Item(2, 340, "spritz, 2 times", 12.5, marks=(6.0, 336.0))
    (placed,) = pack([item], 0, 344)
    assert 6 < placed.text_x < placed.text_x + text_width(item.text, 12.5) < 336
