"""Walls of a pit: heat lost to a calm, a cold and a windy day."""

from __future__ import annotations

from stallwise.ground.ranges import Floats, Range
from stallwise.models.transfer import radiative_coefficient_w_m2_k
from stallwise.tables.parameters import parameter

__all__ = ["outside_coefficient_w_m2_k", "wall_loss_w_k"]

_WIND = Range("wind", 0.0, 40.0, "m/s", "at the pit, not on the weather map")
_GALE = Range("wind", 0.0, 10.0, "m/s", "flat walls in wind tunnels")
_AREA = Range("outer surface", 1e-3, 1e3, "m2", "a pit")
_INSULATION = Range("insulation", 0.0, 1e3, "m2 K/W")


def outside_coefficient_w_m2_k(
    wind_m_s: Floats, wall_c: Floats, ambient_c: Floats, emissivity: Floats | None = None
) -> Floats:
    """Heat that a square metre of outer wall gives off for each kelvin: wind and radiation.

    h = 5.8 + 4.1 v + h_r, the design rule for walls outdoors.

    Parameters
    ----------
    wind_m_s : float or array
        Wind along the wall, v [m/s], 0 to 40; in a yard less than half of the weather report's.
    wall_c, ambient_c : float or array
        Temperatures of the wall and of the air and ground around [°C].
    emissivity : float or array, optional
        Emissivity of the outside [-]; black or rusty steel, 0.9 (``pit.wall.emissivity``), when
        not given.

    Returns
    -------
    float or array
        Coefficient [W/(m2 K)]; 13 to 15 for a bare pit on a calm day.

    Raises
    ------
    OutOfRangeError
        If the wind is not 0 to 40 m/s.

    Warns
    -----
    OutOfRangeWarning
        Above 10 m/s.

    Notes
    -----
    Measurements on whole buildings give more than the rule, at 2 m/s a resistance of 0.04 and not
    0.06 m2 K/W; take it to within a third.

    References
    ----------
    [cibse-a3]_, [incropera]_
    """
    _WIND.require(wind_m_s, "Give metres per second")
    _GALE.warn(wind_m_s)
    black = parameter("pit.wall.emissivity").value if emissivity is None else emissivity
    blown = parameter("pit.wall.calm").value + parameter("pit.wall.wind").value * wind_m_s
    return blown + radiative_coefficient_w_m2_k(black, wall_c, ambient_c)


def wall_loss_w_k(
    area_m2: Floats,
    pit_c: Floats,
    ambient_c: Floats,
    *,
    wind_m_s: Floats = 0.0,
    insulation_m2_k_w: Floats = 0.0,
) -> Floats:
    """Heat lost through the walls of a pit for each kelvin between inside and outside.

    UA = A / (R + 1 / h), h of `outside_coefficient_w_m2_k`.

    Parameters
    ----------
    area_m2 : float or array
        Outer surface of cooking chamber and firebox [m2]; 2.2 for a backyard offset.
    pit_c, ambient_c : float or array
        Temperatures inside and outside [°C].
    wind_m_s : float or array, default 0
        Wind at the pit [m/s].
    insulation_m2_k_w : float or array, default 0
        Resistance of the wall [m2 K/W]; 0 for bare steel, 0.5 for 25 mm of mineral wool.

    Returns
    -------
    float or array
        Loss [W/K].

    Raises
    ------
    OutOfRangeError
        If area or insulation is impossible.

    Notes
    -----
    The wall counts as hot as the pit, which is right for steel within a few per cent and high
    for the cool end of a long chamber.

    References
    ----------
    [cibse-a3]_, [incropera]_
    """
    _AREA.require(area_m2)
    _INSULATION.require(insulation_m2_k_w)
    outside = outside_coefficient_w_m2_k(wind_m_s, pit_c, ambient_c)
    return area_m2 / (insulation_m2_k_w + 1.0 / outside)
