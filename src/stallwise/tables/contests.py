"""How long what is handed in stays as wanted: ``data/contest.csv``."""

from __future__ import annotations

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import rows

__all__ = ["contest_value"]


def contest_value(key: str) -> float:
    """Look one number up, in the unit of its row.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.
    """
    table = rows("contest.csv")
    if key not in table:
        raise NotFoundError("number of a contest", key, table)
    return float(table[key]["value"])
