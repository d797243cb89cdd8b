"""Tenderness: a dose of heat over time, for a piece is tender by both and by neither alone."""

from __future__ import annotations

import numpy as np

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Floats, Range

__all__ = [
    "COLDEST_C",
    "REFERENCE_C",
    "dose",
    "dose_rate_per_s",
    "index",
    "time_to_dose_s",
]

#: Temperature [°C] at which the time to tender is stated.
REFERENCE_C = 95.0
#: Below it [°C] no dose is counted: other things than collagen change there.
COLDEST_C = 50.0

_GAS = 8.314462618  # J/(mol K), exact in the SI
_ZERO_C = 273.15
_INDEX_SLOPE = 1.6  # 80 % at dose 1; fitted here, for display only

_TIME = Range("time to tender", 1.0, float("inf"), "s")
_ENERGY = Range("activation energy", 0.0, 1e6, "J/mol")
_DOSE = Range("dose", 0.0, float("inf"))


def dose_rate_per_s(temperature_c: Floats, activation_j_mol: Floats, t95_s: Floats) -> Floats:
    """How fast a spot grows tender at a temperature.

    rate = exp[-E/R (1/T - 1/368.15)] / t95 from 50 °C on, T in K; nothing below.

    Parameters
    ----------
    temperature_c : float or array
        Temperature of the meat [°C].
    activation_j_mol : float or array
        Activation energy E [J/mol]; 80000 describes big cuts (own fit).
    t95_s : float or array
        Time to tender at 95 °C [s]; 2.8 h for brisket (own fit), divided by a cut's multiplier.

    Returns
    -------
    float or array
        Dose gained each second [1/s]; tender at a dose of 1.

    Notes
    -----
    For the slow softening of collagen in big cuts; not for poultry, which is finished by
    temperature. The steep kinetics of collagen's shrinkage, over in minutes at 65 °C, are another
    process and end before the stall does. Not valid below about 57 °C. Plain arithmetic, so that
    numba can compile it as it stands.

    References
    ----------
    [own-fit]_, [maitland-walsh]_

    Examples
    --------
    >>> round(float(dose_rate_per_s(95.0, 80e3, 2.8 * 3600) * 2.8 * 3600), 6)
    1.0
    """
    kelvin = temperature_c + _ZERO_C
    rate = np.exp(-activation_j_mol / _GAS * (1.0 / kelvin - 1.0 / (REFERENCE_C + _ZERO_C))) / t95_s
    return rate * (temperature_c >= COLDEST_C)


def dose(temperature_c: Floats, time_s: Floats, activation_j_mol: Floats, t95_s: Floats) -> Floats:
    """Dose that a course of temperatures gives.

    The rate is summed up between readings by trapezoids.

    Parameters
    ----------
    temperature_c : array
        Temperatures [°C], the times on the last axis.
    time_s : array
        Times [s], rising.
    activation_j_mol : float or array
        Activation energy [J/mol], as for `dose_rate_per_s`; members on the leading axes.
    t95_s : float or array
        Time to tender at 95 °C [s].

    Returns
    -------
    float or array
        Dose [-] from the first time to the last; tender at 1.

    Raises
    ------
    InputError
        If times and temperatures do not match or time runs backwards.

    References
    ----------
    [own-fit]_
    """
    times = np.asarray(time_s, dtype=np.float64)
    temperatures = np.asarray(temperature_c, dtype=np.float64)
    if temperatures.ndim == 0 or times.shape[-1:] != temperatures.shape[-1:]:
        raise InputError(
            f"{temperatures.shape} temperatures for {times.shape} times", "one for each time"
        )
    if np.any(np.diff(times) < 0.0):
        raise InputError("times that run backwards", "rising times", "Sort the readings by time")
    _TIME.require(t95_s)
    _ENERGY.require(activation_j_mol)
    activation, t95 = (np.asarray(each)[..., None] for each in (activation_j_mol, t95_s))
    rate = np.asarray(dose_rate_per_s(temperatures, activation, t95))
    total: Floats = np.sum(np.diff(times) * (rate[..., 1:] + rate[..., :-1]) / 2.0, axis=-1)
    return total


def time_to_dose_s(
    temperature_c: Floats,
    activation_j_mol: Floats,
    t95_s: Floats,
    dose_wanted: Floats = 1.0,
) -> Floats:
    """Time that a steady temperature takes to give a dose.

    Parameters
    ----------
    temperature_c : float or array
        Temperature of the meat [°C].
    activation_j_mol : float or array
        Activation energy [J/mol], as for `dose_rate_per_s`.
    t95_s : float or array
        Time to tender at 95 °C [s].
    dose_wanted : float or array, default 1
        Dose [-]; 1 is tender by definition.

    Returns
    -------
    float or array
        Time [s]; endless below 50 °C.

    References
    ----------
    [own-fit]_
    """
    _TIME.require(t95_s)
    rate = np.asarray(dose_rate_per_s(temperature_c, activation_j_mol, t95_s))
    with np.errstate(divide="ignore"):
        time: Floats = (dose_wanted / rate)[()]
    return time


def index(dose: Floats) -> Floats:
    """Tenderness for a picture: 0 raw, 0.8 tender, never quite 1.

    1 - exp(-1.6 X).

    Parameters
    ----------
    dose : float or array
        Dose X [-], not negative.

    Returns
    -------
    float or array
        Index [-], 0 to 1.

    Notes
    -----
    The slope is set so that a dose of 1 reads 0.8; it orders and never decides.

    References
    ----------
    [own-fit]_

    Examples
    --------
    >>> round(float(index(1.0)), 2)
    0.8
    """
    _DOSE.require(dose)
    return 1.0 - np.exp(-_INDEX_SLOPE * dose)
