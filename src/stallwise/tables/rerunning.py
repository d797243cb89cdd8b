"""Numbers behind a re-run: how long a notebook may take, and what counts as moved."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets

__all__ = ["Tolerances", "notebook_limit_s", "tolerances"]


@dataclass(frozen=True)
class Tolerances:
    """By how much two figures may differ and still be the same.

    Attributes
    ----------
    time_s : float
        Times and lengths of time [s].
    temperature_k : float
        Temperatures [K].
    mass_kg : float
        Weights [kg].
    share : float
        Chances and shares [-].
    same : float
        Everything, relative to its size [-].
    """

    time_s: float = 0.0
    temperature_k: float = 0.0
    mass_kg: float = 0.0
    share: float = 0.0
    same: float = 1e-9


@cache
def _rows() -> dict[str, float]:
    rows = csv.DictReader(assets.read_text("data", "rerun.csv").splitlines())
    return {row["key"]: float(row["value"]) for row in rows}


def notebook_limit_s() -> float:
    """Time allowed for all cells of one notebook [s]."""
    return _rows()["notebook.limit"]


def tolerances() -> Tolerances:
    """Give the rows of the table: what a cook would not see is the same."""
    value = _rows()
    return Tolerances(
        time_s=value["tolerance.time"],
        temperature_k=value["tolerance.temperature"],
        mass_kg=value["tolerance.mass"],
        share=value["tolerance.share"],
        same=value["tolerance.same"],
    )
