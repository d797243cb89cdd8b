"""Feeding a fire: the heat a pit needs, the fuel that gives it, how often a split goes on."""

from __future__ import annotations

import numpy as np

from stallwise.ground.ranges import Floats, Range
from stallwise.tables.parameters import parameter

__all__ = [
    "excess_air_ratio",
    "fuel_rate_kg_s",
    "log_loss_w_k",
    "pit_heat_w",
    "pit_humidity_ratio",
    "split_interval_s",
    "split_swing_k",
    "start_factor",
    "warm_up_heat_j",
]

_SHARE = Range("share", 0.0, 1.0)
_BURNT = Range("share of the fuel that burns", 0.05, 1.0)
_EXCESS = Range("air over what the fire needs", 1.0, float("inf"), "", "a fire that burns clean")
_POSITIVE = Range("value", 1e-12, float("inf"), "", "more than nothing")
_NOT_NEGATIVE = Range("value", 0.0, float("inf"), "", "nothing or more")
_HOTTER = Range("pit less outside air", 1e-9, 400.0, "K", "a pit hotter than the day")


def pit_heat_w(
    wall_w_k: Floats,
    air_kg_s: Floats,
    pit_c: Floats,
    ambient_c: Floats,
    *,
    meat_w: Floats = 0.0,
    water_kg_s: Floats = 0.0,
) -> Floats:
    """Heat that a steady pit needs.

    Q = (UA + m_air c) (T_pit - T_out) + meat + water boiled off.

    Parameters
    ----------
    wall_w_k : float or array
        Loss through the walls [W/K]; see `walls.wall_loss_w_k`.
    air_kg_s : float or array
        Dry air through the pit [kg/s]; it leaves as hot as the pit.
    pit_c, ambient_c : float or array
        Pit and outside air [°C].
    meat_w : float or array, default 0
        Heat that the meat takes up [W]; 100 to 250 W for a shoulder.
    water_kg_s : float or array, default 0
        Water that a pan gives off [kg/s].

    Returns
    -------
    float or array
        Heat [W].

    Raises
    ------
    OutOfRangeError
        If the pit is not hotter than the day, or something is negative.

    References
    ----------
    [derived]_

    Examples
    --------
    A backyard offset at 121 °C on a mild day:

    >>> round(float(pit_heat_w(26.4, 72 / 3600, 121.0, 20.0)))
    4747
    """
    for value in (wall_w_k, air_kg_s, meat_w, water_kg_s):
        _NOT_NEGATIVE.require(value)
    hotter = np.subtract(pit_c, ambient_c)
    _HOTTER.require(hotter, "Look at the pit and the outside temperature")
    carried = parameter("fuel.air_heat").value * air_kg_s
    pan = parameter("fuel.evaporation").value * water_kg_s
    heat: Floats = (wall_w_k + carried) * hotter + meat_w + pan
    return heat


def fuel_rate_kg_s(heat_w: Floats, as_fired_j_kg: Floats, burnt: Floats = 1.0) -> Floats:
    """Fuel that gives a heat.

    Parameters
    ----------
    heat_w : float or array
        Heat [W], of `pit_heat_w`.
    as_fired_j_kg : float or array
        Net heat of the fuel as it goes on [J/kg], of `combustion.as_fired_heat_j_kg`.
    burnt : float or array, default 1
        Share of the fuel that burns out [-]; some leaves as smoke and coal.

    Returns
    -------
    float or array
        Fuel as fired [kg/s].

    Raises
    ------
    OutOfRangeError
        If the heat is negative, the fuel gives none, or the share is not 0.05 to 1.

    References
    ----------
    [derived]_
    """
    _NOT_NEGATIVE.require(heat_w)
    _POSITIVE.require(as_fired_j_kg)
    _BURNT.require(burnt)
    return heat_w / (as_fired_j_kg * burnt)


def excess_air_ratio(
    air_kg_s: Floats, fuel_kg_s: Floats, moisture: Floats, air_kg_kg: Floats
) -> Floats:
    """Air through the pit over the air that the fire must have.

    Parameters
    ----------
    air_kg_s : float or array
        Dry air [kg/s].
    fuel_kg_s : float or array
        Fuel as fired [kg/s].
    moisture : float or array
        Water over fuel as it is [-], 0 to 1.
    air_kg_kg : float or array
        Air for a kilogram of dry fuel, of `combustion.stoichiometric_air_kg_kg`.

    Returns
    -------
    float or array
        Ratio [-]; 10 to 18 in an offset.

    Warns
    -----
    OutOfRangeWarning
        Below 1: the fire is starved, and smoulders.

    References
    ----------
    [derived]_
    """
    _SHARE.require(moisture)
    _POSITIVE.require(fuel_kg_s)
    _POSITIVE.require(air_kg_kg)
    ratio = air_kg_s / (fuel_kg_s * (1.0 - moisture) * air_kg_kg)
    _EXCESS.warn(ratio)
    return ratio


