"""A tasting drawn: every taster has a dot, nothing leaves the picture, the span is drawn where there is one."""

from __future__ import annotations

import re

import pytest

from stallwise.joins.taste.trialresult import DotRow, Dots, TrialResult
from stallwise.pictures import ink
from stallwise.pictures.charts import NARROW, WIDE, tasted_picture
from stallwise.pictures.labels import text_width
from stallwise.pictures.tasted import tasted_scene, tasted_table


def result(dots: Dots | None, **changes) -> TrialResult:
    fields = {
        "name": "t", "question": "Which?", "asks": "like", "factor": "glaze", "attribute": "liking",
        "arms": ("stock", "sharp"), "method": "which-like", "reads": "choice", "planned": True,
        "state": "closed", "locked_at": None, "closed_at": None, "cooks": ("c",), "tasters": 3,
        "served": 3, "answered": 3, "units": 3, "unit": "taster", "verdict": "not shown",
        "leader": "sharp", "dots": dots,
        "figures": {"first": 1.0, "second": 2.0, "p_value": 1.0, "seen_share": 0.97}, **changes,
    }  # fmt: skip
    return TrialResult(**fields)


def votes(count: int, right: str = "sharp") -> Dots:
    row = DotRow("", tuple((f"T{n}", float(n % 3 > 0)) for n in range(1, count + 1)), 0.6, 0.2, 0.9)
    return Dots(0.0, 1.0, 0.5, "stock", right, "votes", (row,))


PLACES = Dots(
    1.0, 3.0, 2.0, "best", "least liked", "places",
    tuple(DotRow(arm, (("T1", 1.0 + n), ("T2", 3.0 - n)), 2.0) for n, arm in enumerate("abc")),
)  # fmt: skip
POINTS = Dots(
    -4.0, 4.0, 0.0, "stock more", "sharp more", "points",
    (DotRow("", (("T1", -1.0), ("T2", 4.0), ("T3", 0.0)), 1.0, -9.0, 9.0),),
)  # fmt: skip


@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("dots", [votes(8), votes(40), PLACES, POINTS, votes(3, "x" * 90)])
def test_everything_lies_inside(dots, width):
    scene = tasted_scene(result(dots), width)
    for one in scene.rows("marks"):
        assert 3 <= scene.hours.px(one["h"]) <= width - 3
        assert 0 <= one["y"] <= scene.height
    for bar in scene.rows("bars"):
        assert scene.hours.px(bar["h"]) >= 0
        assert scene.hours.px(bar["h2"]) <= width
    for word in scene.rows("words"):
        left = scene.hours.px(word["h"])
        wide = text_width(word["text"], word["size"])
        left -= {"left": 0, "center": wide / 2, "right": wide}[word["align"]]
        assert left >= -1
        assert left + wide <= width + 1


@pytest.mark.parametrize("dots", [votes(8), votes(40), PLACES, POINTS])
def test_every_taster_has_a_dot(dots):
    scene = tasted_scene(result(dots), WIDE)
    round_ones = [one for one in scene.rows("marks") if one["shape"] == "circle"]
    assert len(round_ones) == sum(len(row.dots) for row in dots.rows)
    spots = {(round(scene.hours.px(one["h"])), round(one["y"])) for one in round_ones}
    assert len(spots) == len(round_ones)  # none hides another
    spans = sum(row.low is not None for row in dots.rows)
    assert len(scene.rows("bars")) == spans


def test_the_picture_says_its_finding_and_its_rows():
    picture = tasted_picture(result(POINTS), dark=True)
    assert picture.svg.startswith("<svg")
    assert "could be chance" in picture.finding
    assert not any(token in picture.svg for token in ink.COLOURS)
    assert picture.table == (
        ("taster", "gave more to"),
        (("T1", "stock, 1 point"), ("T2", "sharp, 4 points"), ("T3", "neither")),
    )
    assert tasted_table(result(PLACES))[0] == ("taster", "a", "b", "c")
    assert tasted_table(result(votes(2)))[1][0] == ("T1", "sharp")


def test_names_from_a_file_are_escaped():
    picture = tasted_picture(result(votes(3, "<b>hot</b>")))
    assert "<b>" not in picture.svg
    assert re.search(r"&lt;b&gt;", picture.svg)


def test_nothing_to_draw_is_said():
    assert "Nothing to draw" in tasted_picture(result(None, verdict="nothing yet")).svg
