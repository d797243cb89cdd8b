"""Bodies of one temperature: stirred pots, thin portions, and how any surface loses heat."""

from __future__ import annotations

import numpy as np

from stallwise.ground.ranges import Floats, Range
from stallwise.models.transfer import (
    evaporation_flux_kg_m2_s,
    lewis_conductance_kg_m2_s_pa,
    radiative_coefficient_w_m2_k,
)
from stallwise.tables.humid_air import STANDARD_PRESSURE_PA

__all__ = [
    "lump_time_s",
    "mean_exchange_w_m2_k",
    "newton_temperature_c",
    "newton_time_s",
    "surface_loss_w_m2",
    "time_constant_s",
]

_POSITIVE = Range("value", 1e-12, float("inf"), "", "more than nothing")
_TIME = Range("time", 0.0, float("inf"), "s")
_EMISSIVITY = Range("emissivity", 0.0, 1.0)
# Gauss-Legendre on the logarithm of the difference, where the exchange is all but constant.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def time_constant_s(
    volume_per_area_m: Floats, exchange_w_m2_k: Floats, heat_capacity_j_m3_k: Floats
) -> Floats:
    """Time in which a body of one temperature comes within 37 % of where it is going.

    tau = rho c (V / A) / h.

    Parameters
    ----------
    volume_per_area_m : float or array
        Volume for each square metre of surface [m]: the depth of a pan that cools from one side,
        half of it from two, a sixth of a ball's diameter.
    exchange_w_m2_k : float or array
        Heat given off for each kelvin [W/(m2 K)].
    heat_capacity_j_m3_k : float or array
        Density times specific heat [J/(m3 K)]; 4.1e6 for stock.

    Returns
    -------
    float or array
        Time constant [s].

    Raises
    ------
    OutOfRangeError
        If a value is not positive.

    Notes
    -----
    For bodies that conduct much better inside than they give off: h V / (A k) below 0.1, or
    liquids that stir themselves. Else see `conduction.relaxation`.

    References
    ----------
    [incropera]_
    """
    for value in (volume_per_area_m, exchange_w_m2_k, heat_capacity_j_m3_k):
        _POSITIVE.require(value)
    return heat_capacity_j_m3_k * volume_per_area_m / exchange_w_m2_k


def newton_temperature_c(
    start_c: Floats, surroundings_c: Floats, time_s: Floats, constant_s: Floats
) -> Floats:
    """Temperature after a while, by Newton's law of cooling.

    T = T_out + (T_0 - T_out) exp(-t / tau).

    Parameters
    ----------
    start_c, surroundings_c : float or array
        Temperatures [°C].
    time_s : float or array
        Time [s], not negative.
    constant_s : float or array
        Time constant [s], of `time_constant_s`.

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    OutOfRangeError
        If the time is negative or the constant not positive.

    References
    ----------
    [incropera]_
    """
    _TIME.require(time_s)
    _POSITIVE.require(constant_s)
    return surroundings_c + np.subtract(start_c, surroundings_c) * np.exp(-time_s / constant_s)


def newton_time_s(
    start_c: Floats, target_c: Floats, surroundings_c: Floats, constant_s: Floats
) -> Floats:
    """Time to a temperature, by Newton's law of cooling; inverse of `newton_temperature_c`.

    Parameters
    ----------
    start_c, target_c, surroundings_c : float or array
        Temperatures [°C].
    constant_s : float or array
        Time constant [s], of `time_constant_s`.

    Returns
    -------
    float or array
        Time [s]; ``inf`` where the target is not on the way, 0 where it is the start.

    Raises
    ------
    OutOfRangeError
        If the constant is not positive.

    References
    ----------
    [incropera]_

    Examples
    --------
    >>> round(float(newton_time_s(57.2, 21.1, 3.3, 3600.0)) / 60)
    66
    """
    _POSITIVE.require(constant_s)
    begin = np.subtract(start_c, surroundings_c)
    end = np.subtract(target_c, surroundings_c)
    # On the way: on the same side of the surroundings, and not farther from them.
    there = (begin * end > 0.0) & (np.abs(end) <= np.abs(begin))
    ratio = np.where(there, begin / np.where(there, end, 1.0), 1.0)
    found: Floats = np.where(there, constant_s * np.log(ratio), np.inf)[()]
    return np.where(begin == end, 0.0, found)[()]


