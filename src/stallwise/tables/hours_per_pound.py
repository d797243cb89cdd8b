"""Hours for each pound as cooks reckon them, by kind of cut, wrap and pit."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stallwise.ground import assets
from stallwise.ground.errors import InputError

__all__ = ["PoundRule", "pound_families", "pound_rules"]

_UNITS = ("h", "h/lb")


@dataclass(frozen=True)
class PoundRule:
    """One row of ``data/hours_per_pound.csv``.

    Attributes
    ----------
    family, wrap : str
        Kind of cut, and wrap: ``none``, ``paper`` or ``foil``.
    pit_to_c : float
        Hottest pit it holds for [°C]; a cooler row goes first.
    low, high : float
        Hours, or hours for each pound as it goes on.
    by_mass : bool
        Whether the hours are for each pound.
    source, grade, note : str
        Where it comes from, and words on it.
    """

    family: str
    wrap: str
    pit_to_c: float
    low: float
    high: float
    by_mass: bool
    source: str
    grade: str
    note: str


@cache
def pound_rules() -> Mapping[tuple[str, str], tuple[PoundRule, ...]]:
    """Read the rules by family and wrap, cooler pits first."""
    found: dict[tuple[str, str], list[PoundRule]] = {}
    for row in csv.DictReader(assets.read_text("data", "hours_per_pound.csv").splitlines()):
        one = _read(row)
        found.setdefault((one.family, one.wrap), []).append(one)
    return MappingProxyType(
        {key: tuple(sorted(rows, key=lambda one: one.pit_to_c)) for key, rows in found.items()}
    )


@cache
def pound_families() -> Mapping[str, str]:
    """Read the family of each cut for which there is a rule."""
    rows = csv.DictReader(assets.read_text("data", "hours_per_pound_cuts.csv").splitlines())
    return MappingProxyType({cut: row["family"] for row in rows for cut in row["cuts"].split()})


def _read(row: Mapping[str, str]) -> PoundRule:
    where = f"data/hours_per_pound.csv, {row['family']} {row['wrap']}"
    if row["unit"] not in _UNITS:
        raise InputError(f"unit {row['unit']!r}", ", ".join(_UNITS), where=where)
    return PoundRule(
        family=row["family"],
        wrap=row["wrap"],
        pit_to_c=float(row["pit_to_c"]),
        low=float(row["low"]),
        high=float(row["high"]),
        by_mass=row["unit"] == "h/lb",
        source=row["source"],
        grade=row["grade"],
        note=row["note"],
    )
