"""How near is the same when cooks are laid beside each other: rows of ``data/compare.csv``."""

from __future__ import annotations

import csv
from functools import cache

from stallwise.ground import assets

__all__ = ["nearness"]


@cache
def _rows() -> dict[str, float]:
    rows = csv.DictReader(assets.read_text("data", "compare.csv").splitlines())
    return {row["key"]: float(row["value"]) for row in rows}


def nearness(key: str) -> float:
    """Value of a row, in its own unit.

    Parameters
    ----------
    key : str
        ``same.share``, ``same.temperature``, …
    """
    return _rows()[key]
