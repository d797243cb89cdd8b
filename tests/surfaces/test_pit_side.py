"""Buttons at the pit without a browser: stamped now or typed, asked where odd, undone, never twice."""

import datetime as dt
import importlib.util
import re
from itertools import pairwise
from pathlib import Path

import pytest

from stallwise.pictures.bark import BARK
from stallwise.record.log import effective
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets.tasting import Tasting
from stallwise.surfaces.widgets.typein import TypeIn

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOON = dt.datetime(2027, 9, 25, 12, tzinfo=dt.UTC)


class Clock:
    """The computer's clock, and one that is never put back."""

    def __init__(self, now):
        self.now, self.ticks = now, 0.0

    def on(self, seconds):
        self.now += dt.timedelta(seconds=seconds)
        self.ticks += seconds


@pytest.fixture
def clock():
    return Clock(NOON)


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


@pytest.fixture
def start(folder, clock):
    """A kernel with its panel."""

    def begin(where=folder):
        desk = Desk(where, cooks.QUICK, now=lambda: clock.now)
        clock.on(5)
        return TypeIn(desk, raises=True, ticks=lambda: clock.ticks)

    return begin


def _step(panel, words):
    return next(button for button in panel.pit.next if button.description.startswith(words))


def _said(panel):
    return re.sub(r"<[^>]+>", " ", panel.pit.guard.box.value)


def _says(panel, words):
    every = (*panel.pit.again, *panel.pit.felt, *panel.pit.bark, panel.pit.gone)
    return next(button for button in every if button.description == words)


def _held(folder):
    return [(f"{line.at:%H:%M}", line.what) for line in effective(folder.log().lines)]


def test_the_next_step_is_stamped_now_then_it_is_no_longer_next(start, folder, clock):
    panel = start()
    _step(panel, "Meat on").click()
    assert _held(folder) == [("12:00", "meat_on")]
    assert "Written" in _said(panel)
    assert "Meat on" not in [button.description for button in panel.pit.next]
    # What was never written down and is overtaken by it is not offered any more.
    assert not any(button.description.startswith("Rub") for button in panel.pit.next)


def test_a_time_typed_beside_it_counts_and_is_used_up(start, folder, clock):
    panel = start()
    panel.pit.when.value = "2:10"
    _step(panel, "Meat on").click()
    assert _held(folder) == [("02:10", "meat_on")]
    assert panel.pit.when.value == ""
    panel.pit.when.value = "+6:00"
    _says(panel, "Spritzed").click()
    assert _held(folder)[-1] == ("08:10", "spritz")


def test_it_is_undone_by_a_line_that_takes_it_back_also_by_a_later_kernel(start, folder, clock):
    _step(start(), "Meat on").click()
    again = start()
    assert "12:00 A: meat on" in again.pit.undo.description
    again.pit.undo.click()
    assert _held(folder) == []
    assert len(folder.log().lines) == 2
    assert again.pit.undo.layout.display == "none"
    clock.on(60)
    _step(again, "Meat on").click()
    assert [what for _, what in _held(folder)] == ["meat_on"]


def test_a_finger_that_presses_twice_writes_once(start, folder, clock):
    panel = start()
    clock.now = clock.now.replace(second=58)
    _says(panel, "Lid opened").click()
    clock.on(3)
    _says(panel, "Lid opened").click()
    assert len(folder.log().lines) == 1
    # The second press of a step finds another step under the finger, and is not meant for it.
    first = panel.pit.next[0]
    for _ in range(2):
        first.click()
    assert len(folder.log().lines) == 2
    assert "only just changed" in _said(panel)


def test_what_is_odd_is_asked_and_pressed_again_it_is_written(start, folder, clock):
    panel = start()
    panel.pit.when.value = "02:00"
    _step(panel, "Meat on").click()
    panel.pit.when.value = "2027-09-25 01:00"
    _says(panel, "mahogany").click()
    assert "before meat on" in _said(panel)
    assert len(folder.log().lines) == 1
    _says(panel, "tan").click()  # another press is another question
    assert len(folder.log().lines) == 1
    _says(panel, "tan").click()
    assert len(folder.log().lines) == 2