def pit_humidity_ratio(
    fuel_kg_s: Floats,
    fuel_water_kg_kg: Floats,
    air_kg_s: Floats,
    ambient_ratio: Floats,
    *,
    water_kg_s: Floats = 0.0,
) -> Floats:
    """Water carried by each kilogram of dry air in a pit that is stirred through and steady.

    W = W_out + (fuel water + meat and pan) / air.

    Parameters
    ----------
    fuel_kg_s : float or array
        Fuel as fired [kg/s].
    fuel_water_kg_kg : float or array
        Water that each kilogram of it gives, of `combustion.combustion_water_kg_kg`.
    air_kg_s : float or array
        Dry air through the pit [kg/s].
    ambient_ratio : float or array
        Humidity ratio outside [kg/kg]; 0.008 on a mild day.
    water_kg_s : float or array, default 0
        Water from meat and pan [kg/s]; 0.15 kg/h from a big shoulder.

    Returns
    -------
    float or array
        Humidity ratio [kg/kg].

    Raises
    ------
    OutOfRangeError
        If there is no air, or something is negative.

    References
    ----------
    [derived]_
    """
    _POSITIVE.require(air_kg_s)
    for value in (fuel_kg_s, fuel_water_kg_kg, ambient_ratio, water_kg_s):
        _NOT_NEGATIVE.require(value)
    return ambient_ratio + (fuel_kg_s * fuel_water_kg_kg + water_kg_s) / air_kg_s


def split_interval_s(split_kg: Floats, fuel_kg_s: Floats) -> Floats:
    """Time between splits that keeps up with the fire.

    Parameters
    ----------
    split_kg : float or array
        Mass of one split [kg].
    fuel_kg_s : float or array
        Fuel as fired [kg/s].

    Returns
    -------
    float or array
        Time [s].

    Raises
    ------
    OutOfRangeError
        If a value is not positive.

    References
    ----------
    [derived]_

    Examples
    --------
    >>> round(float(split_interval_s(0.7, 1.16 / 3600)) / 60)
    36
    """
    _POSITIVE.require(split_kg)
    _POSITIVE.require(fuel_kg_s)
    return split_kg / fuel_kg_s


def split_swing_k(
    split_j: Floats,
    interval_s: Floats,
    burn_s: Floats,
    *,
    loss_w_k: Floats,
    heat_j_k: Floats,
) -> Floats:
    """How far the pit swings, lowest to highest, when each split burns evenly for a while.

    With t = C / K: swing = (E / (b K)) (1 - exp(-b/t)) (1 - exp(-(P-b)/t)) / (1 - exp(-P/t)).

    Parameters
    ----------
    split_j : float or array
        Heat of one split, E [J].
    interval_s : float or array
        Time between splits, P [s].
    burn_s : float or array
        Time for which a split gives its heat, b [s], at most `interval_s`.
    loss_w_k : float or array
        Loss of the whole pit, K [W/K].
    heat_j_k : float or array
        Heat that steel, air and bed take up for each kelvin, C [J/K]; steel is 490 J/(kg K).

    Returns
    -------
    float or array
        Swing [K]; 0 when the next split begins as the last one ends.

    Raises
    ------
    OutOfRangeError
        If a value is not positive, or a split burns longer than the interval.

    Notes
    -----
    The steady swing of one lump that is heated in turns. Steel lags behind the air, so a
    thermometer in the air sees more of it.

    References
    ----------
    [incropera]_
    """
    for value in (split_j, interval_s, burn_s, loss_w_k, heat_j_k):
        _POSITIVE.require(value)
    _SHARE.require(np.divide(burn_s, interval_s), "A split must be over before the next")
    lag_s = np.divide(heat_j_k, loss_w_k)
    rise = -np.expm1(-burn_s / lag_s)
    fall = -np.expm1(-np.subtract(interval_s, burn_s) / lag_s)
    swing: Floats = split_j / (burn_s * loss_w_k) * rise * fall / -np.expm1(-interval_s / lag_s)
    return swing


