"""What a class goes by: ``data/lesson.csv``."""

from __future__ import annotations

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import rows

__all__ = ["lesson_value"]


def lesson_value(key: str) -> float:
    """Look one number up, in the unit of its row.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.
    """
    table = rows("lesson.csv")
    if key not in table:
        raise NotFoundError("number of a class", key, table)
    return float(table[key]["value"])
