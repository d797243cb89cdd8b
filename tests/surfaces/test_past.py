"""Notebooks that look back: what the tool writes, where they are put, and their cells without panels."""

from __future__ import annotations

import book_notebooks
import nbformat
import pytest

from stallwise.cli.main import main
from stallwise.ground.errors import InputError
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces import past
from stallwise.surfaces.rerun.trust import parameter_names
from stallwise.surfaces.templates import BOOK_NOTEBOOKS, label, shipped


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    book = Cookbook.start(tmp_path_factory.mktemp("past") / "book", title="Sample")
    bring_sample(book)
    return book


def test_the_templates_are_what_the_tool_writes():
    for name, text in book_notebooks.templates().items():
        assert shipped(name) == text
        assert label(nbformat.reads(text, 4)) == (name, 1)
    assert parameter_names(nbformat.reads(shipped("compare"), 4)) == {"folder", "cooks", "members"}
    assert parameter_names(nbformat.reads(shipped("year"), 4)) == {"folder", "year"}


@pytest.mark.parametrize("panels", [False, True])
def test_every_cell_of_a_comparison_shows_something(book, capsys, panels):
    cells = past.CompareCells(book, "spring-ribs/A, spring-ribs/B", 40, panels=panels)
    for cell in (
        cells.different,
        cells.came_out,
        cells.mixed_up,
        cells.picture,
        cells.foreseen,
        cells.credit,
    ):
        cell()
        shown = capsys.readouterr().out
        assert ("widget-view" in shown) is panels
        assert shown
    if not panels:
        cells.different()
        cells.came_out()
        said = capsys.readouterr().out
        assert "next to the firebox" in said
        assert "bites clean, 4 h 16 to 4 h 27" in said
        assert "Next time: Beans on before the glaze" in said


@pytest.mark.parametrize("panels", [False, True])
def test_every_cell_of_a_year_shows_something(book, capsys, panels):
    cells = past.YearCells(book, panels=panels)
    for cell in (
        cells.cooks,
        cells.open_lines,
        cells.shown,
        cells.suggested,
        cells.right,
        cells.learned,
        cells.spent,
    ):
        cell()
        assert capsys.readouterr().out
    if not panels:
        cells.shown()
        cells.suggested()
        said = capsys.readouterr().out
        assert "the sharp glaze ahead" in said
        assert "too few to notice anything" in said


def test_a_notebook_finds_its_book_and_takes_its_settings(book, monkeypatch):
    monkeypatch.chdir(book.path)
    names = {"cooks": ["spring-ribs/A", "lamb"], "members": 30, "year": None, "folder": None}
    assert [record.name[11:17] for record, _ in past.compare(None, names)._chosen] == [
        "spring",
        "lamb-s",
    ]
    assert past.year(None, names).found.year is None
    with pytest.raises(InputError, match="a year such as 2026"):
        past.year(None, {"year": "last"})


def test_a_cell_that_cannot_says_why_and_shows_no_code(tmp_path):
    with pytest.raises(InputError) as caught:
        past.compare(str(tmp_path / "nowhere"))
    # IPython shows what this gives in place of the way through our files.
    assert caught.value._render_traceback_() == [f"stallwise: {caught.value}"]


def test_a_cell_of_another_release_names_the_nearest(book):
    cells = past.YearCells(book, panels=False)
    with pytest.raises(AttributeError, match=r"book\.costs\(\).*book\.cooks\(\)"):
        cells.costs()


def test_a_new_book_has_them_and_an_old_one_gets_them(tmp_path, capsys):
    path = tmp_path / "new"
    assert main(["init", str(path)]) == 0
    assert sorted(one.name for one in path.glob("*.ipynb")) == ["compare.ipynb", "year.ipynb"]
    (path / "year.ipynb").write_text("mine")
    assert main(["init", str(path)]) == 0
    assert (path / "year.ipynb").read_text() == "mine"
    (path / "year.ipynb").unlink()
    assert main(["--cookbook", str(path), "new", "year"]) == 0
    assert "year.ipynb" in capsys.readouterr().out
    assert (path / "year.ipynb").read_text() == shipped("year")
    assert main(["--cookbook", str(path), "new", "year"]) == 2
    assert "has a notebook year.ipynb already" in capsys.readouterr().err
    assert main(["--cookbook", str(path), "new", "compare", "--cut", "lamb-shoulder"]) == 2
    assert "--cut with the notebook compare" in capsys.readouterr().err
    assert not list((path / "cooks").iterdir()) if (path / "cooks").is_dir() else True
    assert main(["--cookbook", str(path), "check"]) == 0
    assert BOOK_NOTEBOOKS == ("compare", "year")


def test_cooks_are_compared_from_a_terminal(book, capsys):
    import json

    place = ["--cookbook", str(book.path), "compare"]
    assert main([*place, "spring-ribs/A", "spring-ribs/B", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [one["piece"] for one in told["pieces"]] == ["A", "B"]
    assert {"differences", "mixed_up", "alone", "credits", "units"} <= told.keys()
    assert told["credits"][0]["together"]["p50"] < 0.0
    assert main([*place, "spring-ribs/A", "spring-ribs/B"]) == 0
    said = capsys.readouterr().out
    assert "What was different" in said
    assert "four times in five" in said
    assert main([*place, "spring-ribs/A"]) == 2
    assert "2 to 8" in capsys.readouterr().err
