"""A notebook is a program: only the template's code runs, unless somebody vouches for it."""

import json

import pytest

from stallwise.joins.parameters import PARAMETERS
from stallwise.surfaces.rerun.trust import choose, foreign_cells, parameter_names
from stallwise.surfaces.templates import copy_template, shipped


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "cookbook.toml").touch()  # a template is only copied into a book
    copy_template("cook", tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def _own_trust_store(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("JUPYTER_DATA_DIR", str(tmp_path_factory.mktemp("jupyter")))


def changed(folder, change):
    path = folder / "cook.ipynb"
    notebook = json.loads(path.read_text())
    change(notebook)
    path.write_text(json.dumps(notebook))
    return notebook


def code(source, **metadata):
    return {"cell_type": "code", "id": "own", "metadata": metadata, "source": source,
            "outputs": [], "execution_count": None}  # fmt: skip


def test_a_copy_of_the_template_runs_and_so_does_a_cook_without_a_notebook(
    folder, tmp_path_factory
):
    assert choose(folder).whose == "own"
    empty = tmp_path_factory.mktemp("empty")
    assert choose(empty).whose == "template"
    assert choose(empty).notebook == json.loads(shipped())


@pytest.mark.parametrize(
    "source",
    [
        "import os; os.system('true')",
        "cook.plan(); print(1)",
        "%run other.py",
        "!true",
        "cook . plan()",
    ],
)
def test_extra_code_is_refused_by_the_name_of_its_cell(folder, source):
    changed(folder, lambda notebook: notebook["cells"].insert(4, code(source)))
    choice = choose(folder)
    assert choice.notebook is None
    assert "cell 5 (own)" in choice.refused
    assert source[:20] in choice.refused
    assert "--trust" in choice.refused
    assert choose(folder, trust=True).whose == "trusted"


@pytest.mark.parametrize(
    ("source", "data"),
    [
        ('mass = "8 lb"\ncount = 2\nwrap = None  # as before', True),
        ('mass__A = "8 lb"', True),
        ("mass = __import__('os').system('true')", False),
        ("mass = [x for x in ().__class__.__base__.__subclasses__()]", False),
        ("print = 3", False),
        ("mass = 1; import os", False),
        ("folder, mass = 1, 2", False),
        ("mass: int = 1", False),
        ("mass.x = 1", False),
    ],
)
@pytest.mark.parametrize("tag", ["parameters", "injected-parameters"])
def test_a_parameters_cell_is_data_as_long_as_it_only_sets_known_names(source, data, tag):
    notebook = json.loads(shipped())
    notebook["cells"].insert(2, code(source, tags=[tag]))
    assert bool(foreign_cells(notebook)) is not data


def test_markdown_and_empty_cells_are_a_cooks_own(folder):
    def add(notebook):
        notebook["cells"].append(code("  \n"))
        notebook["cells"].append(
            {"cell_type": "markdown", "id": "m", "metadata": {}, "source": "hm"}
        )

    changed(folder, add)
    assert choose(folder).whose == "own"


def test_what_jupyter_signed_on_this_machine_runs(folder):
    import nbformat
    from nbformat.sign import NotebookNotary

    changed(folder, lambda notebook: notebook["cells"].insert(4, code("print('mine')")))
    assert choose(folder).notebook is None
    notary = NotebookNotary()
    notary.sign(nbformat.read(folder / "cook.ipynb", as_version=4))
    assert choose(folder).whose == "signed"
    changed(folder, lambda notebook: notebook["cells"].append(code("print('not mine')")))
    assert choose(folder).notebook is None
    notary.store.close()


def test_asking_makes_no_trust_store(folder, monkeypatch, tmp_path):
    monkeypatch.setenv("JUPYTER_DATA_DIR", str(tmp_path / "none"))
    changed(folder, lambda notebook: notebook["cells"].insert(4, code("print('mine')")))
    choose(folder)
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    "text", ["{", "[]", '{"nbformat": 4, "cells": [{"source": 3}]}', "[" * 10**5]
)
def test_what_is_no_notebook_is_refused_in_words(folder, text):
    (folder / "cook.ipynb").write_text(text)
    assert "cook.ipynb" in choose(folder).refused


def test_a_link_is_refused(folder, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere") / "cook.ipynb"
    (folder / "cook.ipynb").rename(elsewhere)
    (folder / "cook.ipynb").symlink_to(elsewhere)
    assert "link" in choose(folder).refused


def test_a_notebook_of_no_known_template_is_foreign_throughout(folder):
    changed(folder, lambda notebook: notebook["metadata"].pop("stallwise"))
    assert choose(folder).notebook is None


def test_the_template_has_one_parameters_cell_with_every_plan_parameter_and_no_outputs():
    notebook = json.loads(shipped())
    assert parameter_names(notebook) == {*PARAMETERS, "folder", "as_of"}
    tagged = [
        cell for cell in notebook["cells"] if "parameters" in cell["metadata"].get("tags", [])
    ]
    assert len(tagged) == 1
    assert all(not cell.get("outputs") for cell in notebook["cells"])
    assert notebook["metadata"]["kernelspec"]["name"] == "python3"


def test_the_template_is_what_its_script_writes():
    import cook_notebook

    assert cook_notebook.notebook() == shipped()


def test_papermill_reads_a_help_line_for_every_parameter(root):
    import papermill

    found = papermill.inspect_notebook(root / "templates" / "notebooks" / "cook.ipynb")
    assert set(found) == {*PARAMETERS, "folder", "as_of"}
    assert all(one["help"] and one["default"] == "None" for one in found.values())
