"""An old notebook renewed: ours is new, the cook's stays, nothing is lost, nothing runs."""

import datetime as dt
import importlib.util
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.cli.main import main
from stallwise.ground.errors import InputError
from stallwise.record.store import ChangedError, Store
from stallwise.surfaces.rerun.merging import merged
from stallwise.surfaces.rerun.renewal import renew
from stallwise.surfaces.rerun.trust import choose, foreign_cells, source_of
from stallwise.surfaces.templates import label, shipped

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

NOW = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)


def cell(key, source, kind="code", **more):
    made = {"cell_type": kind, "metadata": {}, "source": source, **more}
    return made if key is None else made | {"id": key}


def book_of(*cells):
    return {"cells": list(cells), "metadata": {}, "nbformat": 4, "nbformat_minor": 5}


TAGGED = {"metadata": {"tags": ["parameters"]}}
OLD = book_of(
    cell("parameters", "# words\nmass = None  # how heavy\ngone = None  # of old", **TAGGED),
    cell("open", "cook = open()"),
    cell("plan", "cook.plan()"),
    cell("sheet", "cook.sheet()"),
    cell("last", "cook.last()"),
)
NEW = book_of(
    cell("parameters", "# words\nmass = None  # weight\nwrap = None  # wrap", **TAGGED),
    cell("open", "cook = open(globals())"),
    cell("plan", "cook.plan()"),
    cell("more", "cook.more()"),
    cell("sheet", "cook.sheet(all)"),
)


def mine(**changed):
    """The old template with cells changed by the cook; None takes one out."""
    cells = [{**one, "source": changed.get(one["id"], one["source"])} for one in OLD["cells"]]
    return book_of(*(one for one in cells if one["source"] is not None))


def result(notebook, old=OLD):
    cells, changes = merged(notebook, old, NEW)
    return {one["id"]: one for one in cells}, [
        change.cell + ": " + change.what for change in changes
    ]


def test_an_untouched_notebook_becomes_the_new_template():
    cells, _ = merged(mine(), OLD, NEW)
    assert [(one["id"], source_of(one)) for one in cells] == [
        (one["id"], source_of(one)) for one in NEW["cells"]
    ]


def test_the_cooks_own_cells_stay_behind_the_cell_they_stood_behind():
    notebook = mine()
    notebook["cells"].insert(0, cell("top", "# mine", "markdown"))
    notebook["cells"].insert(4, cell("own", "my_own()"))
    notebook["cells"].append(cell("end", "after what is gone"))
    notebook["cells"].append(cell("more", "mine, by chance called as a new one"))
    cells, changes = merged(notebook, OLD, NEW)
    assert [one["id"] for one in cells] == [
        "top", "parameters", "open", "plan", "own", "more", "sheet", "end", "own-more",
    ]  # fmt: skip
    assert source_of(cells[-1]) == "mine, by chance called as a new one"
    assert sum(change.what == "yours, kept" for change in changes) == 4


def test_what_the_cook_changed_is_never_lost():
    cells, changes = result(
        mine(plan="cook.plan(); mine()", sheet="cook.sheet(); mine()", last="x()")
    )
    assert source_of(cells["plan"]) == "cook.plan(); mine()"  # the template did not change it
    assert source_of(cells["sheet"]) == "cook.sheet(all)"  # both did
    for key, source in (("before-sheet", "cook.sheet(); mine()"), ("before-last", "x()")):
        assert (cells[key]["cell_type"], source_of(cells[key])) == ("raw", source)
    assert any("stays as you have it" in said for said in changes)


def test_what_the_cook_took_out_stays_out_but_what_is_needed_comes_back():
    cells, changes = result(mine(plan=None, open=None))
    assert "plan" not in cells
    assert "open" in cells
    assert "plan: you took it out; it stays out" in changes


def test_settings_are_carried_over_and_remarks_too():
    said = (
        "# words\n# my own remark\nmass = '8 lb'  # how heavy\ngone = 3  # of old\nmass__B = '9 lb'"
    )
    cells, changes = result(mine(parameters=said))
    assert source_of(cells["parameters"]).splitlines() == [
        "# words",
        "mass = '8 lb'  # weight",
        "wrap = None  # wrap",
        "mass__B = '9 lb'",
        "# gone = 3",
        "# my own remark",
    ]
    assert "parameters: gone is not known any more; kept as a remark" in changes
    cells, _ = result(mine(parameters="mass = weigh()"))
    assert source_of(cells["before-parameters"]) == "mass = weigh()"


def test_cells_that_lost_their_ids_are_known_by_their_text():
    notebook = mine()
    notebook["cells"] = [{k: v for k, v in one.items() if k != "id"} for one in notebook["cells"]]
    notebook["cells"].append(cell(None, "mine()"))
    cells, _ = merged(notebook, OLD, NEW)
    assert [one["id"] for one in cells] == ["parameters", "open", "plan", "more", "sheet", "own"]


