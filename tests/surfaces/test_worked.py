"""The worked notebooks: what the tools write, run and said; and every notebook we ship, run by nbval."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest
import worked_notebooks
from notebook_text import told, worked_example

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces.templates import BOOK_NOTEBOOKS, copy_template

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "notebooks"
NAMES = sorted(worked_notebooks.WORKED)
#: A picture or two each; no notebook of ours is heavier [bytes].
HEAVIEST = 150_000
#: Paths of a machine, and names of its folders.
_MACHINE = re.compile(r"/(?:tmp|home|root|work|var|Users)/|site-packages")


def read(name):
    return nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)


def test_the_set_is_whole_and_stands_in_the_readme():
    assert sorted(path.stem for path in FOLDER.glob("*.ipynb")) == NAMES
    assert [name[0] for name in NAMES] == [str(n) for n in range(1, len(NAMES) + 1)]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [name for name in NAMES if f"notebooks/{name}.ipynb" not in readme] == []


@pytest.mark.parametrize("name", NAMES)
def test_it_is_what_the_tool_writes_and_was_run(name):
    path = FOLDER / f"{name}.ipynb"
    book = read(name)
    assert [(cell["id"], cell.source) for cell in book.cells] == list(worked_notebooks.WORKED[name])
    code = [cell for cell in book.cells if cell.cell_type == "code"]
    assert [cell.execution_count for cell in code] == list(range(1, len(code) + 1))
    assert not [out for cell in code for out in cell.outputs if out.output_type == "error"]
    assert not [out for cell in code for out in cell.outputs if out.get("name") == "stderr"]
    assert any("assert " in cell.source for cell in code) or name == "5-two-glazes"
    assert not _MACHINE.search(path.read_text(encoding="utf-8"))
    assert path.stat().st_size < HEAVIEST


def nbval(*paths, place):
    words = ["--nbval-lax", "--nbval-current-env", "-q", "-p", "no:cacheprovider", *map(str, paths)]
    return subprocess.Popen(
        [sys.executable, "-m", "pytest", *words],
        cwd=place, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env={k: v for k, v in os.environ.items() if not k.startswith(("JPY_", "VSCODE_"))},
    )  # fmt: skip


@pytest.mark.notebook
@pytest.mark.slow
def test_nbval_runs_every_template_and_every_worked_notebook(tmp_path):
    book = Cookbook.start(tmp_path / "sample", title="Sample", time_zone="Etc/GMT+5")
    bring_sample(book)
    shipped = [copy_template(name, book.path) for name in BOOK_NOTEBOOKS]
    shipped += [
        copy_template(template, book.cook(cook).path)
        for template, cook in (("cook", "harvest-supper"), ("trial", "two-glazes"))
    ]
    worked = [FOLDER / f"{name}.ipynb" for name in NAMES]
    # Two at once: a kernel waits for itself half of the time.
    halves = [nbval(*shipped, *worked[:2], place=tmp_path), nbval(*worked[2:], place=tmp_path)]
    for half in halves:
        said, _ = half.communicate(timeout=900)
        assert half.returncode == 0, said[-3000:]
        assert " passed" in said


@pytest.mark.notebook
@pytest.mark.audit
@pytest.mark.parametrize("name", NAMES)
def test_it_says_what_it_would_say_now(name):
    assert told(worked_example(worked_notebooks.WORKED[name])) == told(read(name))
