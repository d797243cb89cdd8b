"""Where a number comes from: one index over every shipped table.

A key is a table's name and the row's own key (``parameters.heating``,
``salts.kosher-rolled``, ``cuts.pork-shoulder-bone-in.mass_usual``), or a citation key.
Part of a key finds every row that holds it.
"""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

from stallwise.ground import assets
from stallwise.ground.errors import NotFoundError
from stallwise.ground.references import GRADES, cited, references

__all__ = ["Answer", "explain", "group"]

#: Tables that are lists of words or machine schemas, not numbers.
_NOT_NUMBERS = {"schemas", "sample", "sample-events", "references.toml", "groups.toml"}


@dataclass(frozen=True)
class Answer:
    """One row found: what it is, its value and where that comes from."""

    key: str
    value: str
    unit: str
    source: str
    grade: str
    note: str

    def plain(self) -> dict[str, str]:
        """Turn into what JSON holds."""
        return asdict(self)

    def text(self) -> str:
        """Words for a terminal or the page."""
        value = f" = {self.value} {self.unit}".rstrip() if self.value else ""
        lines = [f"{self.key}{value}"]
        if self.note:
            lines.append(f"  {self.note}")
        lines.append(f"  from: {self.source}")
        if self.grade:
            lines.append(f"  that is: {GRADES.get(self.grade, self.grade)}")
        return "\n".join(lines)


def explain(key: str) -> list[Answer]:
    """Find where a number comes from.

    Parameters
    ----------
    key : str
        Key of a row, a citation key, the name of a group of numbers on a page
        (``forecast``, ``salt``), or part of one.

    Returns
    -------
    list of Answer
        The exact row alone, or else every row whose key holds `key`.

    Raises
    ------
    NotFoundError
        Nothing holds it; the nearest keys are offered.
    """
    index = _index()
    wanted = key.strip()
    if wanted in index:
        return [index[wanted]]
    tails = [row for name, row in index.items() if name.split(".", 1)[-1] == wanted]
    if tails:
        return tails
    folded = wanted.casefold()
    found = [row for name, row in index.items() if folded and folded in name.casefold()]
    if not found:
        raise NotFoundError("number", key, index)
    return found


def group(key: str) -> Answer:
    """Say what stands behind one group of numbers of a Result, by its source key."""
    index = _index()
    if key not in index:
        raise NotFoundError("group of numbers", key, index)
    return index[key]


@cache
def _index() -> dict[str, Answer]:
    index = {row.key: row for row in _groups()}
    index |= {row.key: row for row in _citations()}
    for parts in assets.walk("data"):
        if _NOT_NUMBERS & set(parts):
            continue
        reader = _READERS.get(parts[-1].rpartition(".")[2])
        if reader:
            table = ".".join(parts).rpartition(".")[0]
            for row in reader(table, assets.read_text("data", *parts)):
                index.setdefault(row.key, row)
    return index


def _groups() -> Iterator[Answer]:
    for key, row in tomllib.loads(assets.read_text("data", "groups.toml")).items():
        yield Answer(key, "", "", _citation_text(row["source"]), "", row["note"])


def _citations() -> Iterator[Answer]:
    for key, item in references().items():
        yield Answer(key, "", "", str(item), item.grade, item.note)


def _csv_rows(table: str, text: str) -> Iterator[Answer]:
    for row in csv.DictReader(io.StringIO(text)):
        if not row.get("source"):
            continue
        fields = list(row)
        named = [row[name] for name in fields[: _key_width(fields)] if row[name]]
        rest = [n for n in fields[_key_width(fields) :] if n not in _SAID and row[n]]
        value = row.get("value") or ", ".join(f"{name} {row[name]}" for name in rest)
        yield Answer(
            ".".join([table, *named]),
            value,
            row.get("unit", ""),
            _citation_text(row["source"]),
            row.get("grade", ""),
            row.get("note", "") or "",
        )


_SAID = {"source", "grade", "note", "unit", "value"}


def _key_width(fields: list[str]) -> int:
    """Tables that name a component and a property are keyed by both."""
    return 2 if fields[:2] == ["component", "property"] else 1


def _toml_rows(table: str, text: str) -> Iterator[Answer]:
    yield from _walk_toml(table, tomllib.loads(text), "", "")


def _walk_toml(key: str, item: Any, source: str, grade: str) -> Iterator[Answer]:
    if isinstance(item, dict):
        source = str(item.get("source", source))
        grade = str(item.get("grade", grade))
        if "value" in item and source:
            yield Answer(
                key,
                _shown(item["value"]),
                str(item.get("unit", "")),
                _citation_text(source),
                grade,
                str(item.get("note", "")),
            )
            return
        for name, part in item.items():
            if name not in _SAID:
                yield from _walk_toml(f"{key}.{name}", part, source, grade)
    elif source and isinstance(item, (int, float)) and not isinstance(item, bool):
        yield Answer(key, _shown(item), "", _citation_text(source), grade, "")


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return " to ".join(map(str, value))
    return str(value)


def _citation_text(source: str) -> str:
    """Words of a source cell, with every citation key in it spelt out."""
    try:
        found = cited(source)
    except NotFoundError:
        return source
    spelt = "; ".join(str(item) for item in found)
    return spelt if source in {item.key for item in found} else f"{source} ({spelt})"


_READERS = {"csv": _csv_rows, "toml": _toml_rows}
