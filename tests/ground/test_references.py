"""Every number's source exists: in the tables, in the docstrings, in the published values."""

from __future__ import annotations

import ast
import csv
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from stallwise.ground.errors import NotFoundError
from stallwise.ground.references import GRADES, cited, reference, references

ROOT = Path(__file__).resolve().parents[2]

#: numpydoc's way to cite: ``[key]_``. Single digits and letters are footnotes of one docstring.
CITED = re.compile(r"\[([a-z][a-z0-9.-]+)\]_")


def rows(path: Path) -> list[dict[str, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def sources_in(tree: object) -> Iterator[str]:
    """Every value under a key ``source`` or ``sources``, however deep."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            if key in {"source", "sources"} and isinstance(value, str | list):
                yield from [value] if isinstance(value, str) else map(str, value)
            else:
                yield from sources_in(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from sources_in(value)


def named_sources() -> dict[str, str]:
    """Each source cell of the shipped tables, once, and one place where it stands."""
    found = {}
    for path in sorted((ROOT / "data").rglob("*.csv")):
        for number, row in enumerate(rows(path), start=2):
            if row.get("source") is not None:
                found.setdefault(row["source"], f"{path.relative_to(ROOT)}, row {number}")
    for path in sorted((ROOT / "data").rglob("*.toml")):
        for source in sources_in(tomllib.loads(path.read_text(encoding="utf-8"))):
            found.setdefault(source, str(path.relative_to(ROOT)))
    return found


def test_every_source_in_the_tables_exists():
    wrong = []
    for source, place in named_sources().items():
        try:
            cited(source)
        except NotFoundError:
            wrong.append(f"{place}: {source!r}")
    assert not wrong, "\n".join(wrong)


def test_every_key_cited_in_a_docstring_exists():
    wrong = []
    for path in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                keys = set(CITED.findall(ast.get_docstring(node) or "")) - set(references())
                wrong += [f"{path.relative_to(ROOT)}: [{key}]_" for key in sorted(keys)]
    assert not wrong, "\n".join(wrong)


def test_every_reference_is_whole():
    for key, entry in references().items():
        assert entry.key == key
        assert entry.grade in GRADES
        if entry.grade == "published":
            assert entry.author, key
            assert entry.where, key


def test_no_name_leads_to_two_references():
    names = [name.casefold() for entry in references().values() for name in entry.known_as]
    assert len(names) == len(set(names))


def test_a_miss_offers_the_nearest():
    with pytest.raises(NotFoundError, match="choi-okos-1986"):
        reference("choi-oko-1986")


@pytest.mark.parametrize(
    ("source", "keys"),
    [
        ("newman-1936", ["newman-1936"]),
        ("choi-okos-1986: table 2; own-fit", ["choi-okos-1986", "own-fit"]),
        ("common practice, no source", ["common-practice"]),
        ("Choi & Okos 1986 (second hand; from memory)", ["choi-okos-1986", "from-memory"]),
        ("newman-1936; newman-1936: eq. 3", ["newman-1936"]),
    ],
)
def test_a_source_cell_is_understood(source, keys):
    assert [entry.key for entry in cited(source)] == keys


@pytest.mark.parametrize("source", ["", "a friend", "newman-1936; a friend"])
def test_a_source_cell_that_names_nothing_is_refused(source):
    with pytest.raises(NotFoundError):
        cited(source)
