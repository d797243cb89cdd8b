"""Steps of a cooking day and the cautions that stand beside them: ``data/steps.csv``."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets
from stallwise.ground.errors import NotFoundError
from stallwise.ground.references import cited
from stallwise.ground.scales import POUND_KG

__all__ = [
    "Caution",
    "StepRow",
    "caution",
    "caution_keys",
    "caution_short",
    "step_row",
    "step_rows",
]

_SECONDS = {"min": 60.0, "min/lb": 60.0 / POUND_KG}


@dataclass(frozen=True)
class StepRow:
    """A kind of step.

    Attributes
    ----------
    key : str
        Name, which ids of steps begin with.
    what, until_sign : str
        What is done, and the sign it ends on.
    usual_s, low_s, high_s : float
        How long it takes [s], or [s/kg] for thawing.
    place : str
        ``pit`` or ``kitchen``.
    cautions : tuple of str
        Keys of what may hurt there.
    source : str
        Key behind its figures.
    """

    key: str
    what: str
    until_sign: str
    usual_s: float
    low_s: float
    high_s: float
    place: str
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Caution:
    """What may hurt: in a line for paper, and in full with its source."""

    key: str
    short: str
    text: str
    source: str

    @property
    def full(self) -> str:
        """The caution with its source in words."""
        authors = "; ".join(dict.fromkeys(_source_words(key) for key in self.source.split(";")))
        return f"{self.text} ({authors})"


def _source_words(key: str) -> str:
    found = cited(key.strip())[0]
    section = key.partition(":")[2].strip()
    name = found.author if found.author and found.author not in found.title else found.title
    if section or not found.author:
        name = " ".join(filter(None, [found.author, found.title, section]))
    return name


@cache
def step_rows() -> Mapping[str, StepRow]:
    """Read every kind of step, by key."""
    found = {}
    for row in csv.DictReader(io.StringIO(assets.read_text("data", "steps.csv"))):
        size = _SECONDS[row["unit"]]
        found[row["id"]] = StepRow(
            row["id"],
            row["what"],
            row["until_sign"],
            float(row["usual"]) * size,
            float(row["low"]) * size,
            float(row["high"]) * size,
            row["place"],
            tuple(row["caution"].split()),
            f"steps.{row['id']}",
        )
    return found


def step_row(key: str) -> StepRow:
    """Look one kind of step up."""
    if key not in step_rows():
        raise NotFoundError("step", key, step_rows())
    return step_rows()[key]


@cache
def _cautions() -> Mapping[str, Caution]:
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "cautions.csv")))
    return {
        row["key"]: Caution(
            row["key"],
            f"{row['short']} ({row['tag']})" if row["short"] else "",
            row["text"],
            row["source"],
        )
        for row in rows
    }


def caution(key: str) -> Caution:
    """Look one caution up."""
    if key not in _cautions():
        raise NotFoundError("caution", key, _cautions())
    return _cautions()[key]


def caution_keys(text: str) -> tuple[str, ...]:
    """Keys of the cautions that a step's text says."""
    return tuple(each.key for each in _cautions().values() if each.text in text)


def caution_short(text: str) -> tuple[str, ...]:
    """Cautions of a step in a line each, for paper; one whose step says it needs no line there."""
    found = (caution(key).short for key in caution_keys(text))
    return tuple(filter(None, found))