def surface_loss_w_m2(
    surface_c: Floats,
    surroundings_c: Floats,
    *,
    convection_w_m2_k: Floats,
    emissivity: Floats = 0.9,
    wetness: Floats = 0.0,
    air_vapour_pa: Floats = 0.0,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
) -> Floats:
    """Heat that a square metre gives off by convection, radiation and evaporation.

    Parameters
    ----------
    surface_c : float or array
        Temperature of the surface [°C].
    surroundings_c : float or array
        Temperature of air and walls [°C].
    convection_w_m2_k : float or array
        Convection coefficient [W/(m2 K)]; 3 to 6 in still air, 10 and more before a fan.
    emissivity : float or array, default 0.9
        Emissivity [-]; food, glass and lids 0.9, bright steel 0.3.
    wetness : float or array, default 0
        Share of a free water surface [-]; 0 covered, 1 an open pot without a skin.
    air_vapour_pa : float or array, default 0
        Vapour pressure of the air [Pa].
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Heat [W/m2]; negative while it warms.

    Raises
    ------
    OutOfRangeError
        If convection is not positive, or emissivity not 0 to 1.

    References
    ----------
    [incropera]_, [lewis-chilton-colburn]_
    """
    _POSITIVE.require(convection_w_m2_k)
    _EMISSIVITY.require(emissivity)
    _EMISSIVITY.require(wetness)
    radiation = radiative_coefficient_w_m2_k(emissivity, surface_c, surroundings_c)
    dry = (convection_w_m2_k + radiation) * np.subtract(surface_c, surroundings_c)
    if not np.any(np.asarray(wetness) > 0.0):
        return dry
    conductance = lewis_conductance_kg_m2_s_pa(convection_w_m2_k, pressure_pa)
    steam = evaporation_flux_kg_m2_s(
        wetness, conductance, surface_c, air_vapour_pa, pressure_pa=pressure_pa
    )
    return dry + steam * (2_501_000.0 - 2_361.0 * surface_c)


def mean_exchange_w_m2_k(
    start_c: Floats,
    target_c: Floats,
    surroundings_c: Floats,
    *,
    convection_w_m2_k: Floats,
    emissivity: Floats = 0.9,
    wetness: Floats = 0.0,
    air_vapour_pa: Floats = 0.0,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
) -> Floats:
    """Constant exchange that takes as long from one temperature to another as the true one.

    The harmonic mean of loss over difference, over the logarithm of the difference: exact for
    bodies of one temperature.

    Parameters
    ----------
    start_c, target_c : float or array
        From and to [°C], on one side of the surroundings.
    surroundings_c : float or array
        Air and walls [°C].
    convection_w_m2_k, emissivity, wetness, air_vapour_pa, pressure_pa
        As for `surface_loss_w_m2`.

    Returns
    -------
    float or array
        Exchange [W/(m2 K)].

    Raises
    ------
    OutOfRangeError
        If the surroundings lie between start and target or are one of them.

    References
    ----------
    [incropera]_, [lewis-chilton-colburn]_
    """
    begin = np.subtract(start_c, surroundings_c)
    end = np.subtract(target_c, surroundings_c)
    Range("target over start, from the surroundings", 1e-12, float("inf")).require(end / begin)
    middle, half = 0.5 * np.log(begin * end), 0.5 * np.log(end / begin)
    total: Floats = 0.0
    for point, weight in zip(_POINTS, _WEIGHTS, strict=True):
        away = np.sign(begin) * np.exp(middle + half * point)
        loss = surface_loss_w_m2(
            surroundings_c + away,
            surroundings_c,
            convection_w_m2_k=convection_w_m2_k,
            emissivity=emissivity,
            wetness=wetness,
            air_vapour_pa=air_vapour_pa,
            pressure_pa=pressure_pa,
        )
        total = total + weight / 2.0 * away / loss
    return 1.0 / total


def lump_time_s(
    start_c: Floats,
    target_c: Floats,
    surroundings_c: Floats,
    *,
    volume_per_area_m: Floats,
    heat_capacity_j_m3_k: Floats,
    convection_w_m2_k: Floats,
    emissivity: Floats = 0.9,
    wetness: Floats = 0.0,
    air_vapour_pa: Floats = 0.0,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
) -> Floats:
    """Time of a body of one temperature from one temperature to another, radiation as it is.

    Parameters
    ----------
    start_c, target_c, surroundings_c
        As for `mean_exchange_w_m2_k`.
    volume_per_area_m, heat_capacity_j_m3_k
        As for `time_constant_s`.
    convection_w_m2_k, emissivity, wetness, air_vapour_pa, pressure_pa
        As for `surface_loss_w_m2`.

    Returns
    -------
    float or array
        Time [s].

    Raises
    ------
    OutOfRangeError
        As `mean_exchange_w_m2_k`.

    References
    ----------
    [incropera]_, [lewis-chilton-colburn]_
    """
    exchange = mean_exchange_w_m2_k(
        start_c,
        target_c,
        surroundings_c,
        convection_w_m2_k=convection_w_m2_k,
        emissivity=emissivity,
        wetness=wetness,
        air_vapour_pa=air_vapour_pa,
        pressure_pa=pressure_pa,
    )
    constant = time_constant_s(volume_per_area_m, exchange, heat_capacity_j_m3_k)
    begin = np.subtract(start_c, surroundings_c)
    time: Floats = constant * np.log(begin / np.subtract(target_c, surroundings_c))
    return time