def warm_up_heat_j(steel_kg: Floats, from_c: Floats, to_c: Floats) -> Floats:
    """Heat that the steel of a pit takes up on the way to its temperature.

    Parameters
    ----------
    steel_kg : float or array
        Mass of the pit [kg].
    from_c, to_c : float or array
        Temperatures [°C].

    Returns
    -------
    float or array
        Heat [J]; what walls and smoke lose meanwhile comes on top.

    Raises
    ------
    OutOfRangeError
        If the mass is negative.

    References
    ----------
    [incropera]_
    """
    _NOT_NEGATIVE.require(steel_kg)
    return steel_kg * parameter("fuel.steel_heat").value * np.subtract(to_c, from_c)


def log_loss_w_k(
    fuel_kg: Floats,
    as_fired_j_kg: Floats,
    duration_s: Floats,
    pit_c: Floats,
    ambient_c: Floats,
    *,
    burnt: Floats = 1.0,
    weather: Floats = 1.0,
) -> Floats:
    """Loss of a whole pit for each kelvin, from a log in which the fuel was weighed.

    K = kg q burnt / (time (T_pit - T_out)) / weather: walls, smoke and meat in one number.

    Parameters
    ----------
    fuel_kg : float or array
        Fuel put on while the pit held [kg].
    as_fired_j_kg : float or array
        Net heat of it [J/kg], of `combustion.as_fired_heat_j_kg`.
    duration_s : float or array
        Time over which it lasted [s].
    pit_c, ambient_c : float or array
        Mean temperatures [°C].
    burnt : float or array, default 1
        Share of the fuel that burnt out [-].
    weather : float or array, default 1
        What wind added on that day [-]: of `fire.Day.walls`.

    Returns
    -------
    float or array
        Loss on a calm day [W/K]; about 50 for a backyard offset of steel.

    Raises
    ------
    OutOfRangeError
        If a value is not positive or the pit is not hotter than the day.

    References
    ----------
    [derived]_
    """
    for value in (fuel_kg, as_fired_j_kg, duration_s, weather):
        _POSITIVE.require(value)
    _BURNT.require(burnt)
    hotter = np.subtract(pit_c, ambient_c)
    _HOTTER.require(hotter)
    loss: Floats = fuel_kg * as_fired_j_kg * burnt / (duration_s * hotter) / weather
    return loss


def start_factor(
    steel_kg: Floats,
    wall_w_k: Floats,
    air_w_k: Floats,
    usual_s: Floats,
    *,
    pit_c: float,
    ambient_c: float,
    usual_c: float,
    blown: Floats = 1.0,
) -> Floats:
    """Time from match to steady on one day over that on a calm one at `usual_c`, with the same fire.

    The fire that warms the steel and covers the mean loss in the usual time, P = (m c / t + r K) D
    with D the rise of the pit, takes t' = m c D' / (P' - r K' D'). It is built bigger as the steady
    pit needs more, P' = P (K' D' / (K D))^g with g of ``fuel.start_grows``, an estimate.

    Parameters
    ----------
    steel_kg : float or array
        Mass of the pit [kg].
    wall_w_k, air_w_k : float or array
        Loss through the walls on a calm day, and with the air [W/K].
    usual_s : float or array
        Time on the usual day [s].
    pit_c, ambient_c, usual_c : float
        The pit when it is steady, the air of this day and of the usual one [°C].
    blown : float or array, default 1
        What wind and rain make of the loss through the walls [-].

    Returns
    -------
    float or array
        Factor [-], ``fuel.start_most`` at most.

    Raises
    ------
    OutOfRangeError
        If the pit is not hotter than both days.

    References
    ----------
    [derived]_
    """
    rise, usual_rise = np.subtract(pit_c, ambient_c), np.subtract(pit_c, usual_c)
    for each in (rise, usual_rise):
        _HOTTER.require(each)
    mean, heat = parameter("fuel.warm_up_rise").value, steel_kg * parameter("fuel.steel_heat").value
    loss_w = (wall_w_k * blown + air_w_k) * rise
    usual_w = (wall_w_k + air_w_k) * usual_rise
    grown = np.power(loss_w / usual_w, parameter("fuel.start_grows").value)
    fire_w = (heat / usual_s * usual_rise + mean * usual_w) * grown
    left_w = fire_w - mean * loss_w
    least_w = heat * rise / usual_s / parameter("fuel.start_most").value
    factor: Floats = heat * rise / np.maximum(left_w, least_w) / usual_s
    return factor
