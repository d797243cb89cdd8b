"""Every value of ``tests/published/*.csv`` against our function; a new check is a new row.

Columns: function (dotted path below ``stallwise``, with ``:name`` for an attribute of the result, ``:lines.0.grams`` for one deep in it),
arguments (a JSON object of keyword arguments), expected (JSON, else text), tolerance (absolute;
``rel:0.01`` for a share; empty for equality), source, place, grade.
"""

from __future__ import annotations

import csv
import importlib
import json
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce
from pathlib import Path

import numpy as np
import pytest

from stallwise.models.limitcurve import Probe
from stallwise.models.standing import Moments
from stallwise.tables.limits import clock
from stallwise.tables.properties import Composition

FOLDER = Path(__file__).parent / "published"
COLUMNS = ["function", "arguments", "expected", "tolerance", "source", "place", "grade"]
GRADES = {"published", "derived", "common practice, no source", "from memory"}

#: Libraries that compute published values; at most `MOST` rows for each function.
LIBRARIES = ("CoolProp", "psychrolib", "scipy", "statsmodels")
MOST = 10

#: Arguments that JSON cannot hold, by name.
MAKE = {
    "composition": lambda shares: Composition(**shares),
    "read": lambda points: Probe("core", *np.array(points, dtype=float).T, tolerance_k=0.0),
    "probes": lambda curves: [MAKE["read"](points) for points in curves],
    "at": lambda moments: Moments(**moments),
    "one": clock,
}


@dataclass(frozen=True)
class Row:
    where: str
    cells: dict[str, str]

    def __getattr__(self, name):
        return self.cells[name]

    def call(self):
        path, _, attribute = self.function.partition(":")
        module, _, name = path.rpartition(".")
        function = getattr(importlib.import_module(f"stallwise.{module}"), name)
        given = json.loads(self.arguments)
        arguments = {key: MAKE.get(key, lambda value: value)(value) for key, value in given.items()}
        result = function(**arguments)
        return reduce(_part, attribute.split("."), result) if attribute else result

    def wanted(self):
        try:
            return json.loads(self.expected)
        except json.JSONDecodeError:
            return self.expected


def _part(whole, name):
    """One step of ``lines.0.grams``: a place of a row of things, a key of a mapping, an attribute."""
    if name.isdigit():
        return whole[int(name)]
    return whole[name] if isinstance(whole, Mapping) else getattr(whole, name)


def read(path):
    with path.open(encoding="utf-8", newline="") as file:
        table = csv.DictReader(file)
        assert table.fieldnames == COLUMNS, path.name
        return [Row(f"{path.stem}-{table.line_num}", cells) for cells in table]


ROWS = [row for path in sorted(FOLDER.glob("*.csv")) for row in read(path)]


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=f"{row.where}-{row.function}") for row in ROWS]
)
def test_value(row):
    actual, wanted = row.call(), row.wanted()
    said = f"{row.function}({row.arguments}) gives {actual}; {row.source}, {row.place}"
    if not row.tolerance:
        assert actual == wanted, said
        return
    kind, _, number = row.tolerance.rpartition(":")
    actual, wanted = np.asarray(actual, dtype=float), np.asarray(wanted, dtype=float)
    allowed = float(number) * (np.abs(wanted) if kind == "rel" else 1.0)
    assert actual.shape == wanted.shape, said
    assert np.all((actual == wanted) | (np.abs(actual - wanted) <= allowed)), said


def test_every_row_says_where_it_comes_from():
    wrong = [
        row.where
        for row in ROWS
        if row.grade not in GRADES or not row.source.strip() or not row.place.strip()
    ]
    assert not wrong


def test_no_function_leans_on_one_library_alone():
    counts = Counter(
        (row.function, row.source.split()[0])
        for row in ROWS
        if row.grade == "published" and row.source.startswith(LIBRARIES)
    )
    functions = Counter()
    for (function, _), count in counts.items():
        functions[function] += count
    assert {name: count for name, count in functions.items() if count > MOST} == {}


def test_the_physics_is_held_to_enough_published_values():
    stems = {"properties", "humid_air", "transfer", "conduction", "tenderness"}
    published = [
        row for row in ROWS if row.grade == "published" and row.where.rpartition("-")[0] in stems
    ]
    assert len(published) >= 60


@pytest.mark.slow
def test_the_libraries_still_give_the_same_values():
    # CoolProp takes seconds to load, so this runs once, in a process of its own.
    script = FOLDER / "regenerate.py"
    said = subprocess.run(
        [sys.executable, str(script), "--check"], capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stdout + said.stderr
