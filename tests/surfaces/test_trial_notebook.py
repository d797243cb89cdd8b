"""The template of a side-by-side and its worked example: cells write only when they are told to."""

from __future__ import annotations

import ast
import datetime as dt
import re
from dataclasses import replace
from pathlib import Path

import nbformat
import pytest
import trial_notebook

from stallwise.ground.errors import InputError
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.record.trials import read_trial, save_trial
from stallwise.surfaces import notebook
from stallwise.surfaces.templates import label, shipped, template_names

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "notebooks" / "5-two-glazes.ipynb"
PLAN = {"asks": "like", "factor": "glaze", "arms": ["stock", "sharp"], "tasters": 6,
        "bones": {"A": 12}, "plated_by": "someone else"}  # fmt: skip


@pytest.fixture
def cook(tmp_path):
    book = Cookbook.start(tmp_path / "sample", title="Sample")
    bring_sample(book)
    return notebook.open(str(book.cook("spring-ribs").path))


def test_the_template_is_what_the_tool_writes():
    assert shipped("trial") == trial_notebook.template()
    assert template_names() == ["compare", "cook", "trial", "year"]
    assert label(nbformat.reads(shipped("trial"), 4)) == ("trial", 1)


def test_the_example_goes_through_the_samples_own_trial(tmp_path):
    book = Cookbook.start(tmp_path / "sample", title="Sample")
    bring_sample(book)
    cells = {cell["id"]: cell.source for cell in nbformat.read(EXAMPLE, as_version=4).cells}
    record = read_trial(book, "which-glaze")
    (cook,) = record.trial.cooks
    typed = read_slips(cells["type"].splitlines()[1:25], record, cook)
    assert [replace(one, line=0) for one in record.answers] == list(typed.answers)
    counted = re.search(r"\{.*\}", cells["close"])[0]
    assert ast.literal_eval(counted) == {
        one.arm: (one.count, one.out_of) for one in record.trial.counts
    }


def test_running_all_cells_writes_nothing(cook, capsys):
    home = cook.desk.folder.home
    before = sorted(home.path.rglob("*"))
    side = cook.trial()
    side.plan(**PLAN)
    side.lock()
    side.cards()
    side.type_in("T1 471")
    side.close()
    side.read()
    said = capsys.readouterr().out
    assert "With 6 tasters you would see" in said
    assert "Not written down yet" in said
    assert sorted(home.path.rglob("*")) == before


def test_a_trial_goes_its_way_cell_by_cell(cook, capsys):
    side = cook.trial("glaze")
    side.plan(keep=True, **PLAN)
    side.lock(keep=True)
    side.cards(keep=True)
    assert (cook.desk.folder.path / "plates.html").is_file()
    slips = [f"{row.taster} {row.code}" for row in side.record.key if row.arm == "sharp"]
    side.type_in("\n".join([*slips, "T9 111"]), keep=True)
    side.read()
    said = capsys.readouterr().out
    assert "6 understood, 6 written." in said
    assert "? 'T9 111'" in said
    assert "stays closed until" in said
    side.count("bones bare", {"stock": (1, 6), "sharp": (2, 6)}, keep=True)
    side.close(keep=True)
    cook.trial().read(numbers=True)
    said = capsys.readouterr().out
    assert "Shown here: sharp was liked better." in said
    assert "Seen by eye: Bones bare: 1 of 6 with stock" in said
    assert "chance alone does as much (p)" in said
    cook.desk.reload()
    cook.taste()
    assert "Shown here: sharp was liked better." in capsys.readouterr().out


def test_what_can_show_nothing_is_not_locked_in_a_cell_either(cook):
    side = cook.trial("glaze")
    side.plan(keep=True, **PLAN)
    save_trial(side.book, "glaze", {"tasters": 4})
    with pytest.raises(InputError, match="6 tasters or more"):
        side.lock(keep=True)
    assert side.record.state == "planned"


def test_which_of_two_trials_is_asked(cook):
    for name in ("one", "two"):
        cook.trial(name).plan(keep=True, **PLAN)
    with pytest.raises(InputError, match="one, two"):
        cook.trial()


@pytest.mark.notebook
@pytest.mark.slow
def test_a_cook_of_that_template_is_rerun(tmp_path):
    from stallwise.surfaces.rerun import rerun
    from stallwise.surfaces.templates import copy_template

    book = Cookbook.start(tmp_path / "sample", title="Sample")
    bring_sample(book)
    folder = book.cook("spring-ribs")
    copy_template("trial", folder.path)
    (row,) = rerun(book, [folder.name], made_at=dt.datetime(2026, 8, 1, tzinfo=dt.UTC)).rows
    assert row.state == "done", row.message
