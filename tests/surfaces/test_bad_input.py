"""What a cook may do wrong in a panel: it says what to do, and keeps what was typed."""

import datetime as dt
import importlib.util
import json
import re
import shutil
from pathlib import Path

import pytest

from stallwise.ground import assets
from stallwise.surfaces.notebook import CookNotebook
from stallwise.surfaces.templates import shipped
from stallwise.surfaces.widgets.plan import PlanPanel
from stallwise.surfaces.widgets.readings import ReadingsPanel
from stallwise.surfaces.widgets.sidebysides import SideBySides

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

desk_of = cooks.desk_of


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


@pytest.fixture
def panel(folder):
    made = PlanPanel(desk_of(folder))
    made.rare.open(0)  # the weather
    return made


# ---- a day box that is cleared


def test_a_cleared_day_stays_empty_says_what_to_do_and_loses_nothing(panel, folder):
    panel.fields["mass"].box.value = "9 lb"
    panel.fields["date"].box.value = None
    assert "until then the cook stays on the day it has" in panel.guard.box.value
    assert panel.desk.cook.date == dt.date(2027, 9, 25)
    # Other moves go on, and do not put an old day into a box that somebody types into.
    panel.fields["pit_start"].slider.value = 250
    assert panel.fields["date"].box.value is None
    assert "sw-refused" in panel.fields["date"].widget._dom_classes
    assert panel.desk.unkept == {"mass": "9 lb", "pit_start": "250 F"}
    panel.fields["date"].box.value = dt.date(2027, 10, 2)
    assert panel.desk.cook.date == dt.date(2027, 10, 2)
    assert "sw-refused" not in panel.fields["date"].widget._dom_classes


def test_a_cook_goes_to_another_day_with_its_hours_and_back(panel, folder):
    panel.fields["serve"].box.value = "2027-09-26 12:00"
    panel.fields["serve"].slider.value = 13
    assert panel.fields["serve"].box.value == "2027-09-26 13:00"
    panel.fields["date"].box.value = dt.date(2027, 10, 2)
    assert "day 2027-10-02" in panel.state.value
    assert panel.fields["serve"].box.value == "2027-10-03 13:00"
    assert panel.desk.result.date == dt.date(2027, 10, 2)
    panel.undo.click()
    assert panel.fields["date"].box.value == dt.date(2027, 9, 25)
    panel.fields["date"].box.value = dt.date(2027, 10, 2)
    panel.back.click()
    assert panel.fields["date"].box.value == dt.date(2027, 9, 25)
    panel.fields["date"].box.value = dt.date(2027, 10, 2)
    panel.keep.click()
    assert "keeps the name it has" in panel.guard.box.value
    assert (folder.read().date, folder.read().serve) == (dt.date(2027, 10, 2), "16:00")


def test_a_cook_that_has_begun_stays_on_its_day(folder):
    from stallwise.joins.log.paper import read_block
    from stallwise.joins.log.papercontext import paper_context

    desk = desk_of(folder, cooks.NIGHT)
    context = paper_context(desk.record, now=desk.now, source="notebook", log=())
    desk.log(read_block("0200 on", context=context).entries)
    desk.reload()
    panel = PlanPanel(desk)
    panel.fields["date"].box.value = dt.date(2027, 10, 2)
    assert "has begun" in panel.guard.box.value
    assert panel.desk.unkept == {}
    assert panel.fields["date"].box.value == dt.date(2027, 10, 2)


# ---- words in a number's box, the other unit


@pytest.mark.parametrize("name", ["mass", "count", "pit_start", "serve", "ambient", "humidity"])
def test_words_pasted_into_a_number_stay_there_marked(panel, name):
    before = panel.line.value
    panel.fields[name].box.value = "quite a lot"
    assert "quite a lot" in panel.guard.box.value
    assert panel.fields[name].box.value == "quite a lot"
    assert "sw-refused" in panel.fields[name].widget._dom_classes
    assert (panel.desk.unkept, panel.line.value) == ({}, before)


