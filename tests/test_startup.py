"""The command line starts at once: nothing big is loaded before it is needed."""

from __future__ import annotations

import subprocess
import sys

import pytest

import stallwise
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

HEAVY = (
    "numpy",
    "numba",
    "pandas",
    "altair",
    "ipywidgets",
    "papermill",
    "nbformat",
    "jinja2",
    "scipy",
)


def loaded_by(statement: str) -> set[str]:
    """Top-level packages that a statement loads in a fresh Python."""
    code = f"import sys\n{statement}\nprint(*sorted({{n.partition('.')[0] for n in sys.modules}}), sep='\\n')"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.splitlines())


HELP = """
from stallwise.cli.main import main
try:
    main(["--help"])
except SystemExit as end:
    assert not end.code, end.code
"""


@pytest.mark.parametrize("statement", ["import stallwise", HELP], ids=["import", "help"])
def test_nothing_heavy_is_loaded(statement):
    assert not loaded_by(statement) & set(HEAVY)


@pytest.mark.parametrize(
    "words", [["cooks"], ["log", "", "spritz", "--at", "15:00"]], ids=["cooks", "log"]
)
def test_everyday_commands_load_nothing_heavy(tmp_path, words):
    """The slow part of a log line, its forecast, is another process's."""
    book = Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC")
    name = bring_sample(book)[0]
    words = [name if word == "" else word for word in words]
    words += ["--cookbook", str(book.path)]
    assert not loaded_by(
        "import contextlib, io\nfrom stallwise.cli.main import main\n"
        f"with contextlib.redirect_stdout(io.StringIO()):\n    assert main({words!r}) == 0"
    ) & set(HEAVY)


def test_record_loads_nothing_heavy():
    statement = (
        "import importlib, pkgutil, stallwise.record as r\n"
        "for m in pkgutil.walk_packages(r.__path__, 'stallwise.record.'):\n"
        "    importlib.import_module(m.name)"
    )
    assert not loaded_by(statement) & set(HEAVY)


def test_every_public_name_has_a_home():
    for name in stallwise.__all__:
        assert getattr(stallwise, name) is not None


def test_an_unknown_name_is_refused():
    with pytest.raises(AttributeError, match="no attribute 'brisket'"):
        _ = stallwise.brisket
