"""Stock and leftovers on the way down: pans, pots and portions on counter, in fridge or ice."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.ranges import Floats, Range
from stallwise.models.conduction import Relaxation, relaxation
from stallwise.models.crossing import last_fall_s
from stallwise.models.lump import mean_exchange_w_m2_k
from stallwise.models.vessel import pot_body
from stallwise.tables.parameters import Parameter, parameter

__all__ = [
    "CONTAINERS",
    "FOODS",
    "PLACES",
    "CoolStage",
    "CoolingForecast",
    "Portion",
    "cooling_forecast",
]

#: Containers: a pan is a layer, a pot is as deep as wide or so.
CONTAINERS = ("pan", "pot")
#: Thick food only conducts; liquid stirs itself to one temperature.
FOODS = ("thick", "liquid")
#: Places, as in the keys ``cool.<place>.…`` of the parameters.
PLACES = ("counter", "fridge", "walk-in", "freezer", "ice bath")

# A liquid that stirs itself, as a body that conducts a thousandfold.
_STIRRED = 1000.0
_DEPTH = Range("depth of the food", 0.002, 1.0, "m", "1/8 to 39 in")
_WIDTH = Range("width of the container", 0.01, 3.0, "m", "1/2 to 118 in")
_START = Range("temperature at the start", 0.0, 110.0, "°C", "32 to 230 °F")
_HORIZON = Range("how far to look", 600.0, 7 * 86_400.0, "s")
_LASTING = Range("time in one place", 1.0, float("inf"), "s")


@dataclass(frozen=True)
class Portion:
    """Food in one container.

    Attributes
    ----------
    container : str
        One of `CONTAINERS`.
    food : str
        One of `FOODS`.
    depth_m : float
        Depth of the food [m].
    width_m : float
        Diameter of a pot [m]; not used for a pan.
    covered : bool
        A lid or foil on it; an open one also steams.
    """

    container: str
    food: str
    depth_m: float
    width_m: float = 0.3
    covered: bool = True

    def __post_init__(self) -> None:
        _choose("container", self.container, CONTAINERS)
        _choose("kind of food", self.food, FOODS)
        _DEPTH.require(self.depth_m)
        _WIDTH.require(self.width_m)


@dataclass(frozen=True)
class CoolStage:
    """A place and how long the food stays there.

    Attributes
    ----------
    place : str
        One of `PLACES`.
    lasting_s : float
        Time [s]; ``inf`` for the last place.
    temperature_c : float or None
        Its temperature [°C]; drawn when not known.
    stirred : bool
        Whether pot and bath are stirred now and then; for an ice bath only.
    """

    place: str
    lasting_s: float = math.inf
    temperature_c: float | None = None
    stirred: bool = True

    def __post_init__(self) -> None:
        _choose("place to cool", self.place, PLACES)
        _LASTING.require(self.lasting_s)


@dataclass(frozen=True)
class CoolingForecast:
    """Temperature of food on the way down, a member each.

    Attributes
    ----------
    time_s : array (times,)
        Time since it went to the first place [s].
    warmest_c : array (members, times)
        Warmest spot of the food [°C].
    """

    time_s: NDArray[np.float64]
    warmest_c: NDArray[np.float64]

    def below_s(self, target_c: Floats) -> NDArray[np.float64]:
        """When no spot is hotter than a temperature any more.

        Parameters
        ----------
        target_c : float or array (members,)
            Temperature [°C].

        Returns
        -------
        array (members,)
            Time [s]; 0 where it is from the start, ``inf`` where it is not at the end.
        """
        return last_fall_s(self.time_s, self.warmest_c, target_c)

    def stage_times_s(
        self,
        from_c: float | None = None,
        middle_c: float | None = None,
        cold_c: float | None = None,
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Time of the two stages in which cooling is counted.

        Parameters
        ----------
        from_c, middle_c, cold_c : float, optional
            Temperatures [°C]; 57.2, 21.1 and 5 (135, 70 and 41 °F, ``cooling.from`` and so on)
            when not given.

        Returns
        -------
        tuple of array (members,)
            Time from the first to the second temperature, and from the first to the third [s];
            ``inf`` where it is not reached.

        Notes
        -----
        Numbers to lay beside a rule; whether a rule is met is for the limits to say.

        References
        ----------
        [fda-food-code]_
        """
        begin = self.below_s(parameter("cooling.from").value if from_c is None else from_c)
        middle = self.below_s(parameter("cooling.middle").value if middle_c is None else middle_c)
        cold = self.below_s(parameter("cooling.cold").value if cold_c is None else cold_c)
        started = np.isfinite(begin)
        zero = np.where(started, begin, 0.0)
        return (
            np.where(started, middle - zero, np.inf),
            np.where(started, cold - zero, np.inf),
        )


