"""Openings of the sieves by which pepper is graded."""

from __future__ import annotations

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import rows

__all__ = ["opening_mm"]


def opening_mm(number: int | str) -> float:
    """Look up the opening [mm] of a sieve by its number [astm-e11]_.

    Raises
    ------
    NotFoundError
        No such sieve in the table.
    """
    table = rows("sieves.csv", "number")
    if str(number) not in table:
        raise NotFoundError("sieve", str(number), table)
    return float(table[str(number)]["opening_mm"])
