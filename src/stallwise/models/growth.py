"""Growth of C. perfringens while food cools, as an estimate from two published models.

Models like these differ by a tenfold and more on the same cooling curve, and so do repeated
trials. A span is shown, beside the rule and never in its place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import NotFoundError, OutOfRangeError
from stallwise.ground.ranges import Floats
from stallwise.tables.bacteria import GrowthModel, growth_model

__all__ = [
    "bulk_rate_ln_h",
    "cooled_growth_log10",
    "growth_log10",
    "growth_rate_log10_h",
    "growth_span_log10",
]

#: Steps into which a line between two readings is cut, and seconds an hour.
_PARTS, _HOUR_S = 8, 3600.0
#: Meat as the bulk model is listed for it: salt [%] and pH.
_SALT_PERCENT, _PH = 0.5, 6.2


def growth_rate_log10_h(food: str, temperature_c: Floats) -> Floats:
    """Growth rate at a steady temperature [log10 CFU/h].

    (b (T - T_min))^2 (1 - exp(c (T - T_max))), and nothing outside.

    Parameters
    ----------
    food : {"beef", "chicken", "pork"}
        Cooked, not cured.
    temperature_c : float or array
        Temperature [°C].

    References
    ----------
    [juneja-2011]_
    """
    one = growth_model(food)
    if one.form != "ratkowsky":
        raise NotFoundError("food of the growth model", food, ("beef", "chicken", "pork"))
    inside = _inside(one, temperature_c)
    rate = (one.b * (inside - one.t_min_c)) ** 2 * -np.expm1(one.c * (inside - one.t_max_c))
    return rate[()]


def bulk_rate_ln_h(
    temperature_c: Floats, *, salt_percent: float = _SALT_PERCENT, ph: float = _PH
) -> Floats:
    """Growth rate of the bulk-meat model [ln CFU/h].

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    salt_percent : float, default 0.5
        Salt in the meat's water [%], 0 to 4.
    ph : float, default 6.2
        pH of the meat, 4.76 to 7.5.

    References
    ----------
    [lemarc-2008]_
    """
    if not (0.0 <= salt_percent <= 4.0 and 4.76 <= ph <= 7.5):
        raise OutOfRangeError(f"{salt_percent:g} % salt at pH {ph:g}", "0 to 4 %, pH 4.76 to 7.5")
    one = growth_model("bulk")
    inside = _inside(one, temperature_c)
    water = 1.0 - salt_percent * (5.2471 + 0.12206 * salt_percent) / 1000.0
    shape = (inside - one.t_min_c) ** 2 * -np.expm1(one.c * (inside - one.t_max_c))
    rate = one.b * shape * (water - 0.9755) * (2.0 - water - 0.9755) * (ph - 4.76)
    return np.maximum(rate, 0.0)[()]


def growth_log10(exposure: float, q0: float) -> float:
    """Growth after an exposure, with the delay of Baranyi and Roberts [log10].

    Parameters
    ----------
    exposure : float
        The rate over time, in natural logarithms.
    q0 : float
        How ready the spores are at the start.
    """
    return math.log10((1.0 + q0 * math.exp(min(exposure, 700.0))) / (1.0 + q0))


def cooled_growth_log10(
    food: str, time_s: Sequence[float], temperature_c: Sequence[float], *, high: bool = False
) -> float:
    """Growth over a cooling curve by the model of one meat [log10].

    Parameters
    ----------
    food : {"beef", "chicken", "pork"}
        Cooked, not cured.
    time_s, temperature_c : sequence of float
        The curve [s, °C], straight lines between.
    high : bool, default False
        With the higher of the two values listed for `q0`.
    """
    one = growth_model(food)
    times, curve = _finely(np.asarray(time_s, float), np.asarray(temperature_c, float))
    q0 = one.q0_high if high else one.q0
    return growth_log10(_exposure(food, times, curve), float(q0 or 0.0))


def growth_span_log10(
    food: str, time_s: Sequence[float], warmest_c: Sequence[float]
) -> tuple[float, float]:
    """Least and most growth over a cooling curve, by two models and both starts [log10].

    Parameters
    ----------
    food : {"beef", "chicken", "pork"}
        Which meat.
    time_s, warmest_c : sequence of float
        The warmest probe with its tolerance [s, °C], straight lines between.

    Returns
    -------
    tuple of two floats
        Low and high.

    References
    ----------
    [juneja-2011]_, [lemarc-2008]_
    """
    one = growth_model(food)
    bulk = _bulk_exposure(*_finely(np.asarray(time_s, float), np.asarray(warmest_c, float)))
    found = [cooled_growth_log10(food, time_s, warmest_c, high=high) for high in (False, True)]
    found += [growth_log10(bulk, float(q0 or 0.0)) for q0 in (one.q0, one.q0_high)]
    return min(found), max(found)


def _exposure(food: str, times: NDArray[np.float64], curve: NDArray[np.float64]) -> float:
    rate = np.asarray(growth_rate_log10_h(food, curve)) * math.log(10.0)
    return _area(times, rate)


def _bulk_exposure(times: NDArray[np.float64], curve: NDArray[np.float64]) -> float:
    return _area(times, np.asarray(bulk_rate_ln_h(curve)))


def _area(times: NDArray[np.float64], rate: NDArray[np.float64]) -> float:
    return float(((rate[1:] + rate[:-1]) / 2.0 * np.diff(times)).sum() / _HOUR_S)


def _finely(
    times: NDArray[np.float64], curve: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    at = np.arange(len(times), dtype=np.float64)
    fine = np.linspace(0.0, max(len(times) - 1.0, 0.0), max(len(times) - 1, 0) * _PARTS + 1)
    return np.interp(fine, at, times), np.interp(fine, at, curve)


def _inside(one: GrowthModel, temperature_c: Floats) -> NDArray[np.float64]:
    """Temperature held to where the model grows; at its ends the rate is nothing."""
    return np.clip(np.asarray(temperature_c, dtype=np.float64), one.t_min_c, one.t_max_c)