def cooling_forecast(
    portion: Portion,
    start_c: float,
    stages: tuple[CoolStage, ...],
    *,
    key: str = "stock",
    seed: int,
    members: int,
    horizon_s: float = 24 * 3600.0,
) -> CoolingForecast:
    """Forecast food on the way down.

    Parameters
    ----------
    portion : Portion
        The food in its container.
    start_c : float
        Temperature all through at the start [°C].
    stages : tuple of CoolStage
        Places in turn; the last one is kept until the horizon.
    key : str, default "stock"
        Names the draws.
    seed, members : int
        Seed of the cook, and possible days.
    horizon_s : float, default 24 h
        How far to look [s].

    Returns
    -------
    CoolingForecast

    Raises
    ------
    InputError
        There is no place.
    OutOfRangeError
        Temperatures or times are impossible.

    Notes
    -----
    Temperatures over time, and nothing about what they mean. A pan cools from above and below, its
    sides left out; a pot from all round. In an ice bath the top of a pan is left out. Containers
    that touch, a fridge that warms up, and skins on the surface come on top: those make it slower.
    Middles and spreads come from ``data/parameters.csv``.

    References
    ----------
    [carslaw-jaeger]_, [incropera]_
    """
    if not stages:
        raise InputError("food without a place to cool", ", ".join(PLACES))
    _START.require(start_c)
    _HORIZON.require(horizon_s)
    source = _Source(key, seed, members)
    times = np.arange(0.0, horizon_s + parameter("cool.step").value, parameter("cool.step").value)
    warmest = np.empty((members, len(times)))
    state: NDArray[np.float64] | None = None
    begun = 0.0
    for number, stage in enumerate(stages):
        ends = math.inf if number == len(stages) - 1 else begun + stage.lasting_s
        body, outside = _placed(portion, stage, source)
        now = body.start(start_c) if state is None else state
        here = (times >= begun) & (times < ends)
        warmest[:, here] = body.warmest_c(now, outside, times[here] - begun)
        if ends > times[-1]:
            break
        state = body.after(now, outside, ends - begun)
        begun = ends
    return CoolingForecast(times, warmest)


class _Source:
    """Draws of one portion."""

    def __init__(self, key: str, seed: int, members: int) -> None:
        self._names = (seed, members, "portion", key)

    def draw(self, key: str) -> NDArray[np.float64]:
        one: Parameter = parameter(key)
        seed, members, *names = self._names
        return one.draw(int(seed), int(members), *map(str, names))


def _placed(
    portion: Portion, stage: CoolStage, source: _Source
) -> tuple[Relaxation, NDArray[np.float64]]:
    """Food and place together, and the temperature of the place."""
    conductivity = source.draw(f"food.{portion.food}.conductivity")
    if portion.food == "liquid":
        conductivity = conductivity * _STIRRED
    capacity = source.draw(f"food.{portion.food}.heat")
    name = f"cool.{stage.place.replace(' ', '-')}"
    drawn = source.draw(f"{name}.temperature")
    outside = drawn if stage.temperature_c is None else np.full_like(drawn, stage.temperature_c)
    top, wall = _exchanges(portion, stage, source, outside)
    if portion.container == "pan":
        layer = relaxation(1.0, portion.depth_m, conductivity, capacity, top, back_w_m2_k=wall)
        # The bottom is the inner end of the layer, the top its surface.
        return layer, outside
    # A pot is one body: its faces share one exchange, weighted by their areas.
    lid = 1.0 / (2.0 + 4.0 * portion.depth_m / portion.width_m)
    mean = lid * top + (1.0 - lid) * wall
    body = pot_body(portion.width_m, portion.depth_m, mean, conductivity)
    return (
        relaxation(
            body.shape_n,
            body.radius_m,
            conductivity * body.conductivity_factor,
            capacity,
            mean,
        ),
        outside,
    )


def _exchanges(
    portion: Portion, stage: CoolStage, source: _Source, outside: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Exchange of the open top, and of wall and bottom [W/(m2 K)]."""
    # Over the stretch that takes longest, from hot to near the place's own temperature.
    hot, cold = parameter("cooling.from").value, parameter("cooling.cold").value
    if stage.place == "ice bath":
        wall = source.draw(f"ice.bath.{'stirred' if stage.stirred else 'still'}")
        return np.full_like(wall, parameter("cool.ice-bath.top").value), wall
    convection = source.draw(f"cool.{stage.place}.convection")
    near = np.maximum(cold, outside + parameter("cool.nearest").value)
    food, metal = parameter("cool.emissivity.food").value, parameter("cool.emissivity.metal").value
    steam = 0.0 if portion.covered else parameter(f"food.{portion.food}.wetness").value

    def exchange(emissivity: float, wetness: float) -> NDArray[np.float64]:
        found: NDArray[np.float64] = np.asarray(
            mean_exchange_w_m2_k(
                hot,
                near,
                outside,
                convection_w_m2_k=convection,
                emissivity=emissivity,
                wetness=wetness,
                air_vapour_pa=parameter("cool.vapour").value,
            )
        )
        return found

    return exchange(food, steam), exchange(metal, 0.0)


def _choose(what: str, name: str, names: tuple[str, ...]) -> None:
    if name not in names:
        raise NotFoundError(what, name, names)
