"""What a day needs laid out, and how much of it: ``data/gear.csv``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import rows

__all__ = ["GearRow", "gear_rows", "gear_value"]


@dataclass(frozen=True)
class GearRow:
    """One thing: its name to a cook, and how much of it."""

    key: str
    what: str
    value: float


@cache
def gear_rows() -> Mapping[str, GearRow]:
    """Read every row, by key."""
    return {
        key: GearRow(key, row["what"], float(row["value"])) for key, row in rows("gear.csv").items()
    }


def gear_value(key: str) -> float:
    """Look up how much."""
    if key not in gear_rows():
        raise NotFoundError("gear", key, gear_rows())
    return gear_rows()[key].value
