"""The plan as a picture: a band a piece on one axis, its uncertain end drawn, words off one another."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import runpy
from pathlib import Path

import pytest

from stallwise.pictures import ink
from stallwise.pictures.charts import NARROW, WIDE, plan_picture
from stallwise.pictures.findings import hour_of
from stallwise.pictures.labels import text_width
from stallwise.pictures.plan import plan_scene, plan_words

_MADE = runpy.run_path(str(Path(__file__).with_name("results.py")))


@pytest.fixture
def shoulder():
    return _MADE["shoulder"]()


@pytest.fixture
def ribs():
    return _MADE["ribs"]()


def with_hands(result):
    steps = tuple(
        dataclasses.replace(step, hands_s=600.0, person="1" if i % 2 else "1 2")
        for i, step in enumerate(result.steps)
    )
    return dataclasses.replace(result, steps=steps, roles=("fire", "kitchen"))


def test_each_piece_is_a_band_from_meat_on_to_its_early_end(ribs):
    scene = plan_scene(ribs, WIDE)
    bands = [row for row in scene.data["bars"] if row["colour"] == ink.BAND]
    assert len(bands) == len(ribs.pieces)
    for band, piece in zip(bands, ribs.pieces, strict=True):
        start = hour_of(piece.on_at, ribs)
        assert band["h"] == pytest.approx(start)
        assert band["h2"] == pytest.approx(piece.stages["tender"].elapsed_h.p10 + start)
    # All on one axis: a piece that goes on later begins further right.
    late = dataclasses.replace(ribs.pieces[1], on_at=ribs.hour_zero + dt.timedelta(hours=2))
    both = plan_scene(dataclasses.replace(ribs, pieces=(ribs.pieces[0], late)), WIDE)
    first, second = (row for row in both.data["bars"] if row["colour"] == ink.BAND)
    assert second["h"] - first["h"] == pytest.approx(2.0)


def test_the_uncertain_end_is_open_and_gone_once_it_is_known(shoulder):
    tender = shoulder.pieces[0].stages["tender"]
    scene = plan_scene(shoulder, WIDE)
    edges = scene.data["rules_dashes"]
    assert {round(row["h"], 3) for row in edges} == {round(tender.elapsed_h.p10, 3)}
    assert {round(row["h2"], 3) for row in edges} == {round(tender.elapsed_h.p90, 3)}
    piece = shoulder.pieces[0]
    known = dataclasses.replace(tender, known=True)
    seen = dataclasses.replace(piece, stages={**piece.stages, "tender": known})
    assert (
        "rules_dashes" not in plan_scene(dataclasses.replace(shoulder, pieces=(seen,)), WIDE).data
    )


def test_a_piece_without_a_forecast_of_its_end_still_has_a_band(shoulder):
    piece = dataclasses.replace(shoulder.pieces[0], stages={})
    scene = plan_scene(dataclasses.replace(shoulder, pieces=(piece,)), NARROW)
    assert [row for row in scene.data["bars"] if row["colour"] == ink.BAND]


def test_whose_hands_are_bound_has_a_lane_a_person_by_name(ribs):
    scene = plan_scene(with_hands(ribs), WIDE)
    said = [row["text"] for row in scene.data["words"]]
    assert [text for text in said if text.startswith("hands")] == ["hands: fire", "hands: kitchen"]
    assert not [row for row in plan_scene(ribs, WIDE).data["words"] if "hands" in row["text"]]
    black = [row for row in scene.data["bars"] if row["colour"] == ink.INK]
    assert max(row["h2"] for row in black) <= scene.hours.high + 1e-9


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_words_stay_inside_the_picture_and_off_one_another(shoulder, ribs, width):
    named = tuple(
        dataclasses.replace(p, name="whole brisket, untrimmed, the larger one") for p in ribs.pieces
    )
    apart = dataclasses.replace(
        ribs.pieces[1], serve_at=ribs.pieces[0].serve_at + dt.timedelta(minutes=30)
    )
    cooks = (
        shoulder,
        ribs,
        with_hands(ribs),
        dataclasses.replace(ribs, pieces=named),
        dataclasses.replace(ribs, pieces=(ribs.pieces[0], apart)),
        dataclasses.replace(
            shoulder, state="running", as_of=shoulder.hour_zero + dt.timedelta(hours=9)
        ),
    )
    for result in cooks:
        scene = plan_scene(result, width)
        boxes = []
        for row in scene.data["words"]:
            wide = text_width(row["text"], row["size"])
            px = scene.hours.px(row["h"])
            left = {"left": px, "right": px - wide, "center": px - wide / 2}[row["align"]]
            assert left >= -3, row["text"]
            assert left + wide <= width + 3, row["text"]
            boxes.append((left, left + wide, row["y"] - 5, row["y"] + 5, row["text"]))
        for i, (a, b, c, d, one) in enumerate(boxes):
            for e, f, g, h, other in boxes[i + 1 :]:
                assert b <= e + 2 or f <= a + 2 or d <= g or h <= c, f"{one!r} covers {other!r}"


def test_it_says_in_words_what_it_shows_and_holds_the_sheet_as_its_table(ribs):
    picture = plan_picture(ribs)
    assert picture.finding == plan_words(ribs)
    assert "four days in five" in picture.finding
    assert picture.table[0][:3] == ("at", "for", "do")
    assert re.search(r'role="img"', picture.svg)
    for dark in (True, False):
        assert not re.search("#00000[1-7]", plan_picture(ribs, dark=dark).svg)
    assert "var(--band)" in plan_picture(ribs, dark=None).svg
