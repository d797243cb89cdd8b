"""Rest and hold: the core after the fire, on the counter, in a box or in a warm oven."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.ground.ranges import Floats, Range
from stallwise.models.body import EquivalentBody, equivalent_body
from stallwise.models.conduction import Relaxation, relaxation
from stallwise.models.crossing import last_fall_s
from stallwise.models.plan import Body, Hold
from stallwise.models.transfer import radiative_coefficient_w_m2_k
from stallwise.tables.parameters import parameter
from stallwise.tables.properties import conductivity_w_m_k, density_kg_m3, specific_heat_j_kg_k

__all__ = ["HOT_HOLD_C", "HoldForecast", "HoldStage", "hold_forecast"]

#: The temperature [°C] whose crossing a hold is watched for: 140 °F, the consumer chart's.
HOT_HOLD_C = 60.0

_PROPERTIES_C = 60.0  # about the middle of a hold
_CORE = Range("core temperature at the end of the cook", 20.0, 110.0, "°C")
_LASTING = Range("time in one place", 1.0, float("inf"), "s")
_HORIZON = Range("how far to look", 600.0, 7 * 86_400.0, "s")


@dataclass(frozen=True)
class HoldStage:
    """A place and how long the piece stays there.

    Attributes
    ----------
    hold : Hold
        Counter, box or oven, and the temperature of the room or the oven [°C]; the piece is
        wrapped.
    lasting_s : float
        Time [s]; ``inf`` for the last place.
    box_c : float or None
        What a box, its towels and all, starts from [°C]: the room when not given.
    """

    hold: Hold = field(default_factory=Hold)
    lasting_s: float = math.inf
    box_c: float | None = None

    def __post_init__(self) -> None:
        _LASTING.require(self.lasting_s)


@dataclass(frozen=True)
class HoldForecast:
    """Temperatures of a piece at rest, a member each.

    Attributes
    ----------
    time_s : array (times,)
        Time since the piece came off [s].
    core_c, surface_c : array (members, times)
        Temperatures of middle and surface [°C].
    """

    time_s: NDArray[np.float64]
    core_c: NDArray[np.float64]
    surface_c: NDArray[np.float64]

    def peak_c(self) -> NDArray[np.float64]:
        """Highest core of each member [°C]: the carry-over is its rise above the start."""
        highest: NDArray[np.float64] = self.core_c.max(axis=1)
        return highest

    def core_below_s(self, target_c: Floats) -> NDArray[np.float64]:
        """When the core has fallen to a temperature for good.

        Parameters
        ----------
        target_c : float or array (members,)
            Temperature [°C]; `HOT_HOLD_C` for the usual question.

        Returns
        -------
        array (members,)
            Time [s]; 0 where it is colder throughout, ``inf`` where it is hotter at the end.
        """
        return last_fall_s(self.time_s, self.core_c, target_c)

    def serving_window_s(
        self, hottest_c: float, coldest_c: float
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """From when until when the core is fit to carve.

        Parameters
        ----------
        hottest_c, coldest_c : float
            Serving core [°C], for example 71 and 60 for a brisket that is to slice.

        Returns
        -------
        tuple of array (members,)
            Times [s], as of `core_below_s`.

        Raises
        ------
        InputError
            The hottest is below the coldest.
        """
        if hottest_c < coldest_c:
            raise InputError(f"{hottest_c:g} to {coldest_c:g} °C", "the hotter one first")
        return self.core_below_s(hottest_c), self.core_below_s(coldest_c)


def hold_forecast(
    body: Body,
    core_c: Floats,
    surface_c: Floats,
    stages: tuple[HoldStage, ...],
    *,
    key: str = "A",
    cooked_mass_kg: Floats | None = None,
    seed: int,
    members: int,
    horizon_s: float = 12 * 3600.0,
) -> HoldForecast:
    """Forecast a piece from the moment it comes off.

    Parameters
    ----------
    body : Body
        The piece as it went on.
    core_c, surface_c : float or array (members,)
        Core and surface when it comes off [°C]; the surface at most 100.
    stages : tuple of HoldStage
        Places in turn; the last one is kept until the horizon.
    key : str, default "A"
        Letter of the piece; names its draws, the same as in its forecast.
    cooked_mass_kg : float or array (members,), optional
        Mass when it comes off [kg]; three fifths of what went on (``hold.mass_left``) when not
        given.
    seed, members : int
        Seed of the cook, and possible days.
    horizon_s : float, default 12 h
        How far to look [s].

    Returns
    -------
    HoldForecast

    Raises
    ------
    InputError
        There is no place to go to.
    OutOfRangeError
        Temperatures or times are impossible.

    Notes
    -----
    Conduction in the equivalent body, exact in time, with a constant exchange in each place. The
    box is one lump with the towels: it starts cold, drinks heat for two hours and then slows the
    fall, as cooks see it. Evaporation under the wrap is left out. These are temperatures; what they
    mean for food is for the limits to say. Middles and spreads come from ``data/parameters.csv``.

    References
    ----------
    [carslaw-jaeger]_, [common-practice]_
    """
    if not stages:
        raise InputError("a rest without a place", "counter, box or oven")
    _CORE.require(core_c)
    _HORIZON.require(horizon_s)
    if np.any(np.asarray(surface_c) < np.asarray(core_c) - 60.0):
        raise OutOfRangeError("a surface far colder than the core", "a piece just off the fire")
    piece = _Piece(body, key, seed, members, cooked_mass_kg)
    step = parameter("hold.step").value
    times = np.arange(0.0, horizon_s + step, step)
    core, surface = np.empty((members, len(times))), np.empty((members, len(times)))
    state: NDArray[np.float64] | None = None
    begun = 0.0
    for number, stage in enumerate(stages):
        ends = math.inf if number == len(stages) - 1 else begun + stage.lasting_s
        # Without the box a state is the body's alone, whatever it lay in before.
        outside = stage.hold.temperature_c
        place = piece.placed(stage, core_c if state is None else state.mean(axis=1))
        box = outside if stage.box_c is None else stage.box_c
        fresh = place.start(core_c, surface_c, box)
        now = fresh if state is None else np.concatenate([state, fresh[:, place.cells :]], axis=1)
        here = (times >= begun) & (times < ends)
        core[:, here] = place.core_c(now, outside, times[here] - begun)
        surface[:, here] = place.surface_c(now, outside, times[here] - begun)
        if ends > times[-1]:
            break
        state = place.after(now, outside, ends - begun)[:, : place.cells]
        begun = ends
    return HoldForecast(times, core, surface)


class _Piece:
    """The drawn body of one piece, and its exchange in each place."""

    def __init__(
        self, body: Body, key: str, seed: int, members: int, cooked_mass_kg: Floats | None
    ) -> None:
        self._draw = {
            name: parameter(name).draw(seed, members, "piece", key)
            for name in (
                "meat.thickness_measured" if body.measured else "meat.thickness",
                *("meat.conductivity", "hold.exchange"),
                *("hold.box.link", "hold.box.heat", "hold.box.loss"),
            )
        }
        mass = cooked_mass_kg
        if mass is None:
            mass = body.mass_kg * parameter("hold.mass_left").value
        made = body.composition
        self._conductivity = float(conductivity_w_m_k(made, _PROPERTIES_C))
        density = float(density_kg_m3(made, _PROPERTIES_C))
        self._capacity = density * float(specific_heat_j_kg_k(made, _PROPERTIES_C))
        self._shape = self._equivalent(body, mass)
        self._area_m2 = mass / density / self._shape.volume_per_area_m

    def _equivalent(self, body: Body, mass_kg: Floats) -> EquivalentBody:
        factor = next(values for name, values in self._draw.items() if "thickness" in name)
        small = (np.asarray(mass_kg) / body.mass_kg) ** (1.0 / 3.0)
        wide = small / np.sqrt(factor)
        sides = (
            body.half_thickness_m * factor * small,
            body.half_width_m * wide,
            body.half_length_m * wide,
        )
        exchange = parameter("hold.nominal_exchange").value
        return equivalent_body(sides, exchange, self._conductivity)

    def placed(self, stage: HoldStage, from_c: Floats) -> Relaxation:
        """Body and place together."""
        place = stage.hold.place
        draw = self._draw
        body = (
            self._shape.shape_n,
            self._shape.radius_m,
            self._conductivity * self._shape.conductivity_factor * draw["meat.conductivity"],
            self._capacity,
        )
        if place == "box":
            return relaxation(
                *body,
                draw["hold.box.link"],
                box_heat_j_m2_k=draw["hold.box.heat"] / self._area_m2,
                box_loss_w_m2_k=draw["hold.box.loss"] / self._area_m2,
            )
        name = f"rest.{place}"
        outside = stage.hold.temperature_c
        wrap_c = (float(np.mean(from_c)) + outside) / 2.0
        film = parameter(f"{name}.heating").value + radiative_coefficient_w_m2_k(
            parameter(f"{name}.emissivity").value, wrap_c, outside
        )
        exchange = 1.0 / (parameter(f"{name}.gap").value + 1.0 / film)
        return relaxation(*body, exchange * draw["hold.exchange"])
