"""Humid air: saturation, humidity ratio, boiling point, wet bulb, latent heat, air pressure."""

from __future__ import annotations

import numpy as np

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.ranges import Floats, Range
from stallwise.ground.roots import bracketed_root

__all__ = [
    "STANDARD_PRESSURE_PA",
    "VAPOUR_MASS_RATIO",
    "boiling_point_c",
    "humidity_ratio",
    "humidity_ratio_from_relative_humidity",
    "hyland_wexler_pa",
    "latent_heat_j_kg",
    "pressure_at_elevation_pa",
    "saturation_pressure_pa",
    "vapour_pressure_pa",
    "wet_bulb_c",
]

#: Air pressure at sea level [Pa], U.S. Standard Atmosphere 1976.
STANDARD_PRESSURE_PA = 101_325.0
#: Molar mass of water over that of dry air [-], ASHRAE Fundamentals, Psychrometrics.
VAPOUR_MASS_RATIO = 0.621945

_KELVIN = 273.15
_SATURATION = Range("temperature", 0.0, 200.0, "°C", "saturation over liquid water")
_BOILING = Range("pressure", 1_000.0, 1_500_000.0, "Pa", "boiling between 7 and 198 °C")
_PRESSURE = Range("air pressure", 1_000.0, 1_500_000.0, "Pa", "air, not vacuum")
_DRY_BULB = Range("air temperature", -20.0, 200.0, "°C", "the wet-bulb equation")
_ELEVATION = Range("elevation", -5_000.0, 11_000.0, "m", "the standard atmosphere")
_LATENT = Range("temperature", 0.0, 120.0, "°C", "the straight line for latent heat")
_RATIO = Range("humidity ratio", 0.0, 1e6, "kg/kg", "water per dry air")
_SHARE = Range("relative humidity", 0.0, 1.0, "", "a share; divide per cent by 100")
_NOT_NEGATIVE = Range("vapour pressure", 0.0, float("inf"), "Pa")
# Saturated air is saturated to rounding: 0.1 % more water than that is fog, and refused.
_FOG = 1.001


def hyland_wexler_pa(temperature_c: Floats) -> Floats:
    """Saturation pressure over liquid water, the bare formula without a range check.

    ln p = c1/T + c2 + c3 T + c4 T**2 + c5 T**3 + c6 ln T, T in K. Plain arithmetic, so that numba
    can compile it as it stands.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C], 0 to 200.

    Returns
    -------
    float or array
        Pressure [Pa].

    References
    ----------
    [hyland-wexler-1983]_, [ashrae-psychrometrics]_
    """
    kelvin = temperature_c + 273.15
    return np.exp(
        -5800.2206 / kelvin
        + 1.3914993
        - 0.048640239 * kelvin
        + 4.1764768e-5 * kelvin**2
        - 1.4452093e-8 * kelvin**3
        + 6.5459673 * np.log(kelvin)
    )


def saturation_pressure_pa(temperature_c: Floats) -> Floats:
    """Vapour pressure of air that can hold no more water, over liquid water.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C], 0 to 200.

    Returns
    -------
    float or array
        Pressure [Pa].

    Warns
    -----
    OutOfRangeWarning
        Outside 0 to 200 °C. Below 0 °C the value is that over supercooled water, the way weather
        reports state relative humidity in frost.

    Notes
    -----
    The equation of Hyland and Wexler. Within 0.02 % of CoolProp 8.0 from 20 to 180 °C.

    References
    ----------
    [hyland-wexler-1983]_, [ashrae-psychrometrics]_

    Examples
    --------
    >>> round(float(saturation_pressure_pa(60.0)), 1)
    19943.8
    """
    _SATURATION.warn(temperature_c)
    return hyland_wexler_pa(temperature_c)


