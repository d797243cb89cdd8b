"""Ice: how much takes a pot down, ice thrown into the pot, and a pot in a bath of ice and water."""

from __future__ import annotations

import numpy as np

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.ranges import Floats, Range
from stallwise.tables.parameters import parameter

__all__ = [
    "ice_bath_temperature_c",
    "ice_bath_time_s",
    "ice_needed_kg",
    "iced_temperature_c",
]

_MASS = Range("mass", 1e-6, 1e5, "kg")
_ICE = Range("ice", 0.0, 1e5, "kg")
_ICE_C = Range("ice temperature", -60.0, 0.0, "°C")
_LIQUID_C = Range("temperature of the liquid", 0.0, 120.0, "°C")
_CONDUCTANCE = Range("heat through the pot", 1e-9, 1e7, "W/K")
_TIME = Range("time", 0.0, float("inf"), "s")


def ice_needed_kg(
    mass_kg: Floats,
    start_c: Floats,
    target_c: Floats,
    *,
    ice_c: Floats = 0.0,
    liquid_j_kg_k: Floats | None = None,
) -> Floats:
    """Ice that takes a liquid to a temperature, whether it floats in it or round the pot.

    m_ice = m c (T_0 - T) / (c_ice (0 - T_ice) + L + c_water T): all of it melts and ends as warm
    as the liquid.

    Parameters
    ----------
    mass_kg : float or array
        Liquid [kg].
    start_c, target_c : float or array
        From and to [°C], 0 to 120.
    ice_c : float or array, default 0
        Temperature of the ice [°C], -60 to 0; -18 from the freezer.
    liquid_j_kg_k : float or array, optional
        Specific heat of the liquid [J/(kg K)]; water's (``ice.water_heat``) when not given.

    Returns
    -------
    float or array
        Ice [kg]; the least, for kitchen and pot give heat too.

    Raises
    ------
    OutOfRangeError
        If the target is not below the start, or a value is impossible.

    References
    ----------
    [crc-ice]_

    Examples
    --------
    Stock from 135 °F to 41 °F takes 0.6 of its weight:

    >>> round(float(ice_needed_kg(1.0, 57.2, 5.0)), 2)
    0.62
    """
    _MASS.require(mass_kg)
    for value in (start_c, target_c):
        _LIQUID_C.require(value)
    _ICE_C.require(ice_c)
    if not np.all(np.less_equal(target_c, start_c)):
        raise OutOfRangeError("ice that is to warm a pot", "a target below the start")
    heat = parameter("ice.water_heat").value if liquid_j_kg_k is None else liquid_j_kg_k
    return mass_kg * heat * np.subtract(start_c, target_c) / _taken_j_kg(ice_c, target_c)


def iced_temperature_c(
    mass_kg: Floats,
    start_c: Floats,
    ice_kg: Floats,
    *,
    ice_c: Floats = 0.0,
    liquid_j_kg_k: Floats | None = None,
) -> Floats:
    """Temperature of a liquid once all ice in it has melted, or 0 °C if some is left.

    Parameters
    ----------
    mass_kg, start_c, ice_c, liquid_j_kg_k
        As for `ice_needed_kg`.
    ice_kg : float or array
        Ice thrown in [kg].

    Returns
    -------
    float or array
        Temperature [°C], not below 0.

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    Notes
    -----
    Heat balance without the kitchen's share. The water that melts thins the stock: cook it down
    by as much before.

    References
    ----------
    [crc-ice]_
    """
    _MASS.require(mass_kg)
    _ICE.require(ice_kg)
    _LIQUID_C.require(start_c)
    _ICE_C.require(ice_c)
    water = parameter("ice.water_heat").value
    heat = water if liquid_j_kg_k is None else liquid_j_kg_k
    left = mass_kg * heat * np.asarray(start_c) - ice_kg * _taken_j_kg(ice_c, 0.0)
    return np.maximum(left / (mass_kg * heat + ice_kg * water), 0.0)[()]


