"""The template end to end: by papermill through `rerun`, and cell by cell."""

import datetime as dt
import importlib.util
import json
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.sample import bring_sample
from stallwise.surfaces import notebook
from stallwise.surfaces.rerun import rerun
from stallwise.surfaces.rerun.request import check_parameters, output_name
from stallwise.surfaces.templates import copy_template

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)


@pytest.fixture
def book(tmp_path):
    return cooks.start_book(tmp_path)


@pytest.fixture
def folder(book):
    folder = cooks.shoulder(book)
    copy_template("cook", folder.path)
    return folder


def results(folder):
    return sorted(path.name for path in (folder.path / "results").iterdir())


@pytest.mark.notebook
@pytest.mark.slow
def test_a_rerun_runs_the_template_beside_what_was_kept(book, folder):
    kept = folder.text()
    first = rerun(book, [folder.name], made_at=NOW)
    assert [row.state for row in first.rows] == ["done"], first.text()
    changed = rerun(book, [folder.name], changes={"pit_start": "250 F"}, made_at=NOW)
    (row,) = changed.rows
    assert (row.state, row.changed) == ("done", True), changed.text()
    assert "A tender after meat on middle:" in changed.text()
    name = output_name({"pit_start": "250 F"})
    assert results(folder) == sorted(
        [
            f"{name}.ipynb",
            f"{name}.json",
            "rerun-as-it-is.ipynb",
            "rerun-as-it-is.json",
        ]
    )
    assert folder.text() == kept
    text = (folder.path / "results" / f"{name}.ipynb").read_text()
    assert str(book.path) not in text
    assert "image/svg+xml" in text
    assert "widget-view" not in text
    assert "When, four days in five" in text


def test_figures_alone_need_no_notebook(book, folder):
    (folder.path / "cook.ipynb").write_text("not even a notebook")
    report = rerun(book, [folder.name], changes={"mass": "10 lb"}, numbers=True, made_at=NOW)
    assert [row.state for row in report.rows] == ["done"]
    assert report.changed
    assert results(folder) == [f"{output_name({'mass': '10 lb'})}.json"]


def test_a_notebook_of_an_older_template_is_told_apart_from_a_slip(book, folder):
    path = folder.path / "cook.ipynb"
    (line,) = (each for each in path.read_text().splitlines() if '"carry = None' in each)
    path.write_text(path.read_text().replace(f"{line}\n", ""))
    report = rerun(book, changes={"carry": "7 min"}, made_at=NOW)
    assert [row.state for row in report.rows] == ["refused"]
    assert f"stallwise renew {folder.name}" in report.text()
    assert not rerun(book, changes={"carry": "7 min"}, numbers=True, made_at=NOW).failed


def test_figures_that_nothing_changed_do_not_change(book, folder):
    first = rerun(book, numbers=True, made_at=NOW)
    assert first.rows[0].changed is None
    assert "nothing to compare it with yet" in first.text()
    later = rerun(book, numbers=True, made_at=NOW + dt.timedelta(days=1))
    assert (later.rows[0].state, later.rows[0].changed) == ("done", False)
    assert "as it was (the run before)" in later.text()


def test_a_wrong_request_is_refused_before_anything_runs(book, folder):
    for changes, words in (
        ({"weigth": "8 lb"}, "Nearest: width"),
        ({"mas": "8 lb"}, "Nearest: mass"),
        ({"mass__Q": "8 lb"}, "piece"),
        ({"pit_start": "250"}, "250 F"),
        ({"wrap": "blanket"}, "foil"),
        ({"members": "1.5"}, "whole number"),
    ):
        with pytest.raises(InputError, match=words):
            rerun(book, changes=changes, made_at=NOW)
    with pytest.raises(InputError):
        rerun(book, where=["cut"], made_at=NOW)
    with pytest.raises(NotFoundError):
        rerun(book, where=["colour=red"], made_at=NOW)
    assert not list((folder.path / "results").glob("*.json"))


def test_a_hostile_notebook_is_refused_and_the_rest_runs_on(book, folder):
    other = cooks.ribs(book)
    copy_template("cook", other.path)
    path = other.path / "cook.ipynb"
    content = json.loads(path.read_text())
    content["cells"][4]["source"] = "cook.plan(); import os; os.remove('cook.toml')"
    path.write_text(json.dumps(content))
    from stallwise.surfaces.rerun import request

    ran = {}

    def run_all(jobs, **_):
        ran.clear()
        ran.update(jobs)
        return {name: request_run() for name in jobs}

    def request_run():
        from stallwise.surfaces.rerun.execute import Run

        return Run("failed", "cell [3]: stopped here")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(request, "run_all", run_all)
        report = rerun(book, made_at=NOW)
        assert {row.cook: row.state for row in report.rows} == {
            folder.name: "failed",
            other.name: "refused",
        }
        assert set(ran) == {folder.name}
        assert "os.remove" in report.text()
        rerun(book, made_at=NOW, trust=[other.name])
        assert set(ran) == {folder.name, other.name}