def test_without_the_old_template_what_differs_is_kept_beside():
    cells, _ = result(mine(), old=None)
    assert [cells[key]["cell_type"] for key in ("before-open", "before-sheet")] == ["raw", "raw"]
    assert source_of(cells["last"]) == "cook.last()"


def test_two_cells_of_one_id_are_refused():
    notebook = mine()
    notebook["cells"].append(cell("plan", "mine()"))
    with pytest.raises(InputError, match="'plan'"):
        merged(notebook, OLD, NEW)


@given(
    st.lists(
        st.tuples(st.sampled_from(["plan", "sheet", "last", "a", "b", "more", None]), st.text()),
        max_size=8, unique_by=lambda pair: pair[0],
    )
)  # fmt: skip
def test_every_line_of_the_cooks_is_still_there_and_ids_are_unique(given_cells):
    notebook = book_of(*(cell(key, source) for key, source in given_cells))
    cells, _ = merged(notebook, OLD, NEW)
    ids = [one["id"] for one in cells]
    assert len(ids) == len(set(ids))
    known = {source_of(one).strip() for one in OLD["cells"]}
    there = {source_of(one).strip() for one in cells}
    assert {source.strip() for _, source in given_cells} - known <= there
    again, changes = merged(book_of(*cells), NEW, NEW)
    assert [source_of(one) for one in again] == [source_of(one) for one in cells]
    assert all(change.what.startswith(("yours", "changed", "you took")) for change in changes)


# --- a cook's notebook on the disk --------------------------------------------------------


@pytest.fixture
def folder(tmp_path):
    folder = cooks.shoulder(cooks.start_book(tmp_path))
    notebook = json.loads(shipped("cook", 1))
    notebook["cells"].insert(
        5, cell("mine", "open('was-run', 'w')", outputs=[], execution_count=None)
    )
    notebook["metadata"]["mine"] = "kept"
    (folder.path / "cook.ipynb").write_text(json.dumps(notebook))
    return folder


def files(folder):
    return sorted(path.name for path in folder.path.iterdir() if path.is_file())


def test_it_is_shown_first_and_written_when_said_with_the_old_one_beside(folder):
    path = folder.path / "cook.ipynb"
    was, there = path.read_bytes(), files(folder)
    shown = renew(folder)
    assert "+cook.readings()" in shown.diff
    assert f"stallwise renew {folder.name} --accept" in shown.text()
    assert (path.read_bytes(), files(folder)) == (was, there)
    done = renew(folder, accept=True)
    assert (folder.path / done.kept).read_bytes() == was
    made = json.loads(path.read_text())
    assert label(made) == label(json.loads(shipped("cook")))
    assert made["metadata"]["mine"] == "kept"
    assert "open('was-run', 'w')" in [source_of(one) for one in made["cells"]]
    assert renew(folder).diff == ""
    assert "newest template" in renew(folder, accept=True).text()
    assert files(folder) == sorted([*there, done.kept])


def test_what_is_not_the_templates_is_still_asked_for_and_nothing_was_run(folder):
    done = renew(folder, accept=True)
    assert len(done.foreign) == 1
    assert "trusted" in done.text()
    assert "--trust" in choose(folder.path).refused
    assert not list(folder.path.rglob("was-run"))
    assert foreign_cells(json.loads((folder.path / "cook.ipynb").read_text())) == list(done.foreign)


def test_saved_meanwhile_nothing_is_written(folder, monkeypatch):
    path = folder.path / "cook.ipynb"
    cut = Store.cut

    def saved_before(self, *words):
        path.write_text(path.read_text() + "\n")
        return cut(self, *words)

    there = files(folder)
    monkeypatch.setattr(Store, "cut", saved_before)
    with pytest.raises(ChangedError):
        renew(folder, accept=True)
    assert files(folder) == there
    assert path.read_text().endswith("\n")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "not JSON"),
        ("[]", "format 4"),
        (json.dumps(book_of()), "of no template"),
        (
            json.dumps(
                book_of() | {"metadata": {"stallwise": {"template": "cook", "version": 99}}}
            ),
            "99",
        ),
        (None, "no notebook"),
    ],
)
def test_a_hand_broken_notebook_is_said(folder, capsys, content, words):
    path = folder.path / "cook.ipynb"
    path.unlink()
    if content is not None:
        path.write_text(content)
    assert main(["renew", folder.name, "--accept", "--cookbook", str(folder.home.path)]) == 2
    assert words in capsys.readouterr().err
    assert not list(folder.path.glob("cook.before*"))


def test_the_command_shows_and_answers_in_json(folder, capsys):
    book = ["--cookbook", str(folder.home.path)]
    assert main(["renew", folder.name, *book]) == 0
    assert "Nothing is written yet" in capsys.readouterr().out
    assert main(["renew", folder.name, "--accept", "--json", *book]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["from"], answer["to"], answer["accepted"]) == (1, 2, True)
    assert {"cell": "readings", "what": "new"} in answer["changes"]
