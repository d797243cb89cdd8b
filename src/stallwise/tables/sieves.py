"""Openings of the sieves by which pepper is graded."""

from __future__ import annotations

from stallwise.tables.rows import rows

__all__ = ["opening_mm"]


def opening_mm(number: int | str) -> float | None:
    """Look up the opening [mm] of a sieve by its number [astm-e11]_; None where the table has none."""
    row = rows("sieves.csv", "number").get(str(number))
    return None if row is None else float(row["opening_mm"])
