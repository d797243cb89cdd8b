"""Heat and water crossing the surface of the meat: radiation, evaporation, the plateau."""

from __future__ import annotations

import numpy as np

from stallwise.ground.ranges import Floats, Range
from stallwise.ground.roots import bracketed_root
from stallwise.tables.humid_air import (
    STANDARD_PRESSURE_PA,
    VAPOUR_MASS_RATIO,
    hyland_wexler_pa,
    vapour_pressure_pa,
)

__all__ = [
    "LEWIS_NUMBER",
    "evaporation_flux_kg_m2_s",
    "lewis_conductance_kg_m2_s_pa",
    "plateau_temperature_c",
    "radiative_coefficient_w_m2_k",
    "stefan_factor",
    "vapour_diffusivity_m2_s",
]

#: Thermal diffusivity of air over the diffusivity of vapour in it [-]: 0.83 to 0.84 between 20
#: and 150 °C, from dry air in CoolProp 8.0 and `vapour_diffusivity_m2_s` (tested).
LEWIS_NUMBER = 0.83

_STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA 2018, exact since 2019
_DRY_AIR_HEAT = 1006.0  # J/(kg K), as in the wet-bulb equation of ASHRAE Fundamentals
# A surface at the boiling point gives off steam without limit; the film formula ends just below.
_STEAM_CAP = 0.97

_AIR = Range("pit temperature", -20.0, 250.0, "°C", "a cooker, not a forge")
_WETNESS = Range("wetness", 0.0, 1.0, "", "dry to soaking")
_COEFFICIENT = Range("convection", 1e-6, 1e4, "W/(m2 K)")


def radiative_coefficient_w_m2_k(emissivity: Floats, surface_c: Floats, walls_c: Floats) -> Floats:
    """Heat radiated to a surface for each kelvin that the walls are hotter.

    h_r = eps sigma (T_s**2 + T_w**2) (T_s + T_w), T in K; the walls are large and close round.

    Parameters
    ----------
    emissivity : float or array
        Emissivity of the surface [-], 0 to 1; meat is near 0.9, dull foil 0.25 to 0.5.
    surface_c, walls_c : float or array
        Temperatures of surface and walls [°C].

    Returns
    -------
    float or array
        Coefficient [W/(m2 K)].

    Notes
    -----
    Exact for grey surfaces. In a pit it is as large as natural convection.

    References
    ----------
    [incropera]_, [codata-2018]_

    Examples
    --------
    >>> round(float(radiative_coefficient_w_m2_k(0.9, 65.0, 107.0)), 2)
    9.49
    """
    surface_k = surface_c + 273.15
    walls_k = walls_c + 273.15
    return emissivity * _STEFAN_BOLTZMANN * (surface_k**2 + walls_k**2) * (surface_k + walls_k)


def vapour_diffusivity_m2_s(
    temperature_c: Floats, pressure_pa: Floats = STANDARD_PRESSURE_PA
) -> Floats:
    """Diffusivity of water vapour in air.

    D = 2.26e-5 (T / 273.15)**1.81 (101325 / p), T in K.

    Parameters
    ----------
    temperature_c : float or array
        Temperature of the film of air [°C], 0 to 150.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Diffusivity [m2/s].

    Notes
    -----
    Published values at 0 °C run from 2.18e-5 (the review of Massman, for 0 to 100 °C) to
    2.31e-5; the middle one is taken. The 4 % are worth 2 % of the evaporation. A handbook's table
    lies 6 % below at 20 °C, on it at 100 °C and 4 % above at 200 °C.

    References
    ----------
    [massman-1998]_, [crc-diffusion-gases]_
    """
    kelvin_ratio = (temperature_c + 273.15) / 273.15
    return 2.26e-5 * kelvin_ratio**1.81 * (STANDARD_PRESSURE_PA / pressure_pa)


def lewis_conductance_kg_m2_s_pa(
    convection_w_m2_k: Floats,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
    lewis_number: Floats = LEWIS_NUMBER,
) -> Floats:
    """Water carried off for each pascal of vapour pressure, from the convection coefficient.

    beta = (M_w / M_air) h_c / (cp p) Le**(-2/3): the analogy of heat and mass transfer. The film
    temperature cancels, since the vapour and the air thin out alike.

    Parameters
    ----------
    convection_w_m2_k : float or array
        Convection coefficient [W/(m2 K)].
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.
    lewis_number : float or array, default 0.83
        Lewis number of vapour in air [-]; where it comes from: `LEWIS_NUMBER`.

    Returns
    -------
    float or array
        Conductance [kg/(m2 s Pa)].

    Notes
    -----
    For dilute vapour; multiply by `stefan_factor` near boiling. Good to about 3 %, which is the
    spread of published diffusivities.

    References
    ----------
    [lewis-chilton-colburn]_, [incropera]_
    """
    heat = _DRY_AIR_HEAT * pressure_pa
    return VAPOUR_MASS_RATIO * convection_w_m2_k / heat * lewis_number ** (-2.0 / 3.0)


