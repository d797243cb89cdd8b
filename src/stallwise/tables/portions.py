"""How much a plate takes, and how many servings a pound gives."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import number, rows

__all__ = ["APPETITES", "Portion", "portion", "servings_per_lb"]

#: Appetites in words, and the row that says what such a plate takes.
APPETITES = {"light": "cooked_light", "usual": "cooked_usual", "hungry": "cooked_hungry"}


@dataclass(frozen=True)
class Portion:
    """One row of ``data/portions.csv``; its ends equal the value where no band is given."""

    key: str
    value: float
    low: float
    high: float
    unit: str
    source: str
    grade: str
    note: str


def portion(key: str) -> Portion:
    """Look one row up.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.
    """
    table = rows("portions.csv")
    if key not in table:
        raise NotFoundError("portion", key, table)
    row = table[key]
    value = float(row["value"])
    return Portion(
        key,
        value,
        value if (low := number(row, "low")) is None else low,
        value if (high := number(row, "high")) is None else high,
        row["unit"],
        row["source"],
        row["grade"],
        row["note"],
    )


def servings_per_lb(cut: str) -> Portion | None:
    """Find the printed servings of 3 oz cooked from a pound as bought; None where nobody printed them."""
    key = f"servings.{cut}"
    return portion(key) if key in rows("portions.csv") else None
