"""Ways to cool food, tried on the same possible days: how long each takes beside the rule.

A forecast, not a measurement: whether cooling kept its rule is for readings to say.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from stallwise.ground import units
from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import NotFoundError, OutOfRangeError
from stallwise.ground.formats import format_length, format_temperature
from stallwise.joins.limit.limitsaid import degrees, lasting
from stallwise.joins.tables import Table
from stallwise.joins.words import odds_text
from stallwise.models.cooling import CoolStage, Portion, cooling_forecast
from stallwise.models.ice import ice_needed_kg
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.limits import clock, rule
from stallwise.tables.rows import rows

__all__ = [
    "FOODS",
    "CoolingWay",
    "cooling_ways",
    "ice_words",
    "plain_way",
    "pot_of",
    "pot_words",
    "way_table",
]

#: What cools, and how the model takes it.
FOODS: Mapping[str, str] = {"stock": "liquid", "sauce": "liquid", "beans": "thick", "meat": "thick"}
_HOUR_S = 3600.0


@dataclass(frozen=True)
class CoolingWay:
    """One way to cool, over the possible days.

    Attributes
    ----------
    key, words : str
        Row of ``data/limits_ways.csv``.
    first_h, total_h : tuple of two floats
        135 to 70 °F and 135 to 41 °F: early and late of four days in five [h]; infinite where it
        is not reached within a day.
    share : float
        Share of possible days within both times of the rule.
    rule, source : str
        The rule in words, and the key behind the way.
    """

    key: str
    words: str
    first_h: tuple[float, float]
    total_h: tuple[float, float]
    share: float
    rule: str
    source: str


def pot_of(
    depth: str | None, width: str | None, start: str | None = None
) -> tuple[float, float, float]:
    """Read depth and width of a pot [m] and how hot it is [°C]; a usual one's rows where not said.

    Parameters
    ----------
    depth, width, start : str or None
        As people write them: ``"8 in"``, ``"25 cm"``, ``"200 F"``.
    """
    usual = {name: kitchen_value(f"pot_{name}").value for name in ("depth", "width", "hot")}
    return (
        units.parse("length", depth, key="depth") if depth else usual["depth"] * 1e-3,
        units.parse("length", width, key="width") if width else usual["width"] * 1e-3,
        units.parse("temperature", start, key="from") if start else usual["hot"],
    )


def pot_words(depth_m: float, width_m: float, start_c: float, system: str) -> str:
    """Say which pot was taken: ``From 200 °F, 8 in deep in a pot 10 in wide``."""
    deep, wide = (format_length(length_m, system) for length_m in (depth_m, width_m))
    return f"From {format_temperature(start_c, system)}, {deep} deep in a pot {wide} wide"


def cooling_ways(
    food: str,
    depth_m: float,
    width_m: float,
    *,
    start_c: float,
    seed: int = 1,
    members: int = 100,
) -> tuple[CoolingWay, ...]:
    """Try every way of the table on one pot or pan.

    Parameters
    ----------
    food : {"stock", "sauce", "beans", "meat"}
        What it is.
    depth_m, width_m : float
        Depth of the food and width of its pot [m].
    start_c : float
        Temperature all through at the start [°C]; the rule counts from 135 °F.
    seed, members : int
        Possible days.

    Raises
    ------
    NotFoundError
        No such food.
    OutOfRangeError
        It is not hot at the start, or sizes are impossible.
    """
    if food not in FOODS:
        raise NotFoundError("food that cools", food, FOODS)
    first, total = clock("cool-first"), clock("cool-total")
    if first.from_c is not None and start_c < first.from_c:
        raise OutOfRangeError(
            f"food that starts to cool at {start_c:.0f} °C",
            f"{degrees(first.from_c, system='metric')} or more",
        )
    pot = Portion("pot", FOODS[food], depth_m, width_m, covered=True)
    found = []
    for row in rows("limits_ways.csv").values():
        portion, stages = _placed(pot, row)
        cooled = cooling_forecast(portion, start_c, stages, key=food, seed=seed, members=members)
        middle_s, cold_s = cooled.stage_times_s(first.from_c, first.to_c, total.to_c)
        kept = (middle_s <= first.limit_s) & (cold_s <= total.limit_s)
        found.append(
            CoolingWay(
                row["key"],
                row["words"],
                _window(middle_s),
                _window(cold_s),
                float(kept.mean()),
                rule(total.rule).words,
                f"limits_ways.{row['key']}",
            )
        )
    return tuple(found)


def way_table(ways: Sequence[CoolingWay], food: str, system: str) -> Table:
    """Lay the ways out, the surest first.

    Parameters
    ----------
    ways : sequence of CoolingWay
        As tried.
    food : str
        What cools.
    system : {"us", "metric"}
        The cook's units.
    """
    first, total = clock("cool-first"), clock("cool-total")
    rows = tuple(
        (one.words, _span(one.first_h), _span(one.total_h), odds_text(one.share))
        for one in sorted(ways, key=lambda one: (-one.share, one.first_h))
    )
    name = ways[0].rule if ways else ""
    caption = f"Cooling {food}: a forecast, four days in five. {name}"
    head = (
        "way",
        f"{degrees(first.from_c, first.to_c, system=system)}, {lasting(first.limit_s, up=False)}",
        f"to {degrees(total.to_c, system=system)}, {lasting(total.limit_s, up=False)} in all",
        "within both",
    )
    return Table(caption, head, rows, "limits")


def ice_words(food: str, system: str) -> str:
    """Say what the ways leave to the cook: the fridge, and how much ice a liquid takes."""
    hot_c, cold_c = clock("cool-first").from_c, clock("cool-total").to_c
    fridge = (
        f"On some of these days the fridge itself is above {degrees(cold_c, system=system)}: "
        "put a thermometer in it. "
    )
    if FOODS.get(food) != "liquid" or hot_c is None or cold_c is None:
        return fridge
    share = float(ice_needed_kg(1.0, hot_c, cold_c))
    span = degrees(hot_c, cold_c, system=system)
    return f"{fridge}From {span} it takes at least {share:.1f} times its weight in ice. "


def plain_way(one: CoolingWay) -> dict[str, Any]:
    """Turn a way into what JSON holds; None where a time is beyond a day."""

    def known(window: tuple[float, float]) -> list[float | None]:
        return [value if math.isfinite(value) else None for value in window]

    return {
        "way": one.key,
        "words": one.words,
        "first_h": known(one.first_h),
        "total_h": known(one.total_h),
        "share": one.share,
        "rule": one.rule,
        "source": one.source,
    }


def _placed(pot: Portion, row: Mapping[str, str]) -> tuple[Portion, tuple[CoolStage, ...]]:
    """Food in its container, and the places it goes to."""
    portion = replace(pot, covered=row["covered"] == "yes")
    parts = int(row["parts"])
    if parts > 1:
        # As many alike pots hold the same: each is smaller all round.
        scale = parts ** (-1.0 / 3.0)
        portion = replace(portion, depth_m=pot.depth_m * scale, width_m=pot.width_m * scale)
    if row["deepest"]:
        deepest = units.parse("length", row["deepest"])
        portion = replace(
            portion, container=row["container"], depth_m=min(portion.depth_m, deepest)
        )
    return portion, tuple(_stages(row))


def _stages(row: Mapping[str, str]) -> Iterator[CoolStage]:
    if row["first_place"]:
        yield CoolStage(row["first_place"], units.parse("duration", row["first_time"]))
    yield CoolStage(row["then_place"])


def _window(times_s: np.ndarray) -> tuple[float, float]:
    early, late = quantiles(times_s, (0.1, 0.9)) / _HOUR_S
    return float(early), float(late)


def _span(window_h: tuple[float, float]) -> str:
    early, late = (
        f"{value:.1f} h" if math.isfinite(value) else "beyond a day" for value in window_h
    )
    return f"{early} to {late}"