def humidity_ratio(
    vapour_pressure_pa: Floats, pressure_pa: Floats = STANDARD_PRESSURE_PA
) -> Floats:
    """Water carried by each kilogram of dry air.

    W = 0.621945 p_v / (p - p_v).

    Parameters
    ----------
    vapour_pressure_pa : float or array
        Partial pressure of the vapour [Pa], 0 to below `pressure_pa`.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Humidity ratio [kg water per kg dry air].

    Raises
    ------
    OutOfRangeError
        If the vapour pressure is negative or not below the air pressure.

    References
    ----------
    [ashrae-psychrometrics]_
    """
    _PRESSURE.require(pressure_pa)
    _NOT_NEGATIVE.require(vapour_pressure_pa)
    if not np.all(np.asarray(vapour_pressure_pa) < pressure_pa):
        raise OutOfRangeError(
            f"a vapour pressure of {np.max(vapour_pressure_pa):,.0f} Pa",
            f"less than the air pressure of {np.min(pressure_pa):,.0f} Pa",
            "At that point there is only steam; give a lower temperature or humidity",
        )
    return VAPOUR_MASS_RATIO * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)


def vapour_pressure_pa(
    humidity_ratio: Floats, pressure_pa: Floats = STANDARD_PRESSURE_PA
) -> Floats:
    """Partial pressure of the vapour in humid air; the inverse of `humidity_ratio`.

    p_v = W p / (0.621945 + W).

    Parameters
    ----------
    humidity_ratio : float or array
        Humidity ratio [kg water per kg dry air], not negative.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    OutOfRangeError
        If the humidity ratio is negative.

    References
    ----------
    [ashrae-psychrometrics]_
    """
    _PRESSURE.require(pressure_pa)
    _RATIO.require(humidity_ratio)
    return humidity_ratio * pressure_pa / (VAPOUR_MASS_RATIO + humidity_ratio)


def humidity_ratio_from_relative_humidity(
    relative_humidity: Floats,
    temperature_c: Floats,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
) -> Floats:
    """Humidity ratio of air whose relative humidity is known, as in a weather report.

    Parameters
    ----------
    relative_humidity : float or array
        Share of saturation over liquid water [-], 0 to 1.
    temperature_c : float or array
        Air temperature [°C], 0 to 200.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Humidity ratio [kg water per kg dry air].

    Raises
    ------
    OutOfRangeError
        If the relative humidity is not between 0 and 1, or the air would be all steam.

    Warns
    -----
    OutOfRangeWarning
        Outside 0 to 200 °C.

    References
    ----------
    [ashrae-psychrometrics]_
    """
    _SHARE.require(relative_humidity, "60 % is 0.6")
    _SATURATION.warn(temperature_c)
    return humidity_ratio(relative_humidity * hyland_wexler_pa(temperature_c), pressure_pa)


def pressure_at_elevation_pa(elevation_m: Floats) -> Floats:
    """Air pressure of the standard atmosphere at an elevation.

    p = 101325 (1 - 2.25577e-5 z)**5.2559.

    Parameters
    ----------
    elevation_m : float or array
        Elevation above sea level [m], -5000 to 11000.

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    OutOfRangeError
        Outside -5000 to 11000 m.

    Notes
    -----
    Weather moves the true pressure by about 3 % either way, which is 1 K of boiling point.

    References
    ----------
    [isa-1976]_, [ashrae-psychrometrics]_
    """
    _ELEVATION.require(elevation_m, "Give the elevation in metres above sea level")
    return STANDARD_PRESSURE_PA * (1.0 - 2.25577e-5 * elevation_m) ** 5.2559


def boiling_point_c(pressure_pa: Floats) -> Floats:
    """Temperature at which water boils.

    Parameters
    ----------
    pressure_pa : float or array
        Air pressure [Pa], 1000 to 1500000.

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    OutOfRangeError
        Outside 1000 to 1500000 Pa.

    Notes
    -----
    The inverse of `saturation_pressure_pa`; 99.97 °C at 101325 Pa, as on the scale in use today.

    References
    ----------
    [hyland-wexler-1983]_

    Examples
    --------
    >>> round(float(boiling_point_c(pressure_at_elevation_pa(1600.0))), 2)
    94.65
    """
    _BOILING.require(pressure_pa)
    return bracketed_root(
        lambda temperature_c: hyland_wexler_pa(temperature_c) - pressure_pa, 0.0, 200.0
    )


