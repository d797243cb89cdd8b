"""What cooks for many reckon with: ``data/catering.csv``."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import number, rows

__all__ = ["CateringValue", "catering_value"]


@dataclass(frozen=True)
class CateringValue:
    """One row; its ends equal the value where no band is given."""

    key: str
    value: float
    low: float
    high: float
    unit: str
    note: str


def catering_value(key: str) -> CateringValue:
    """Look one row up.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.
    """
    table = rows("catering.csv")
    if key not in table:
        raise NotFoundError("number of a crowd", key, table)
    row = table[key]
    value = float(row["value"])
    low, high = number(row, "low"), number(row, "high")
    return CateringValue(
        key,
        value,
        value if low is None else low,
        value if high is None else high,
        row["unit"],
        row["note"],
    )
