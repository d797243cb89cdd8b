"""Imports point down only, and each big package has one door. Read from the source, nothing is run."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

SRC = Path(__file__).resolve().parents[1] / "src"

RANK = {
    "ground": 0,
    "tables": 1,
    "models": 2,
    "record": 2,
    "joins": 3,
    "pictures": 4,
    "surfaces": 5,
    "cli": 6,
}

#: Package from outside: the modules (and what lies below them) that may import it.
DOORS = {
    "numpy": ("ground", "tables", "models", "joins", "pictures", "surfaces"),
    "numba": ("models",),
    "pandas": ("surfaces.frames",),
    "altair": ("pictures",),
    "vl_convert": ("pictures",),
    "ipywidgets": ("surfaces.widgets",),
    "IPython": ("surfaces.widgets",),
    "papermill": ("surfaces.rerun",),
    "nbclient": ("surfaces.rerun",),
    "jupyter_client": ("surfaces.rerun",),
    "dask": ("surfaces.rerun",),
    "distributed": ("surfaces.rerun",),
    "nbformat": ("surfaces",),
    "jinja2": ("surfaces",),
    "markdown_it": ("surfaces",),
    "PIL": ("record.photos", "record.bare", "surfaces"),
    "pillow_heif": ("surfaces",),
    "icalendar": ("joins",),
    "pydantic": ("record",),
    "tomlkit": ("record", "joins.draft"),
    "filelock": ("record", "surfaces"),
    "platformdirs": ("ground", "models"),
    # Distributions and minimisers of a tasting; scipy.stats takes a second to load and stays out.
    "scipy": ("models.tasting",),
    # Oracles: for tests, never for a cook's kernel (they cost seconds to import).
    "CoolProp": (),
    "psychrolib": (),
    "pint": (),
}

#: What must not be imported while a module of these layers loads, not even through its door.
LATE = {
    "models": ("scipy",),
    "record": ("numpy", "pandas", "numba", "altair", "ipywidgets", "papermill"),
    "cli": ("numpy", "pandas", "numba", "altair", "ipywidgets", "papermill", "stallwise.joins",
            "stallwise.models", "stallwise.pictures", "stallwise.surfaces"),
}  # fmt: skip


@dataclass(frozen=True)
class Import:
    """One import: the module that makes it, what it names, and when it happens."""

    module: str
    line: int
    target: str
    at_load: bool
    for_types: bool

    @property
    def layer(self) -> str:
        return self.module.partition(".")[0]

    @property
    def place(self) -> str:
        return f"stallwise.{self.module}:{self.line} imports {self.target}"


def imports_of(source: str, module: str, *, package: bool = False) -> Iterator[Import]:
    """Every import in a source text; `module` is its name below ``stallwise``."""

    nodes: list[tuple[ast.AST, bool, bool]] = [(ast.parse(source), True, False)]
    while nodes:
        node, at_load, for_types = nodes.pop()
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(module, node.lineno, alias.name, at_load, for_types)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parts = ["stallwise", *module.split(".")]
                parts = parts[: len(parts) - node.level + package]
                base = ".".join([*parts, base]) if base else ".".join(parts)
            for alias in node.names:
                # "from stallwise.tables import salts" names a module as well as an attribute
                target = f"{base}.{alias.name}" if base.split(".")[0] == "stallwise" else base
                yield Import(module, node.lineno, target, at_load, for_types)
        elif isinstance(node, ast.Call) and _last(node.func) == "import_module":
            for name in (arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant)):
                yield Import(module, node.lineno, str(name), at_load, for_types)
        inside = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        types = isinstance(node, ast.If) and _last(node.test) == "TYPE_CHECKING"
        below = (at_load and not inside, for_types or types)
        nodes += [(child, *below) for child in ast.iter_child_nodes(node)]


def _last(node: ast.AST) -> str:
    """Last word of a dotted name."""
    return getattr(node, "attr", getattr(node, "id", ""))


def arrow(one: Import) -> str:
    """What is wrong with an import of our own, or nothing."""
    target = one.target.split(".")[1] if "." in one.target else ""
    if one.layer not in RANK or target == "__version__":
        return ""
    if target not in RANK:
        return "the top package leads to every layer; name the module"
    if RANK[target] > RANK[one.layer]:
        return f"upwards, from {one.layer} to {target}"
    if RANK[target] == RANK[one.layer] and target != one.layer:
        return f"{one.layer} and {target} do not know each other"
    if one.layer == "models" and within(one.target, "stallwise.ground.assets"):
        return "models read no files; a table does"
    return ""


def door(one: Import) -> str:
    """What is wrong with an import from outside, or nothing."""
    if within(one.target, "scipy.stats"):
        return "scipy.stats takes a second to load; scipy.special has the distributions"
    doors = DOORS.get(one.target.partition(".")[0])
    if doors is None or one.for_types or any(within(one.module, name) for name in doors):
        return ""
    return f"its door is {' or '.join(doors) or 'tests only'}"


def haste(one: Import) -> str:
    """What is wrong with importing this while the module loads, or nothing."""
    early = one.at_load and not one.for_types
    if early and any(within(one.target, late) for late in LATE.get(one.layer, ())):
        return "while it loads; import it inside the function"
    return ""


def within(name: str, place: str) -> bool:
    return name == place or name.startswith(f"{place}.")


def complaints(one: Import) -> list[str]:
    """What is wrong with an import, in words."""
    own = within(one.target, "stallwise")
    return [f"{one.place}: {word}" for word in ((arrow if own else door)(one), haste(one)) if word]


def test_imports_point_down_and_use_the_doors():
    found = []
    for path in sorted((SRC / "stallwise").rglob("*.py")):
        parts = path.relative_to(SRC / "stallwise").with_suffix("").parts
        package = parts[-1] == "__init__"
        module = ".".join(parts[:-1] if package else parts)
        source = path.read_text(encoding="utf-8")
        for one in imports_of(source, module, package=package):
            found += complaints(one)
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("module", "source", "words"),
    [
        ("ground.units", "from stallwise.tables import salts", "upwards"),
        ("models.transfer", "import stallwise.joins.answer", "upwards"),
        ("models.transfer", "def f():\n from stallwise.record import log", "do not know each other"),
        ("record.log", "from stallwise.models.mixes import Mix", "do not know each other"),
        ("record.log", "from ..joins import answer", "upwards"),
        ("record.readings", "def f():\n import numpy", "its door is"),
        ("models.fuel", "from stallwise import answer", "name the module"),
        ("models.fuel", "from stallwise.ground import assets", "read no files"),
        ("models.fuel", "from scipy.optimize import brentq", "its door is models.tasting"),
        ("models.tasting.scores", "from scipy.special import stdtr", "inside the function"),
        ("models.tasting.scores", "def f():\n from scipy.stats import t", "a second to load"),
        ("joins.answer", "import altair as alt", "its door is pictures"),
        ("surfaces.journal", "import papermill", "its door is surfaces.rerun"),
        ("cli.main", "import papermill", "its door"),
        ("cli.main", "from stallwise.joins import answer", "inside the function"),
        ("record.log", "import importlib\nimportlib.import_module('pandas')", "its door is"),
    ],
)  # fmt: skip
def test_a_wrong_import_is_seen(module, source, words):
    found = [line for one in imports_of(source, module) for line in complaints(one)]
    assert any(words in line for line in found), found


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("joins.answer", "from stallwise.models import forecast\nfrom stallwise.record import log"),
        ("surfaces.rerun.batch", "import papermill"),
        ("cli.forecast", "def run():\n from stallwise.joins import answer"),
        ("record.log", "from . import schema\nfrom .folder import lock"),
        ("record.log", "from stallwise import __version__"),
    ],
)
def test_a_right_import_is_let_through(module, source):
    assert not [line for one in imports_of(source, module) for line in complaints(one)]
