"""What a logged fire tells of its pit: the heat it loses, and how long it takes from match to steady."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from stallwise.models.combustion import as_fired_heat_j_kg
from stallwise.models.fire import Day, Fire
from stallwise.models.fuel import log_loss_w_k, start_factor, warm_up_heat_j
from stallwise.models.learning import Key, Told
from stallwise.tables.parameters import parameter

__all__ = ["FireSeen", "fire_lesson"]

_HOUR_S = 3600.0


@dataclass(frozen=True)
class FireSeen:
    """A fire as it was logged.

    Attributes
    ----------
    fire : Fire
        Pit and fuel.
    day : Day
        Its weather.
    day_known : bool
        Somebody noted the air outside.
    fuel_kg : float
        Fuel burnt over `span_s` [kg]; 0 where it was not counted.
    fuel_doubt : float
        How well, standard deviation of its logarithm [-].
    span_s : float
        How long that lasted [s].
    pit_c : float
        Mean of the pit meanwhile [°C].
    meat_kg : float
        Meat on the pit meanwhile [kg].
    from_cold : bool
        It began at the match, so that the pit's steel was warmed too.
    start_s : float or None
        From match to steady [s].
    start_c : float
        The pit when it was steady [°C].
    """

    fire: Fire
    day: Day
    day_known: bool
    fuel_kg: float
    fuel_doubt: float
    span_s: float
    pit_c: float
    meat_kg: float
    from_cold: bool
    start_s: float | None
    start_c: float


def fire_lesson(fires: Iterable[FireSeen]) -> dict[Key, tuple[Told, ...]]:
    """Tell what fires say of their pits, by pit and parameter; for `learning.fold`.

    Parameters
    ----------
    fires : iterable of FireSeen
        Of one cook.

    Returns
    -------
    dict of (pit, parameter) to tuple of Told
        ``pit.loss.<kind>`` and ``pit.start.<kind>``, in logarithms.

    Notes
    -----
    What is known of no single pit (steel, meat, wood) is taken at its middle: the same is taken
    when the next fire is forecast, so that an error in it cancels. So does the mass of a split
    that nobody weighed, as long as the fire is counted in splits.
    """
    found: dict[Key, tuple[Told, ...]] = {}
    for one in fires:
        for key, told in (
            (f"pit.loss.{one.fire.row}", _loss(one)),
            (f"pit.start.{one.fire.row}", _start(one)),
        ):
            if told is not None:
                name = (one.fire.pit_name, key)
                found[name] = (*found.get(name, ()), told)
    return found


def _loss(seen: FireSeen) -> Told | None:
    long_enough = seen.span_s >= parameter("learn.fire.shortest").value * _HOUR_S
    if not long_enough or seen.fuel_kg <= 0.0 or seen.pit_c <= seen.day.ambient_c + 1.0:
        return None
    fire, fuel = seen.fire, f"fuel.{seen.fire.fuel}"
    moisture = parameter(f"{fuel}.moisture").value if fire.moisture is None else fire.moisture
    heat = as_fired_heat_j_kg(moisture, parameter(f"{fuel}.heat").value)
    burnt = parameter("fuel.burnt").value
    other_j = seen.meat_kg * parameter("fuel.meat_heat").value * seen.span_s
    if fire.pit_kind == "water pan":
        pan = parameter("pit.water.water-pan").value / _HOUR_S
        other_j += pan * parameter("fuel.evaporation").value * seen.span_s
    if seen.from_cold:
        steel = parameter(f"pit.steel.{fire.row}").value
        other_j += float(warm_up_heat_j(steel, seen.day.ambient_c, seen.start_c))
    left_kg = seen.fuel_kg - other_j / float(heat * burnt)
    if left_kg <= 0.0:
        return None
    share = parameter(f"pit.wall_share.{fire.row}").value
    walls = float(seen.day.walls(seen.pit_c, parameter("weather.rain").value))
    loss = log_loss_w_k(
        left_kg,
        heat,
        seen.span_s,
        seen.pit_c,
        seen.day.ambient_c,
        burnt=burnt,
        weather=share * walls + 1.0 - share,
    )
    row = parameter(f"pit.loss.{fire.row}")
    if not row.low <= loss <= row.high:
        return None
    weather = 0.0 if seen.day_known else parameter("learn.fire.weather").value
    doubt = math.hypot(seen.fuel_doubt, parameter("learn.fire.log").value, weather)
    return Told(math.log(float(loss)), doubt**2)


def _start(seen: FireSeen) -> Told | None:
    if not seen.start_s or seen.start_c <= seen.day.ambient_c:
        return None
    row = seen.fire.row
    loss, share = parameter(f"pit.loss.{row}").value, parameter(f"pit.wall_share.{row}").value
    factor = start_factor(
        parameter(f"pit.steel.{row}").value,
        share * loss,
        (1.0 - share) * loss,
        parameter(f"pit.start.{row}").value,
        pit_c=seen.start_c,
        ambient_c=seen.day.ambient_c,
        usual_c=parameter("wood.usual").value,
        blown=seen.day.walls(seen.start_c, parameter("weather.rain").value),
    )
    doubt = parameter("learn.fire.start").value
    return Told(math.log(seen.start_s / float(factor)), doubt**2)
