"""How fast bacteria die in heat and grow as food cools: parameters of published models."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import number, rows

__all__ = ["GrowthModel", "Organism", "growth_model", "growth_models", "organism", "organisms"]


@dataclass(frozen=True)
class Organism:
    """How fast one kind of bacteria dies: `d_s` [s] for a tenth at `reference_c` [°C], `z_k` [K]."""

    key: str
    name: str
    matrix: str
    d_s: float
    reference_c: float
    z_k: float
    source: str
    grade: str
    note: str


@dataclass(frozen=True)
class GrowthModel:
    """Parameters of one model; `q0` is how ready spores are at the start, with its other value."""

    key: str
    food: str
    form: str
    b: float
    t_min_c: float
    c: float
    t_max_c: float
    q0: float | None
    q0_high: float | None
    source: str
    note: str


@cache
def organisms() -> Mapping[str, Organism]:
    """Read ``data/limits_lethality.csv``."""
    return MappingProxyType(
        {
            key: Organism(
                key,
                row["organism"],
                row["matrix"],
                float(row["value"]) * 60.0,
                float(row["reference_c"]),
                float(row["z_k"]),
                row["source"],
                row["grade"],
                row["note"],
            )
            for key, row in rows("limits_lethality.csv").items()
        }
    )


def organism(key: str) -> Organism:
    """Look one up."""
    if key not in organisms():
        raise NotFoundError("kind of bacteria", key, organisms())
    return organisms()[key]


@cache
def growth_models() -> Mapping[str, GrowthModel]:
    """Read ``data/limits_growth.csv``."""
    return MappingProxyType(
        {
            key: GrowthModel(
                key,
                row["food"],
                row["form"],
                float(row["b"]),
                float(row["t_min_c"]),
                float(row["c"]),
                float(row["t_max_c"]),
                number(row, "q0"),
                number(row, "q0_high"),
                row["source"],
                row["note"],
            )
            for key, row in rows("limits_growth.csv").items()
        }
    )


def growth_model(key: str) -> GrowthModel:
    """Look one up: ``beef``, ``chicken``, ``pork``, ``bulk``."""
    if key not in growth_models():
        raise NotFoundError("model of growth", key, growth_models())
    return growth_models()[key]