def latent_heat_j_kg(temperature_c: Floats) -> Floats:
    """Heat that evaporates a kilogram of water at a temperature.

    h_fg = 2501000 - 2361 t.

    Parameters
    ----------
    temperature_c : float or array
        Temperature of the water [°C], 0 to 120.

    Returns
    -------
    float or array
        Latent heat [J/kg].

    Warns
    -----
    OutOfRangeWarning
        Outside 0 to 120 °C.

    Notes
    -----
    A straight line through the steam tables: 0.4 % high at 100 °C, 0.7 % at 120 °C.

    References
    ----------
    [ashrae-psychrometrics]_
    """
    _LATENT.warn(temperature_c)
    return 2_501_000.0 - 2_361.0 * temperature_c


def wet_bulb_c(
    dry_bulb_c: Floats, humidity_ratio: Floats, pressure_pa: Floats = STANDARD_PRESSURE_PA
) -> Floats:
    """Temperature of a wet, shaded surface in a stream of air, heated by that air alone.

    W = [(2501 - 2.326 t*) W_s(t*) - 1.006 (t - t*)] / (2501 + 1.86 t - 4.186 t*), solved for t*.

    Parameters
    ----------
    dry_bulb_c : float or array
        Air temperature t [°C], -20 to 200.
    humidity_ratio : float or array
        Humidity ratio W [kg water per kg dry air], not above saturation.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Wet-bulb temperature [°C].

    Raises
    ------
    OutOfRangeError
        If the air would hold more water than it can.

    Warns
    -----
    OutOfRangeWarning
        If the dry bulb lies outside -20 to 200 °C.

    Notes
    -----
    Above the boiling point air can hold any amount of water, and a search that lets the wet
    surface boil finds the dry bulb there. Within 0.15 K of CoolProp 8.0 from 30 to 180 °C and to 4500 m. Below 0 °C the
    bulb is wetted by supercooled water, not ice. The meat in a pit is not at this temperature:
    its surface is partly dry and sees hot walls.

    References
    ----------
    [ashrae-psychrometrics]_

    Examples
    --------
    >>> round(float(wet_bulb_c(107.0, 0.02)), 2)
    40.04
    """
    _DRY_BULB.warn(dry_bulb_c)
    _PRESSURE.require(pressure_pa)
    _RATIO.require(humidity_ratio)
    saturated_pa = np.minimum(hyland_wexler_pa(dry_bulb_c), (1.0 - 1e-9) * pressure_pa)
    most = VAPOUR_MASS_RATIO * saturated_pa / (pressure_pa - saturated_pa)
    if np.any(np.asarray(humidity_ratio) > _FOG * most):
        raise OutOfRangeError(
            f"air with {np.max(humidity_ratio):.4g} kg of water per kg",
            f"at most {np.min(most):.4g} at that temperature",
            "Look at the humidity, or at the temperature it was measured at",
        )
    humid = np.minimum(humidity_ratio, most)

    def surplus(wet_c: Floats) -> Floats:
        # Held below boiling: beyond it the equation turns round and has a second, false root.
        wet_pa = np.minimum(hyland_wexler_pa(wet_c), (1.0 - 1e-12) * pressure_pa)
        saturated = VAPOUR_MASS_RATIO * wet_pa / (pressure_pa - wet_pa)
        heat = (2501.0 - 2.326 * wet_c) * saturated - 1.006 * (dry_bulb_c - wet_c)
        return heat / (2501.0 + 1.86 * dry_bulb_c - 4.186 * wet_c) - humid

    low = np.minimum(dry_bulb_c, 0.0) - 40.0
    return bracketed_root(surplus, low, dry_bulb_c + 1e-9, wanted="wet-bulb temperature")
