"""The window as it was told from time to time, in the picture."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.result import KeptWindow
from stallwise.pictures import ink
from stallwise.pictures.charts import NARROW, WIDE
from stallwise.pictures.day import day_scene
from tests.pictures.results import shoulder as a_day

CAPTION = "as it was told, time after time"


def window(at_h, *ends):
    day = a_day()

    def clock(hours):
        return None if hours is None else day.hour_zero + dt.timedelta(hours=hours)

    return KeptWindow("A", clock(at_h), clock(at_h), at_h, ends, tuple(map(clock, ends)))


def drawn(*windows, width=WIDE):
    scene = day_scene(dataclasses.replace(a_day(), kept=windows), width)
    return scene, [row["text"] for row in scene.data["words"]]


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_each_window_is_a_bar_from_the_moment_it_was_told(width):
    scene, said = drawn(window(-1.0, 12.0, 14.0, 16.0), window(8.0, 13.0, 14.0, 15.0), width=width)
    assert CAPTION in said
    # Shoulder on at 22:40: eight hours later it is 06:40.
    assert {"before meat on", "06:40"} <= set(said)
    bars = [(row["h"], row["h2"]) for row in scene.data["bars"] if row["y2"] - row["y"] == 5.0]
    assert bars == [(12.0, 16.0), (13.0, 15.0)]
    dots = [row for row in scene.data["marks"] if row["stroke"] == ink.ACCENT]
    assert [round(row["h"], 6) for row in dots] == [8.0]
    # When it was tender stands through all of them.
    (line,) = [row for row in scene.data["rules"] if row["y2"] - row["y"] == 2 * 16.0]
    assert line["h"] == pytest.approx(13.95)


def test_what_was_told_once_stands_in_the_forecast_already():
    _, said = drawn(window(-1.0, 12.0, 14.0, 16.0))
    assert CAPTION not in said


def test_of_many_the_first_the_last_and_some_between_are_drawn():
    many = [window(0.5 * n, 12.0, 14.0, 16.0 - 0.1 * n) for n in range(20)]
    scene, _ = drawn(*many)
    bars = [row["h2"] for row in scene.data["bars"] if row["y2"] - row["y"] == 5.0]
    assert (len(bars), bars[0], bars[-1]) == (6, 16.0, pytest.approx(14.1))


def test_a_window_without_an_end_runs_to_the_edge():
    scene, _ = drawn(window(-1.0, 12.0, 14.0, 16.0), window(8.0, 13.0, 15.0, None))
    ends = [row["h2"] for row in scene.data["bars"] if row["y2"] - row["y"] == 5.0]
    assert ends[1] == scene.hours.high