@pytest.mark.parametrize(
    ("units", "name", "typed", "asked"),
    [
        ("metric", "pit_start", "225", "225 F"), ("us", "pit_start", "110", "110 C"),
        ("metric", "ambient", "75", "75 F"), ("us", "ambient", "-15", "-15 C"),
    ],
)  # fmt: skip
def test_a_number_of_the_other_unit_is_asked_about(tmp_path, units, name, typed, asked):
    panel = PlanPanel(desk_of(cooks.shoulder(cooks.start_book(tmp_path, units))))
    panel.rare.open(0)
    panel.fields[name].box.value = typed
    assert asked in panel.guard.box.value
    assert panel.fields[name].box.value == typed
    assert panel.desk.unkept == {}
    panel.fields[name].box.value = asked
    assert panel.desk.unkept == {name: asked}


# ---- the weather, as other inputs


def test_the_weather_moves_by_slider_and_box_is_undone_and_goes_back(panel, folder):
    before = panel.answer.value
    panel.fields["ambient"].slider.value = 30
    assert panel.fields["ambient"].box.value == "30 F"
    panel.fields["humidity"].box.value = "80"
    panel.fields["wind"].box.value = "breeze"
    assert panel.desk.unkept == {"ambient": "30 F", "humidity": "80 %", "wind": "breeze"}
    assert panel.fields["humidity"].slider.value == 80
    assert panel.answer.value != before
    panel.undo.click()
    panel.undo.click()
    assert panel.desk.unkept == {"ambient": "30 F"}
    assert panel.fields["humidity"].box.value == ""
    assert panel.fields["wind"].box.value is None
    panel.back.click()
    assert panel.fields["ambient"].box.value == ""
    assert panel.answer.value == before
    panel.fields["wind"].box.value = "wind"
    panel.keep.click()
    assert folder.read().weather.wind == "wind"


# ---- the folder deleted under an open notebook


def test_a_folder_that_is_gone_is_said_by_every_panel_that_writes(folder):
    whole = SideBySides(desk_of(folder))
    whole.plan.arms.value, whole.plan.tasters.value = "stock, sharp", "6"
    whole.plan.keep.click()
    (trial,) = whole.each.values()
    trial.lock.click()
    trial.slips.choice.value = chosen = trial.slips.choice.options[0][1]
    readings = ReadingsPanel(desk_of(folder, cooks.NIGHT))
    (folder.path / "live.csv").write_text("time,pit (F)\n06:00,225\n06:10,230\n")
    readings.path.value = "live.csv"
    elsewhere = Path(shutil.move(folder.path, folder.path.with_name("elsewhere")))
    for guard, button in (
        (trial.guard, trial.slips.write), (readings.guard, readings.bring),
        (readings.guard, readings.follow),
    ):  # fmt: skip
        button.click()
        assert "is gone" in guard.box.value
        assert "Put the folder back" in guard.box.value
    assert not folder.path.exists()
    assert (trial.slips.choice.value, readings.path.value) == (chosen, "live.csv")
    shutil.move(elsewhere, folder.path)
    trial.slips.write.click()
    assert "Written down" in trial.guard.box.value


# ---- an old notebook and a newer library


def test_every_cell_of_every_shipped_version_is_still_there():
    versions = [json.loads(assets.read_text("templates", "notebooks", name))
                for name in assets.names("templates", "notebooks") if name.startswith("cook")]  # fmt: skip
    assert {book["metadata"]["stallwise"]["version"] for book in versions} == {1, 2}
    called = {
        name
        for book in versions
        for cell in book["cells"]
        for name in re.findall(r"\bcook\.(\w+)\(", "".join(cell["source"]))
    }
    assert "readings" in called
    assert called <= set(vars(CookNotebook))
    assert json.loads(shipped("cook"))["metadata"]["stallwise"]["version"] == 2
