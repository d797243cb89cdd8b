"""The kitchen's own numbers: heat of boiling, rings, shares that stay on the meat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import rows

__all__ = ["KitchenValue", "kitchen", "kitchen_value"]


@dataclass(frozen=True)
class KitchenValue:
    """One row of ``data/kitchen.csv``; `low` and `high` equal `value` where no band is given."""

    key: str
    value: float
    low: float
    high: float
    unit: str
    source: str
    grade: str
    note: str


@cache
def kitchen() -> Mapping[str, KitchenValue]:
    """Read every row, by key."""
    return MappingProxyType({key: _read(row) for key, row in rows("kitchen.csv").items()})


def kitchen_value(key: str) -> KitchenValue:
    """Look one row up.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.

    Examples
    --------
    >>> kitchen_value("latent_heat").value
    2257.0
    """
    table = kitchen()
    if key not in table:
        raise NotFoundError("kitchen number", key, table)
    return table[key]


def _read(row: Mapping[str, str]) -> KitchenValue:
    value = float(row["value"])
    return KitchenValue(
        key=row["key"],
        value=value,
        low=float(row["low"] or value),
        high=float(row["high"] or value),
        unit=row["unit"],
        source=row["source"],
        grade=row["grade"],
        note=row["note"],
    )
