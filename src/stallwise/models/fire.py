"""The fire of a whole cook over its possible days: match to steady, fuel, swing, how humid it is."""

from __future__ import annotations

import math
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
    split_swing_k,
    start_factor,
    warm_up_heat_j,
)
from stallwise.models.plan import Learned, PitCurve
from stallwise.models.walls import wall_loss_w_k
from stallwise.tables.parameters import Parameter, parameter

__all__ = [
    "FIRE_KINDS",
    "FUELS",
    "UNITS",
    "Day",
    "Fire",
    "FuelForecast",
    "cooling_s",
    "fuel_forecast",
    "usual_start_s",
]

#: Kinds of pit that burn something a cook carries; ovens and boxes are fed otherwise.
FIRE_KINDS = ("offset", "closed", "water pan", "fan")
#: Fuels, as in the keys ``fuel.<name>.…`` of the parameters.
FUELS = ("hardwood", "charcoal")
#: What fuel is counted in, as in the keys ``fuel.unit.<name>``.
UNITS = ("split", "chunk", "chimney", "scoop", "basket", "bag", "briquette")

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
    unit : str
        What goes on at once, one of `UNITS`.
    unit_kg : float or None
        Mass of one [kg]; drawn when not known.
    start_s : float or None
        Time from match to steady on a mild calm day [s], as somebody wrote it of this pit; drawn
        when not known.
    """

    pit_name: str = "pit"
    pit_kind: str = "offset"
    fuel: str = "hardwood"
    moisture: float | None = None
    unit: str = "split"
    unit_kg: float | None = None
    start_s: float | None = None

    def __post_init__(self) -> None:
        if self.pit_kind not in FIRE_KINDS:
            raise NotFoundError("kind of pit with a fire", self.pit_kind, FIRE_KINDS)
        if self.fuel not in FUELS:
            raise NotFoundError("fuel", self.fuel, FUELS)
        if self.unit not in UNITS:
            raise NotFoundError("unit of fuel", self.unit, UNITS)

    @property
    def row(self) -> str:
        """Kind of pit as the keys of parameters have it."""
        return self.pit_kind.replace(" ", "-")


@dataclass(frozen=True)
class Day:
    """Weather at the pit: air [°C], wind along the walls [m/s], water per dry air [kg/kg], rain."""

    ambient_c: float = 20.0
    wind_m_s: float = 0.0
    humidity_ratio: float = 0.008
    rain: bool = False

    def __post_init__(self) -> None:
        _AMBIENT.require(self.ambient_c)

    def walls(self, pit_c: Floats, rain: Floats = 1.0) -> Floats:
        """Loss through the walls for each kelvin over that of the usual pit on a mild calm day [-].

        Wind and rain take more, hotter walls shine more; the cold itself is in the difference
        between pit and day already.
        """
        inside = parameter("pit.wall.inside").value
        usual = wall_loss_w_k(
            1.0,
            parameter("pit.wall.usual").value,
            parameter("wood.usual").value,
            insulation_m2_k_w=inside,
        )
        now = wall_loss_w_k(
            1.0, pit_c, self.ambient_c, wind_m_s=self.wind_m_s, insulation_m2_k_w=inside
        )
        factor: Floats = now / usual
        return factor * rain if self.rain else factor


@dataclass(frozen=True)
class FuelForecast:
    """What the fire needs; arrays over the members.

    Attributes
    ----------
    start_s : array
        From match to steady [s].
    warm_up_kg : array
        Fuel from match to steady [kg].
    cook_kg : array
        Fuel from meat on to the end [kg]; infinite where a member has no end.
    rate_kg_s : array
        Fuel as fired, mean of the cook [kg/s].
    together : int
        Units of fuel that go on at a visit, so that visits are ``fuel.visit_least`` apart or more.
    split_interval_s : array
        Time between two visits [s].
    swing_k : array
        How far the pit swings between them, lowest to highest [K].
    half_swing_k : array
        The same with half as much, twice as often [K].
    air_kg_s : array
        Dry air through the pit [kg/s].
    excess_air_ratio : array
        That air over what the fire must have [-].
    humidity_ratio : array
        Water per dry air in the pit [kg/kg].
    """

    start_s: NDArray[np.float64]
    warm_up_kg: NDArray[np.float64]
    cook_kg: NDArray[np.float64]
    rate_kg_s: NDArray[np.float64]
    together: int
    split_interval_s: NDArray[np.float64]
    swing_k: NDArray[np.float64]
    half_swing_k: NDArray[np.float64]
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
    """Forecast the fire of a cook.

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
        What logs taught of this pit (`firelesson.fire_lesson`): ``pit.loss.<kind>``,
        ``pit.start.<kind>``.

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
    some 40 to 50 % is most of the answer's until a log is counted. Draws hang on the seed and
    the pit's name. Middles and spreads come from ``data/parameters.csv``.
    """
    _MEAT.require(meat_kg)
    _UNTIL.require(until_s)
    source = _Source(fire, seed, members, learned or {})
    moisture, heat = _burning(fire, source)
    useful = heat * source.draw("fuel.burnt")
    loss = source.draw(f"pit.loss.{fire.row}")
    share = parameter(f"pit.wall_share.{fire.row}").value
    air = (1.0 - share) * loss / parameter("fuel.air_heat").value
    mean = _mean_pit(pit, until_s)
    walls = share * loss * day.walls(mean, source.draw("weather.rain"))
    pan = source.draw("pit.water.water-pan") / _HOUR_S if fire.pit_kind == "water pan" else 0.0
    needed = pit_heat_w(
        walls,
        air,
        mean,
        day.ambient_c,
        meat_w=meat_kg * source.draw("fuel.meat_heat"),
        water_kg_s=pan,
    )
    rate = fuel_rate_kg_s(needed, useful, 1.0)
    hydrogen = parameter(f"fuel.{fire.fuel}.hydrogen").value
    steam = pan + meat_kg * source.draw("fuel.meat_water") / _HOUR_S
    unit = source.draw(f"fuel.unit.{fire.unit}") if fire.unit_kg is None else fire.unit_kg
    start_s, warm_up_kg = _warm_up(source, useful, (share * loss, air, walls), pit, day)
    steel = source.draw(f"pit.steel.{fire.row}") * parameter("fuel.steel_heat").value
    burn = source.draw("fuel.split_burn")
    whole = np.broadcast_to(np.asarray(until_s, dtype=np.float64), (members,))
    air_w_k = air * parameter("fuel.air_heat").value

    least_s = parameter("fuel.visit_least").value * 60.0
    together = max(math.ceil(least_s / float(np.median(split_interval_s(unit, rate))) - 0.1), 1)

    def swing(count: float) -> Floats:
        interval = split_interval_s(count * unit, rate)
        return split_swing_k(
            count * unit * useful, interval, burn * interval,
            loss_w_k=walls + air_w_k, heat_j_k=steel,
        )  # fmt: skip

    found = {
        "start_s": start_s,
        "warm_up_kg": warm_up_kg,
        "cook_kg": np.multiply(rate, whole),
        "rate_kg_s": rate,
        "split_interval_s": split_interval_s(together * unit, rate),
        "swing_k": swing(together),
        "half_swing_k": swing(together / 2.0),
        "air_kg_s": air,
        "excess_air_ratio": excess_air_ratio(air, rate, moisture, _air_needed(fire.fuel)),
        "humidity_ratio": pit_humidity_ratio(
            rate, combustion_water_kg_kg(hydrogen, moisture), air, day.humidity_ratio,
            water_kg_s=steam,
        ),
    }  # fmt: skip
    drawn = {
        name: np.broadcast_to(one, (members,)).astype(np.float64) for name, one in found.items()
    }
    return FuelForecast(together=together, **drawn)


class _Source:
    """Draws of one pit by key, with what was written and learned laid over the table."""

    def __init__(self, fire: Fire, seed: int, members: int, learned: Mapping[str, Learned]) -> None:
        self.fire = fire
        self._seed = seed
        self._members = members
        self._learned = learned

    def draw(self, key: str) -> NDArray[np.float64]:
        return self.row(key).draw(self._seed, self._members, "pit", self.fire.pit_name)

    def row(self, key: str) -> Parameter:
        one = parameter(key)
        first = self.fire.start_s if key.startswith("pit.start.") else None
        if key in self._learned:
            taught = self._learned[key]
            value = taught.value
            if first is not None:
                # What was written stands in for the table's middle, as far as that is still in it.
                value *= (first / one.value) ** min((taught.spread / one.spread) ** 2, 1.0)
            one = replace(one, value=value, spread=taught.spread)
        elif first is not None:
            one = replace(one, value=first)
        return one


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
    useful_j_kg: Floats,
    flows: tuple[Floats, Floats, Floats],
    pit: PitCurve,
    day: Day,
) -> tuple[Floats, Floats]:
    """Time from match to steady, and its fuel: the steel, and half of the steady loss meanwhile."""
    calm, air, walls = flows
    start = float(pit.at(0.0))
    steel, usual_s = (source.draw(f"pit.{part}.{source.fire.row}") for part in ("steel", "start"))
    took_s = usual_s * start_factor(
        steel,
        calm,
        air * parameter("fuel.air_heat").value,
        usual_s,
        pit_c=start,
        ambient_c=day.ambient_c,
        usual_c=parameter("wood.usual").value,
        blown=np.divide(walls, calm),
    )
    lost = parameter("fuel.warm_up_rise").value * pit_heat_w(walls, air, start, day.ambient_c)
    heat = warm_up_heat_j(steel, day.ambient_c, start)
    return took_s, (heat + lost * took_s) / useful_j_kg


def usual_start_s(
    fire: Fire, day: Day, pit_c: float, learned: Mapping[str, Learned] | None = None
) -> float:
    """Time from match to steady at the middle of all that is drawn [s].

    Parameters
    ----------
    fire, day, learned
        As for `fuel_forecast`.
    pit_c : float
        The pit when it is steady [°C].
    """
    source = _Source(fire, 0, 1, learned or {})
    steel, usual_s, loss = (
        source.row(f"pit.{part}.{fire.row}").value for part in ("steel", "start", "loss")
    )
    share = parameter(f"pit.wall_share.{fire.row}").value
    return float(
        usual_s
        * start_factor(
            steel,
            share * loss,
            (1.0 - share) * loss,
            usual_s,
            pit_c=pit_c,
            ambient_c=day.ambient_c,
            usual_c=parameter("wood.usual").value,
            blown=day.walls(pit_c, parameter("weather.rain").value),
        )
    )


def cooling_s(pit_kind: str) -> float:
    """Time constant of a pit whose fire is out [s]: the heat in its steel over what it loses.

    Parameters
    ----------
    pit_kind : str
        One of `FIRE_KINDS`.
    """
    row = pit_kind.replace(" ", "-")
    heat = parameter(f"pit.steel.{row}").value * parameter("fuel.steel_heat").value
    return heat / parameter(f"pit.loss.{row}").value