def ice_bath_temperature_c(
    time_s: Floats,
    *,
    mass_kg: Floats,
    start_c: Floats,
    conductance_w_k: Floats,
    ice_kg: Floats,
    water_kg: Floats,
    liquid_j_kg_k: Floats | None = None,
) -> Floats:
    """Temperature of a stirred pot in a bath of ice and water.

    While there is ice the bath stays at 0 °C and the pot falls by Newton's law. When it has
    melted, pot and bath meet: both move exponentially to their common temperature.

    Parameters
    ----------
    time_s : float or array
        Time since the pot went in [s].
    mass_kg, start_c : float or array
        Liquid in the pot [kg] and its temperature [°C].
    conductance_w_k : float or array
        Heat through the pot for each kelvin [W/K]: wetted wall times about 250 W/(m2 K) when pot
        and bath are stirred, 100 when left alone (``ice.bath.*``).
    ice_kg, water_kg : float or array
        Ice and water in the bath [kg], at 0 °C.
    liquid_j_kg_k : float or array, optional
        Specific heat of the liquid [J/(kg K)]; water's when not given.

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    Notes
    -----
    The kitchen's heat into the bath is left out: it is a few per cent within the hour.

    References
    ----------
    [crc-ice]_, [incropera]_
    """
    _TIME.require(time_s)
    melted_s, melted_c, pot, bath = _melt(
        mass_kg, start_c, conductance_w_k, ice_kg, water_kg, liquid_j_kg_k
    )
    with np.errstate(over="ignore", invalid="ignore"):
        iced = np.asarray(start_c) * np.exp(-np.asarray(time_s) * conductance_w_k / pot)
        later = np.maximum(np.subtract(time_s, melted_s), 0.0)
        common = pot * melted_c / (pot + bath)
        rate = conductance_w_k * (1.0 / pot + 1.0 / bath)
        met = common + (melted_c - common) * np.exp(-later * rate)
    return np.where(np.asarray(time_s) < melted_s, iced, met)[()]


def ice_bath_time_s(
    target_c: Floats,
    *,
    mass_kg: Floats,
    start_c: Floats,
    conductance_w_k: Floats,
    ice_kg: Floats,
    water_kg: Floats,
    liquid_j_kg_k: Floats | None = None,
) -> Floats:
    """Time for a stirred pot in a bath of ice and water to fall to a temperature.

    Parameters
    ----------
    target_c : float or array
        Temperature [°C].
    mass_kg, start_c, conductance_w_k, ice_kg, water_kg, liquid_j_kg_k
        As for `ice_bath_temperature_c`.

    Returns
    -------
    float or array
        Time [s]; 0 where it is as cold already, ``inf`` where the ice does not suffice.

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    References
    ----------
    [crc-ice]_, [incropera]_
    """
    _LIQUID_C.require(target_c)
    melted_s, melted_c, pot, bath = _melt(
        mass_kg, start_c, conductance_w_k, ice_kg, water_kg, liquid_j_kg_k
    )
    target = np.asarray(target_c, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        iced = np.log(start_c / target) * pot / conductance_w_k
        common = pot * melted_c / (pot + bath)
        rate = conductance_w_k * (1.0 / pot + 1.0 / bath)
        met = melted_s + np.log((melted_c - common) / (target - common)) / rate
    found = np.where(target >= melted_c, iced, np.where(target > common, met, np.inf))
    return np.where(target >= start_c, 0.0, found)[()]


def _taken_j_kg(ice_c: Floats, target_c: Floats) -> Floats:
    """Heat that a kilogram of ice takes up until it is water at a temperature."""
    return (
        parameter("ice.latent").value
        - parameter("ice.heat").value * np.asarray(ice_c)
        + parameter("ice.water_heat").value * np.asarray(target_c)
    )


def _melt(
    mass_kg: Floats,
    start_c: Floats,
    conductance_w_k: Floats,
    ice_kg: Floats,
    water_kg: Floats,
    liquid_j_kg_k: Floats | None,
) -> tuple[Floats, Floats, Floats, Floats]:
    """When the ice is gone and how warm the pot is then, and the heat capacities of pot and bath."""
    _MASS.require(mass_kg)
    _LIQUID_C.require(start_c)
    _CONDUCTANCE.require(conductance_w_k)
    _ICE.require(ice_kg)
    _MASS.require(np.add(ice_kg, water_kg))
    water = parameter("ice.water_heat").value
    pot = mass_kg * (water if liquid_j_kg_k is None else np.asarray(liquid_j_kg_k))
    bath = np.add(ice_kg, water_kg) * water
    melted_c = start_c - ice_kg * parameter("ice.latent").value / pot
    enough = melted_c <= 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        fall = np.log(start_c / np.where(enough, 1.0, melted_c))
        melted_s = np.where(enough, np.inf, fall * pot / conductance_w_k)
    return melted_s, np.where(enough, 0.0, melted_c), pot, bath
