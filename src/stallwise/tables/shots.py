"""What is worth showing of each kind of step: ``data/shots.csv``."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets

__all__ = ["ShotRow", "shot_rows"]


@dataclass(frozen=True)
class ShotRow:
    """What to show of one kind of step, how near, what to mind, and words of captions that tell of it."""

    step: str
    show: str
    view: str
    note: str
    captions: tuple[str, ...]


@cache
def shot_rows() -> Mapping[str, ShotRow]:
    """Read what to show, by kind of step."""
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "shots.csv")))
    return {
        row["step"]: ShotRow(
            row["step"], row["show"], row["view"], row["note"], tuple(row["captions"].split("|"))
        )
        for row in rows
    }