def test_where_chooses(book, folder):
    cooks.ribs(book)
    report = rerun(book, where=["cut=pork-spare-ribs-trimmed"], numbers=True, made_at=NOW)
    assert [row.cook for row in report.rows] == ["2027-10-02-ribs"]


def test_letters_are_checked_for_each_cook(folder):
    check_parameters(folder, {"mass__A": "8 lb", "as_of": "+2:00"})
    with pytest.raises(NotFoundError):
        check_parameters(folder, {"mass__B": "8 lb"})


def test_outputs_are_named_by_their_changes_and_are_plain_names():
    name = output_name({"pit_start": "250 F", "wrap": "../../foil"})
    assert name.startswith("rerun-pit_start-250-F-wrap")
    assert "/" not in name
    assert len(output_name({f"mass__{c}": "1 lb" for c in "ABCDEFGHIJKLM"})) < 110
    assert output_name({"mass": "1 lb"}) != output_name({"mass": "1  lb"})


def test_cells_without_panels_print_tables(folder, monkeypatch, capsys):
    monkeypatch.chdir(folder.path)
    monkeypatch.setenv("STALLWISE_HEADLESS", "1")
    cook = notebook.open(None, {"members": 20, "wrap": "foil", "seed": None})
    assert not cook.panels
    for cell in (cook.plan, cook.mixes, cook.sheet, cook.type_in, cook.taste, cook.publish):
        cell()
    said = capsys.readouterr().out
    assert "light the fire half an hour earlier" in said
    assert "When, four days in five" in said
    assert "What would change it" in said
    assert "Day sheet" in said
    assert "no label" not in said
    cook.mixes(unfold=True)
    assert "at most, and no label" in capsys.readouterr().out
    cook.finish()
    assert "not kept" in capsys.readouterr().out
    assert not (folder.path / "results" / "result.json").exists()


def test_without_panels_the_plan_says_what_changed_since_it_was_cooked_last(
    folder, monkeypatch, capsys
):
    book = folder.home
    text = cooks.SHOULDER.replace("8 lb", "9 lb").replace("2027-05-01-spring", folder.name)
    again = book.new_cook("again", dt.date(2027, 10, 9), text)
    monkeypatch.chdir(again.path)
    notebook.open(None, cooks.QUICK).plan()
    said = capsys.readouterr().out
    assert "From Harvest shoulder, 25 September 2027" in said
    assert "weight of one piece as it goes on" in said


def test_finish_writes_the_figures(folder, monkeypatch, capsys):
    monkeypatch.chdir(folder.path)
    cook = notebook.open(None, {"members": 20})
    cook.finish()
    assert folder.result()["pieces"][0]["piece"] == "A"
    assert "Figures written" in capsys.readouterr().out


def test_a_notebook_that_lies_elsewhere_says_so(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=r"stallwise new"):
        notebook.open()


def test_an_older_notebook_is_told_what_this_release_does_not_know(folder, capsys):
    path = folder.path / "cook.ipynb"
    text = path.read_text().replace("mass = None", "weight = '9 lb'\\nmass = None", 1)
    path.write_text(text.replace("\\\\n", "\\n"))
    names = {"weight": "9 lb", "mass": None, "other": "no setting"}
    cook = notebook.open(str(folder.path), names)
    said = capsys.readouterr().out
    assert "weight = '9 lb' in the first cell changes nothing" in said
    assert "other" not in said
    with pytest.raises(AttributeError, match=r"cook.plam\(\).*try cook.plan\(\)"):
        cook.plam()
    assert not hasattr(cook, "_repr_html_")


def test_a_rerun_works_in_its_own_folder_whatever_the_notebook_says(book, folder, monkeypatch):
    other = cooks.ribs(book)
    monkeypatch.chdir(folder.path)
    monkeypatch.setenv("STALLWISE_RESULT", str(folder.path / "results" / "x.json"))
    assert notebook.open(str(other.path)).desk.folder.name == folder.name


def test_a_cell_says_how_often_forecasts_were_right(tmp_path, capsys):
    book = cooks.start_book(tmp_path)
    cook = book.cook(bring_sample(book)[0])
    notebook.tally(str(cook.path), unfold=True)
    said = capsys.readouterr().out
    assert "of the last 10 pieces were inside the window" in said
    assert "6 cooks say little" in said