def test_a_clock_that_was_put_back_is_asked_about_and_nothing_is_lost_or_doubled(
    start, folder, clock
):
    panel = start()
    _step(panel, "Meat on").click()
    clock.now -= dt.timedelta(hours=9)
    clock.ticks += 5
    _says(panel, "Spritzed").click()
    assert "clock says" in _said(panel)
    assert len(folder.log().lines) == 1
    panel.pit.when.value = "12:40"
    panel.paper.lines.value = "12:40 lid"
    panel.pit.when.value = "12:05"
    _says(panel, "Spritzed").click()
    assert "not come yet" in _said(panel)  # the clock is wrong still, and says so
    _says(panel, "Spritzed").click()
    assert _held(folder)[-1] == ("12:05", "spritz")
    # It was asleep for nine hours: it stamps by the hour that it is.
    clock.now = NOON + dt.timedelta(hours=3)
    clock.ticks += 5
    _says(panel, "nearly").click()
    assert _held(folder)[-1] == ("15:00", "feel_check")
    assert len(_held(folder)) == len(set(_held(folder))) == 3


def test_feel_bark_counts_and_leftovers_are_lines_of_the_log(start, folder, clock):
    panel = start()
    panel.pit.when.value = "02:00"
    _step(panel, "Meat on").click()
    for words in BARK:
        clock.on(120)
        _says(panel, words).click()
    panel.pit.check.value = "bend"
    _says(panel, "nearly").click()
    for number, counted in (
        ("5", "times spritzed in all"), ("2", "chimneys put on"), ("3", "splits left"),
        ("2 lb 4 oz", "fuel left, weighed"), ("3", "left over, how many"),
        ("2 lb", "left over, weighed"),
    ):  # fmt: skip
        clock.on(60)
        panel.pit.number.value, panel.pit.counted.value = number, counted
        panel.pit.count.click()
        assert "Written" in _said(panel), (counted, _said(panel))
    held = effective(folder.log().lines)
    assert [line.data["bark"] for line in held if line.what == "bark"] == list(BARK)
    assert {(line.data["check"], line.data["verdict"]) for line in held if line.what == "feel_check"} == {("bend", "nearly")}  # fmt: skip
    counted = [line for line in held if line.what in {"spritz_count", "wood", "fuel_left", "left_over"}]  # fmt: skip
    assert [sorted(line.data) for line in counted] == [
        ["count"], ["count", "unit"], ["count", "unit"], ["mass_kg"], ["count"], ["mass_kg"]
    ]  # fmt: skip


def test_of_several_pieces_it_is_said_which(tmp_path, start, clock):
    where = cooks.ribs(cooks.start_book(tmp_path / "two"))
    clock.now = dt.datetime(2027, 10, 2, 12, tzinfo=dt.UTC)
    panel = start(where)
    _step(panel, "Meat on, B").click()
    clock.on(60)
    panel.pit.whose.value = "B"
    _says(panel, "Fire fed").click()
    clock.on(60)
    _says(panel, "tan").click()
    assert [(line.what, line.piece) for line in effective(where.log().lines)] == [
        ("meat_on", "B"), ("wood", ""), ("bark", "B")
    ]  # fmt: skip


def test_the_four_tints_can_be_told_apart_in_grey():
    def grey(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        light = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        return 116 * light ** (1 / 3) - 16  # lightness of CIE 1976, 0 to 100

    steps = [grey(colour) for colour in BARK.values()]
    assert all(paler - darker > 12 for paler, darker in pairwise(steps))


def test_the_last_line_is_asked_when_the_day_is_over_and_kept_at_once(start, folder, clock):
    panel = start()
    assert panel.last.layout.display == "none"
    panel.paper.lines.value = "0200 on\n1450 off\n1600 served"
    clock.now = cooks.NIGHT
    panel.paper.lines.value += "\n1601 note: good"
    panel.paper.write.click()
    assert panel.last.layout.display == ""
    panel.next_time.value = "wrap half an hour later"
    assert folder.read().next_time == "wrap half an hour later"
    # Another notebook kept something else meanwhile: both stay.
    folder.save({"tasting": "good"})
    panel.next_time.value = "wrap an hour later"
    assert (folder.read().next_time, folder.read().tasting) == ("wrap an hour later", "good")


def test_panels_that_keep_the_same_facts_take_nothing_from_each_other(start, folder, clock):
    clock.now = cooks.NIGHT
    panel = start()
    tasting = Tasting(panel.desk, raises=True)
    panel.next_time.value = "wrap half an hour later"
    assert tasting.next_time.value == "wrap half an hour later"
    # A line that is being typed in one is not written over by what the other keeps.
    tasting.next_time.value = "more salt"
    panel.next_time.value = "wrap an hour later"
    assert tasting.next_time.value == "more salt"
    tasting.keep.click()
    assert folder.read().next_time == panel.next_time.value == "more salt"
    # And one of a kernel that knows nothing of it keeps its own facts alone.
    other = Tasting(Desk(folder, cooks.QUICK, now=lambda: clock.now), raises=True)
    panel.next_time.value = "less salt"
    other.notes.value = "good"
    other.keep.click()
    assert (folder.read().next_time, folder.read().tasting) == ("less salt", "good")
