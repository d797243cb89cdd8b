"""How fast bacteria die in heat and grow as food cools: parameters of published models."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stallwise.ground.errors import NotFoundError
from stallwise.tables.rows import number, rows

__all__ = [
    "GrowthModel",
    "Organism",
    "growth_model",
    "growth_models",
    "organisms",
    "organisms_in",
    "z_value_k",
]


@dataclass(frozen=True)
class Organism:
    """How fast one kind of bacteria dies in one kind of food.

    Attributes
    ----------
    key, name, matrix : str
        Row, bacteria, and what they were in.
    foods : frozenset of str
        Kinds of food that it stands for: ``whole``, ``ground``, ``poultry``.
    d_s, reference_c : float
        Time for a tenth [s] at a temperature [°C].
    z_k : float
        Rise that makes it ten times as fast [K].
    says : str
        D and z as they are printed.
    source, grade : str
        Citation key, and the kind of knowledge.
    """

    key: str
    name: str
    matrix: str
    foods: frozenset[str]
    d_s: float
    reference_c: float
    z_k: float
    says: str
    source: str
    grade: str


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
                frozenset(row["foods"].split()),
                float(row["value"]) * 60.0,
                float(row["reference_c"]),
                number(row, "z_k") or _z_of(row),
                row["says"],
                row["source"],
                row["grade"],
            )
            for key, row in rows("limits_lethality.csv").items()
        }
    )


def organisms_in(food: str) -> tuple[Organism, ...]:
    """Find the bacteria whose figures stand for a kind of food: ``whole``, ``ground``, ``poultry``."""
    return tuple(one for one in organisms().values() if food in one.foods)


def z_value_k(d: tuple[float, float], temperature_c: tuple[float, float]) -> float:
    """Work z [K] out of two D, in one unit of time, at two temperatures [°C]."""
    return (temperature_c[1] - temperature_c[0]) / math.log10(d[0] / d[1])


def _z_of(row: Mapping[str, str]) -> float:
    slow, quick, cooler, hotter = (
        float(row[name]) for name in ("d_slow", "d_quick", "slow_c", "quick_c")
    )
    return z_value_k((slow, quick), (cooler, hotter))


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
