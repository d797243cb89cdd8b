"""Rows of a shipped CSV table, by their key."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from stallwise.ground import assets

__all__ = ["number", "rows"]


@cache
def rows(name: str, key: str = "key") -> Mapping[str, Mapping[str, str]]:
    """Read ``data/<name>`` once: each row as text by the column `key`."""
    table = csv.DictReader(io.StringIO(assets.read_text("data", name)))
    return MappingProxyType({row[key]: MappingProxyType(row) for row in table})


def number(row: Mapping[str, str], column: str) -> float | None:
    """Read one cell as a number; None where it is empty."""
    return float(row[column]) if row.get(column) else None
