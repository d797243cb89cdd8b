"""What is left of a cut: measured by the food table, and as pits leave it."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import number, rows

__all__ = ["BOUGHT", "COOKED", "EDIBLE", "YieldRow", "yield_row", "yields_of"]

#: What a share is of: meat eaten of what was bought, cooked of what went on, on of bought.
EDIBLE, COOKED, BOUGHT = "edible of bought", "cooked of on", "on of bought"


@dataclass(frozen=True)
class YieldRow:
    """One row of ``data/yields.csv``.

    Attributes
    ----------
    key, cut, of : str
        Its key, the cut, and what the share is of.
    share : float
        Cooked over raw where both were weighed, else the middle of the band.
    low, high : float
        Ends of the band; `share` itself where none is given.
    source, grade, note : str
        For `explain`.
    """

    key: str
    cut: str
    of: str
    share: float
    low: float
    high: float
    source: str
    grade: str
    note: str


def yield_row(key: str) -> YieldRow:
    """Look one yield up.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.

    Examples
    --------
    >>> round(yield_row("pork-shoulder-bone-in.10083").share, 3)
    0.578
    """
    table = rows("yields.csv")
    if key not in table:
        raise NotFoundError("yield", key, table)
    row = table[key]
    low, high = number(row, "low"), number(row, "high")
    if row["cooked_g"]:
        share = float(row["cooked_g"]) / float(row["raw_g"])
    else:
        ends = [end for end in (low, high) if end is not None]
        share = sum(ends) / len(ends)
    return YieldRow(
        key,
        row["cut"],
        row["of"],
        share,
        share if low is None else low,
        share if high is None else high,
        row["source"],
        row["grade"],
        row["note"],
    )


def yields_of(cut: str, of: str = EDIBLE) -> tuple[YieldRow, ...]:
    """Every yield of a cut of one kind, in the order of the table."""
    table = rows("yields.csv")
    return tuple(
        yield_row(key) for key, row in table.items() if row["cut"] == cut and row["of"] == of
    )
