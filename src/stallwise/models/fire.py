"""The fuel of a whole cook over its possible days: kilograms, splits, and how humid the pit is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import NotFoundError
from stallwise.ground.ranges import Floats, Range
from stallwise.models.combustion import (
    as_fired_heat_j_kg,
    combustion_water_kg_kg,
    stoichiometric_air_kg_kg,
)
from stallwise.models.fuel import (
    excess_air_ratio,
    fuel_rate_kg_s,
    pit_heat_w,
    pit_humidity_ratio,
    split_interval_s,
    warm_up_heat_j,
)
from stallwise.models.plan import Learned, PitCurve
from stallwise.models.walls import weather_factor
from stallwise.tables.parameters import parameter

__all__ = ["FIRE_KINDS", "FUELS", "Day", "Fire", "FuelForecast", "fuel_forecast"]

#: Kinds of pit that burn something a cook carries; ovens and boxes are fed otherwise.
FIRE_KINDS = ("offset", "closed", "water pan", "fan")
#: Fuels, as in the keys ``fuel.<name>.…`` of the parameters.
FUELS = ("hardwood", "charcoal")

_HOUR_S = 3600.0
_MEAT = Range("meat on the pit", 0.0, 5000.0, "kg")
_AMBIENT = Range("outside air", -50.0, 60.0, "°C", "a day on which people cook")
_UNTIL = Range("time on the fire", 1.0, float("inf"), "s")


@dataclass(frozen=True)
class Fire:
    """A pit and what is burnt in it.

    Attributes
    ----------
    pit_name : str
        Names the pit's draws.
    pit_kind : str
        One of `FIRE_KINDS`.
    fuel : str
        One of `FUELS`.
    moisture : float or None
        Water over fuel as it is [-]; drawn when not known.
    split_kg : float or None
        Mass of one split [kg]; drawn when not known.
    """

    pit_name: str = "pit"
    pit_kind: str = "offset"
    fuel: str = "hardwood"
    moisture: float | None = None
    split_kg: float | None = None

    def __post_init__(self) -> None:
        if self.pit_kind not in FIRE_KINDS:
            raise NotFoundError("kind of pit with a fire", self.pit_kind, FIRE_KINDS)
        if self.fuel not in FUELS:
            raise NotFoundError("fuel", self.fuel, FUELS)


@dataclass(frozen=True)
class Day:
    """Weather at the pit: air [°C], wind along the walls [m/s], water per dry air [kg/kg]."""

    ambient_c: float = 20.0
    wind_m_s: float = 0.0
    humidity_ratio: float = 0.008

    def __post_init__(self) -> None:
        _AMBIENT.require(self.ambient_c)


@dataclass(frozen=True)
class FuelForecast:
    """What the fire needs; each an array over the members.

    Attributes
    ----------
    warm_up_kg : array
        Fuel from match to steady [kg].
    cook_kg : array
        Fuel from meat on to the end [kg]; infinite where a member has no end.
    rate_kg_s : array
        Fuel as fired, mean of the cook [kg/s].
    split_interval_s : array
        Time between splits [s].
    air_kg_s : array
        Dry air through the pit [kg/s].
    excess_air_ratio : array
        That air over what the fire must have [-].
    humidity_ratio : array
        Water per dry air in the pit [kg/kg].
    """

    warm_up_kg: NDArray[np.float64]
    cook_kg: NDArray[np.float64]
    rate_kg_s: NDArray[np.float64]
    split_interval_s: NDArray[np.float64]
    air_kg_s: NDArray[np.float64]
    excess_air_ratio: NDArray[np.float64]
    humidity_ratio: NDArray[np.float64]


def fuel_forecast(
    fire: Fire,
    day: Day,
    pit: PitCurve,
    until_s: Floats,
    *,
    meat_kg: float = 0.0,
    seed: int,
    members: int,
    learned: Mapping[str, Learned] | None = None,
) -> FuelForecast:
    """Forecast the fuel of a cook.

    Parameters
    ----------
    fire : Fire
        Pit and fuel.
    day : Day
        Weather at the pit, held throughout.
    pit : PitCurve
        Pit as planned.
    until_s : float or array (members,)
        When the last piece comes off [s since meat on]; a member each, from its forecast, or one.
    meat_kg : float, default 0
        All the meat on the pit [kg].
    seed : int
        Seed of the cook.
    members : int
        Possible days.
    learned : mapping of parameter key to Learned, optional
        What weighed logs taught of this pit: ``pit.loss.<kind>`` of `fuel.taught_loss`.

    Returns
    -------
    FuelForecast

    Raises
    ------
    OutOfRangeError
        If the day is hotter than the pit, or times and masses are impossible.

    Notes
    -----
    One number, the loss for each kelvin, makes fuel, air and humidity of a pit; its spread of
    some 40 to 50 % is most of the answer's until a log is weighed. Draws hang on the seed and
    the pit's name. Middles and spreads come from ``data/parameters.csv``.
    """
    _MEAT.require(meat_kg)
    _UNTIL.require(until_s)
    source = _Source(fire, seed, members, learned or {})
    kind = fire.pit_kind.replace(" ", "-")
    moisture, heat = _burning(fire, source)
    burnt = source.draw("fuel.burnt")
    loss = source.draw(f"pit.loss.{kind}")
    share = parameter(f"pit.wall_share.{kind}").value
    air = (1.0 - share) * loss / parameter("fuel.air_heat").value
    mean = _mean_pit(pit, until_s)
    # Of the weather, the fuel rate's own part is the wind: the cold is in the difference already.
    blown = weather_factor(mean, day.ambient_c, day.wind_m_s, wall_share=1.0, usual_c=day.ambient_c)
    walls = share * loss * blown
    pan = source.draw("pit.water.water-pan") / _HOUR_S if kind == "water-pan" else 0.0
    needed = pit_heat_w(
        walls,
        air,
        mean,
        day.ambient_c,
        meat_w=meat_kg * source.draw("fuel.meat_heat"),
        water_kg_s=pan,
    )
    rate = fuel_rate_kg_s(needed, heat, burnt)
    hydrogen = parameter(f"fuel.{fire.fuel}.hydrogen").value
    steam = pan + meat_kg * source.draw("fuel.meat_water") / _HOUR_S
    split = source.draw("pit.split") if fire.split_kg is None else fire.split_kg
    whole = np.broadcast_to(np.asarray(until_s, dtype=np.float64), (members,))
    found = (
        _warm_up(source, kind, heat * burnt, (walls, air), pit, day),
        np.multiply(rate, whole),
        rate,
        split_interval_s(split, rate),
        air,
        excess_air_ratio(air, rate, moisture, _air_needed(fire.fuel)),
        pit_humidity_ratio(
            rate, combustion_water_kg_kg(hydrogen, moisture), air, day.humidity_ratio,
            water_kg_s=steam,
        ),
    )  # fmt: skip
    return FuelForecast(*(np.broadcast_to(one, (members,)).astype(np.float64) for one in found))


class _Source:
    """Draws of one pit by key, with what was learned laid over the table."""

    def __init__(self, fire: Fire, seed: int, members: int, learned: Mapping[str, Learned]) -> None:
        self._fire = fire
        self._seed = seed
        self._members = members
        self._learned = learned

    def draw(self, key: str) -> NDArray[np.float64]:
        one = parameter(key)
        if key in self._learned:
            taught = self._learned[key]
            one = replace(one, value=taught.value, spread=taught.spread)
        return one.draw(self._seed, self._members, "pit", self._fire.pit_name)


def _burning(fire: Fire, source: _Source) -> tuple[Floats, Floats]:
    """Moisture, and net heat as fired."""
    name = f"fuel.{fire.fuel}"
    moisture = source.draw(f"{name}.moisture") if fire.moisture is None else fire.moisture
    return moisture, as_fired_heat_j_kg(moisture, source.draw(f"{name}.heat"))


def _air_needed(fuel: str) -> Floats:
    shares = (parameter(f"fuel.{fuel}.{part}").value for part in ("carbon", "hydrogen", "oxygen"))
    return stoichiometric_air_kg_kg(*shares)


def _mean_pit(pit: PitCurve, until_s: Floats) -> Floats:
    """Mean of the pit from meat on; a piece without an end keeps the pit it ends with."""
    ends = np.asarray(until_s, dtype=np.float64)
    finite = np.where(np.isfinite(ends), ends, 1.0)
    mean = (pit.integral(finite) - pit.integral(0.0)) / finite
    last: Floats = np.where(np.isfinite(ends), mean, pit.temperature_c[-1])[()]
    return last


def _warm_up(
    source: _Source,
    kind: str,
    useful_j_kg: Floats,
    flows: tuple[Floats, Floats],
    pit: PitCurve,
    day: Day,
) -> Floats:
    """Fuel from match to steady: the steel, and half of the steady loss while it warms."""
    walls, air = flows
    start = float(pit.at(0.0))
    steel = warm_up_heat_j(source.draw(f"pit.steel.{kind}"), day.ambient_c, start)
    lost = parameter("fuel.warm_up_rise").value * pit_heat_w(walls, air, start, day.ambient_c)
    return (steel + lost * source.draw("fuel.warm_up")) / useful_j_kg