def stefan_factor(
    surface_vapour_pa: Floats,
    air_vapour_pa: Floats,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
) -> Floats:
    """How much the outflow of vapour helps itself along (Stefan flow).

    F = p / (p_s - p_v) ln[(p - p_v) / (p - p_s)], with p_s held at or below 0.97 p.

    Parameters
    ----------
    surface_vapour_pa : float or array
        Vapour pressure at the surface [Pa].
    air_vapour_pa : float or array
        Vapour pressure in the air [Pa], below `pressure_pa`.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.

    Returns
    -------
    float or array
        Factor [-], 1 for little vapour, up to 3.6 at the cap in dry air.

    References
    ----------
    [incropera]_
    """
    surface = np.minimum(surface_vapour_pa, _STEAM_CAP * pressure_pa)
    difference = surface - air_vapour_pa
    # At equal pressures the factor is 0/0; a millipascal is far below what can be told apart.
    difference = difference + 1e-3 * (np.abs(difference) < 1e-3)
    return pressure_pa / difference * np.log1p(difference / (pressure_pa - surface))


def evaporation_flux_kg_m2_s(
    wetness: Floats,
    conductance_kg_m2_s_pa: Floats,
    surface_c: Floats,
    air_vapour_pa: Floats,
    *,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
    water_activity: Floats = 1.0,
) -> Floats:
    """Water leaving a square metre of surface each second; negative when vapour condenses on it.

    m = w beta F (a_w p_sat(T_s) - p_v).

    Parameters
    ----------
    wetness : float or array
        Share of a free water surface that the meat amounts to [-], 0 (dry bark) to 1 (soaking).
    conductance_kg_m2_s_pa : float or array
        Mass conductance [kg/(m2 s Pa)] from `lewis_conductance_kg_m2_s_pa`.
    surface_c : float or array
        Temperature of the surface [°C].
    air_vapour_pa : float or array
        Vapour pressure in the air [Pa].
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.
    water_activity : float or array, default 1
        Lowering of the vapour pressure by salt and sugar [-]; 1 is pure water, and raw meat with
        0.99 is all but that.

    Returns
    -------
    float or array
        Flux [kg/(m2 s)].

    References
    ----------
    [lewis-chilton-colburn]_
    """
    surface_pa = water_activity * hyland_wexler_pa(surface_c)
    factor = stefan_factor(surface_pa, air_vapour_pa, pressure_pa)
    return wetness * conductance_kg_m2_s_pa * factor * (surface_pa - air_vapour_pa)


def plateau_temperature_c(
    pit_c: Floats,
    humidity_ratio: Floats,
    *,
    convection_w_m2_k: Floats,
    wetness: Floats,
    emissivity: Floats,
    pressure_pa: Floats = STANDARD_PRESSURE_PA,
    walls_c: Floats | None = None,
    inward_w_m2: Floats = 0.0,
) -> Floats:
    """Temperature at which a surface stays while evaporation eats all the heat that arrives.

    h_c (T_a - T_s) + h_r (T_w - T_s) - m h_fg = q, solved for T_s.

    Parameters
    ----------
    pit_c : float or array
        Air temperature at the meat [°C].
    humidity_ratio : float or array
        Humidity ratio of that air [kg water per kg dry air].
    convection_w_m2_k : float or array
        Convection coefficient [W/(m2 K)].
    wetness : float or array
        Share of a free water surface [-], 0 to 1.
    emissivity : float or array
        Emissivity of the surface [-], 0 to 1; 0 leaves radiation out.
    pressure_pa : float or array, default 101325
        Air pressure [Pa]; the default is sea level.
    walls_c : float or array, optional
        Temperature of what the meat sees [°C]; the air's when not given.
    inward_w_m2 : float or array, default 0
        Heat q going on into the meat [W/m2], not negative; 0 is the steady plateau.

    Returns
    -------
    float or array
        Surface temperature [°C].

    Raises
    ------
    OutOfRangeError
        If wetness is not 0 to 1, convection not positive, or no temperature balances.

    Warns
    -----
    OutOfRangeWarning
        If the pit lies outside -20 to 250 °C.

    Notes
    -----
    Soaking and without radiation it is the wet bulb, 0 to 1.5 K lower; half-dry and in sight of
    hot walls it is the 60 to 77 °C at which big cuts stall.

    References
    ----------
    [lewis-chilton-colburn]_, [incropera]_
    """
    _AIR.warn(pit_c)
    _WETNESS.require(wetness)
    _COEFFICIENT.require(convection_w_m2_k)
    walls = pit_c if walls_c is None else walls_c
    air_pa = vapour_pressure_pa(humidity_ratio, pressure_pa)
    conductance = lewis_conductance_kg_m2_s_pa(convection_w_m2_k, pressure_pa)

    def surplus(surface_c: Floats) -> Floats:
        radiation = radiative_coefficient_w_m2_k(emissivity, surface_c, walls)
        flux = evaporation_flux_kg_m2_s(
            wetness, conductance, surface_c, air_pa, pressure_pa=pressure_pa
        )
        heat = convection_w_m2_k * (pit_c - surface_c) + radiation * (walls - surface_c)
        return heat - flux * (2_501_000.0 - 2_361.0 * surface_c) - inward_w_m2

    hottest = np.maximum(pit_c, walls) + 1e-9
    coldest = np.minimum(np.minimum(pit_c, walls), 0.0) - 60.0
    return bracketed_root(surplus, coldest, hottest, wanted="surface temperature")
