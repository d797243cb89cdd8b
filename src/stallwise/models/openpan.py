"""A liquid in an open pan: how deep it stands, and how fast water leaves it below the boil.

Below the boil the air over the pan sets the pace: water leaves as vapour by the analogy of heat and mass
transfer, with the still-air convection of a hot plate facing up. Draughts, a lid ajar and a skin on top make
that a factor of two, so that a band stands beside it and one weighing is worth more than all of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.transfer import evaporation_flux_kg_m2_s, lewis_conductance_kg_m2_s_pa
from stallwise.tables.humid_air import STANDARD_PRESSURE_PA, boiling_point_c, saturation_pressure_pa
from stallwise.tables.kitchen import kitchen_value

__all__ = ["Span", "depth_m", "open_pan_flux_kg_m2_s", "still_air_w_m2_k"]

#: Moist air at the mean of a simmering pan and a room: conductivity, viscosity, diffusivity of heat.
_AIR_W_M_K, _AIR_M2_S, _AIR_ALPHA_M2_S = 0.028, 1.8e-5, 2.6e-5
_GRAVITY, _KELVIN = 9.81, 273.15


@dataclass(frozen=True)
class Span:
    """A value with the ends that practice has."""

    low: float
    middle: float
    high: float


def depth_m(volume_m3: float, diameter_m: float) -> float:
    """How deep a volume [m3] stands in a round pan with straight sides [m].

    Raises
    ------
    InputError
        The pan has no width, or the volume is negative.

    Examples
    --------
    Three cups in a pan of 16 cm:

    >>> round(depth_m(3 * 236.588e-6, 0.16) * 1e3)
    35
    """
    if not diameter_m > 0.0:
        raise InputError(f"a pan of {diameter_m:g} m", "more than 0 m")
    if not volume_m3 >= 0.0:
        raise InputError(f"{volume_m3:g} m3 in a pan", "0 or more")
    return volume_m3 / (math.pi * diameter_m**2 / 4.0)


def still_air_w_m2_k(surface_c: float, room_c: float) -> float:
    """Convection of a hot surface that faces up in still air: Nu = 0.15 Ra^(1/3) [incropera]_."""
    difference = max(surface_c - room_c, 1.0)
    mean_k = 0.5 * (surface_c + room_c) + _KELVIN
    per_m3 = _GRAVITY * difference / mean_k / (_AIR_M2_S * _AIR_ALPHA_M2_S)
    return 0.15 * _AIR_W_M_K * float(per_m3 ** (1.0 / 3.0))


def open_pan_flux_kg_m2_s(
    liquid_c: float, *, room_c: float | None = None, pressure_pa: float = STANDARD_PRESSURE_PA
) -> Span:
    """Water that leaves an open pan below the boil [kg/(m2 s)], with its factor-of-two band.

    Raises
    ------
    OutOfRangeError
        Colder than the room, or at the boil, where the ring sets the pace.
    """
    air_c = kitchen_value("room_temperature").value if room_c is None else room_c
    boils_c = float(boiling_point_c(pressure_pa))
    if not air_c < liquid_c < boils_c - 1.0:
        raise OutOfRangeError(
            f"a pan kept at {liquid_c:.0f} °C",
            f"over {air_c:.0f} °C, under the boil ({boils_c:.0f} °C)",
        )
    conductance = lewis_conductance_kg_m2_s_pa(still_air_w_m2_k(liquid_c, air_c), pressure_pa)
    vapour_pa = kitchen_value("room_humidity").value * float(saturation_pressure_pa(air_c))
    middle = float(
        evaporation_flux_kg_m2_s(1.0, conductance, liquid_c, vapour_pa, pressure_pa=pressure_pa)
    )
    band = kitchen_value("open_pan_band")
    return Span(middle * band.low, middle, middle * band.high)
