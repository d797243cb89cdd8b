"""What would change it, as data: sides, scale, words and their room."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

from stallwise.joins.result import Lever, Spread
from stallwise.pictures import ink
from stallwise.pictures.charts import NARROW, WIDE, lever_picture
from stallwise.pictures.labels import text_width
from stallwise.pictures.levers import lever_finding, lever_scene

_MADE = runpy.run_path(str(Path(__file__).with_name("results.py")))
spread = _MADE["spread"]


def lever(words: str, low: float, middle: float, high: float, piece: str = "A") -> Lever:
    """Lever of so many minutes, negative sooner."""
    shift = spread(low / 60, middle / 60, high / 60)
    return Lever(piece, "pit.hotter", words, {}, shift, 0.8, -0.1, None, "levers.pit.hotter")


SLOW = Lever(
    "A",
    "wrap.none",
    "not wrapped",
    {},
    Spread(3.0, 3.5, 4.0, 5.0, None, None, None, reached=0.7),
    0.1,
    -0.8,
    None,
    "levers.wrap.none",
)
LEVERS = (
    lever("pit 20 °F hotter", -65, -35, -15),
    lever("wrapped 30 min later", -15, 1, 12),
    lever("wrapped in paper", -25, 20, 60),
    lever("finish: falls off the bone", 25, 45, 80),
    lever("10 % lighter", -12, -6, -2),
)


@pytest.fixture
def result():
    return _MADE["ribs"]()


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_soonest_is_on_top_and_each_bar_spans_four_days_in_five(result, width):
    scene = lever_scene(LEVERS, result, width)
    said = sorted(
        (row for row in scene.data["words"] if ": " in row["text"]), key=lambda row: row["y"]
    )
    assert [row["text"].split(":")[0] for row in said] == [
        "pit 20 °F hotter",
        "10 % lighter",
        "wrapped 30 min later",
        "wrapped in paper",
        "finish",
    ]
    bars = sorted(scene.data["bars"], key=lambda row: row["y"])
    assert (bars[0]["h"], bars[0]["h2"]) == (-65 / 60, -15 / 60)
    dots = [row["h"] for row in scene.data["marks"]]
    assert dots == sorted(dots)
    assert {row["fill"] for row in scene.data["marks"]} == {ink.ACCENT}


def test_wide_names_stand_where_the_bar_is_not(result):
    scene = lever_scene(LEVERS, result, WIDE)
    zero = scene.hours.px(0.0)
    for row in scene.data["words"]:
        if ": " not in row["text"]:
            continue
        px = scene.hours.px(row["h"])
        sooner = row["text"].endswith("sooner")
        assert (px > zero, row["align"]) == ((True, "left") if sooner else (False, "right"))
    assert scene.hours.low == -scene.hours.high


@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("levers", [LEVERS, (*LEVERS, SLOW), (SLOW,), LEVERS[:1]])
def test_words_stay_inside_and_off_one_another(result, width, levers):
    scene = lever_scene(levers, result, width)
    boxes = []
    for row in scene.data["words"]:
        wide = text_width(row["text"], row["size"])
        px = scene.hours.px(row["h"])
        left = {"left": px, "right": px - wide, "center": px - wide / 2}[row["align"]]
        assert left >= -3
        assert left + wide <= width + 3
        boxes.append((left, left + wide, row["y"] - 5, row["y"] + 5, row["text"]))
    for i, (a, b, c, d, one) in enumerate(boxes):
        for e, f, g, h, other in boxes[i + 1 :]:
            assert b <= e + 2 or f <= a + 2 or d <= g or h <= c, f"{one!r} covers {other!r}"


def test_the_scale_gives_way_so_that_words_have_room(result):
    across = lever("not wrapped", -40, -5, 30)
    (said,) = [
        row["text"]
        for row in lever_scene((across,), result, WIDE).data["words"]
        if ": " in row["text"]
    ]
    assert said == "not wrapped: 5 min sooner"


def test_a_bar_without_an_end_runs_out_of_the_picture(result):
    scene = lever_scene((*LEVERS, SLOW), result, WIDE)
    assert max(scene.hours.px(row["h2"]) for row in scene.data["bars"]) == pytest.approx(WIDE)
    assert scene.hours.high == 5.0


def test_each_piece_has_its_rows_on_one_scale(result):
    both = (*LEVERS, lever("pit 20 °F cooler", 100, 140, 200, piece="B"))
    scene = lever_scene(both, result, NARROW)
    titles = [row["text"] for row in scene.data["words"] if row["weight"] == 700]
    assert [title[0] for title in titles] == ["A", "B"]
    assert scene.hours.high == 200 / 60
    assert lever_finding(both, result).startswith("A: Soonest: pit 20 °F hotter")


def test_finding_says_the_most_either_way_and_what_hardly_matters(result):
    assert lever_finding(LEVERS, result) == (
        "Soonest: pit 20 °F hotter, 35 min sooner (15 min to 1 h 05). "
        "Latest: finish: falls off the bone, 45 min later (25 min to 1 h 20). "
        "About the same: wrapped 30 min later."
    )
    assert lever_finding((), result) == "Nothing is left that would change it."


def test_picture_carries_finding_and_table_and_asks_for_nothing(result):
    drawn = lever_picture(LEVERS, result, prefix="a")
    assert 'role="img" aria-labelledby="a-title a-words"' in drawn.svg
    assert drawn.finding in drawn.svg
    assert not re.search(r"style=|url\(|href|@import|<image|class=|#00000\d", drawn.svg)
    header, rows = drawn.table
    assert header[1:3] == ("what if", "tender")
    assert len(rows) == len(LEVERS) + 1
    page = lever_picture(LEVERS, result, dark=None).svg
    assert "var(--ring)" in page
    assert not re.search(r"#[0-9a-f]{6}", page)
    assert lever_picture(LEVERS, result, dark=True).svg != drawn.svg
    assert "Nothing is left" in lever_picture((), result).svg
