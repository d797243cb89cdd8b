"""Where the numbers of a page come from, in words, group by group."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets
from stallwise.ground.references import GRADES, cited
from stallwise.joins.result import Result

__all__ = ["Origin", "explained", "origins"]

_NAMES = {
    "forecast": "The forecast",
    "odds": "The odds",
    "tally": "The forecast as it was told",
    "serving": "Rest and hold",
    "sheet": "The day sheet",
    "mixes": "The mixes",
    "salt": "The salt",
    "ledger": "What was made and used",
    "cost": "The cost",
    "fuel": "The fire",
    "log": "What was written down",
    "readings": "What was measured",
    "inferred": "What the readings look like",
    "limits": "The limits",
    "estimates": "The estimates",
    "trials": "The side-by-sides",
}


@dataclass(frozen=True)
class Origin:
    """One group of numbers.

    Attributes
    ----------
    key : str
        Group, as the marks on the page name it.
    name, words : str
        What it is, and how its numbers come about.
    sources : tuple of (str, str)
        Each source, and what kind of knowledge that is.
    """

    key: str
    name: str
    words: str
    sources: tuple[tuple[str, str], ...]


def origins(result: Result) -> tuple[Origin, ...]:
    """Explain each group of numbers that the page shows."""
    there = {
        "forecast": bool(result.pieces),
        "odds": result.odds is not None,
        "tally": bool(result.kept),
        "serving": any(piece.serving for piece in result.pieces),
        "sheet": bool(result.steps),
        "mixes": bool(result.mixes),
        "salt": bool(result.salt),
        "ledger": bool(result.ledger),
        "cost": result.spending is not None,
        "fuel": bool(result.fuel),
        "log": bool(result.events),
        "readings": bool(result.readings),
        "inferred": bool(result.inferred),
        "limits": bool(result.limits),
        "estimates": bool(result.estimates),
        "trials": bool(result.trials),
    }
    return tuple(_origin(key, result.sources) for key, shown in there.items() if shown)


def explained(key: str) -> Origin:
    """Explain a group of numbers on a page that is no cook's."""
    return _origin(key, {})


def _origin(key: str, said: Mapping[str, str]) -> Origin:
    group = _groups()[key]
    named = said.get(key, key)
    found = cited(group["source"] if named == key else named)
    sources = tuple((str(source), GRADES[source.grade]) for source in found)
    return Origin(key, _NAMES[key], group["note"], sources)


@cache
def _groups() -> dict[str, dict[str, str]]:
    """Words and citation keys of each group, from the table that `explain` reads too."""
    return tomllib.loads(assets.read_text("data", "groups.toml"))
