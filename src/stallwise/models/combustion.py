"""Burning wood and charcoal: moisture on two bases, heat by moisture, air needed, water made."""

from __future__ import annotations

import numpy as np

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.ranges import Floats, Range
from stallwise.tables.parameters import parameter

__all__ = [
    "as_fired_heat_j_kg",
    "combustion_water_kg_kg",
    "dry_basis",
    "stoichiometric_air_kg_kg",
    "stoichiometric_oxygen_kg_kg",
    "wet_basis",
]

# Standard atomic weights (IUPAC), kg/kmol.
_CARBON, _HYDROGEN, _OXYGEN, _SULPHUR = 12.011, 1.008, 15.999, 32.06
_WATER_OF_HYDROGEN = (2.0 * _HYDROGEN + _OXYGEN) / (2.0 * _HYDROGEN)
# Oxygen in dry air by mass: 20.95 % by volume of air of 28.964 kg/kmol.
_OXYGEN_IN_AIR = 0.2314

_WET = Range("moisture", 0.0, 0.95, "", "a share of the wood as it is burnt; 20 % is 0.2")
_DRY = Range("moisture meter", 0.0, 19.0, "", "water over dry wood; 25 % is 0.25")
_SHARE = Range("share", 0.0, 1.0, "", "of the dry fuel")
_SUM = Range("sum of the shares", 0.0, 1.0 + 1e-9, "", "of the dry fuel")
_HEAT = Range("heat of dry fuel", 1e6, 1.5e8, "J/kg", "18.5 MJ/kg is hardwood")
_BURNS = Range("moisture", 0.0, 0.6, "", "wood that still burns")


def wet_basis(dry_basis_moisture: Floats) -> Floats:
    """Water as a share of the wood as it is burnt, from what a moisture meter reads.

    M = m / (1 + m): meters, and the timber trade, state water over dry wood.

    Parameters
    ----------
    dry_basis_moisture : float or array
        Water over dry wood [-], 0 to 19.

    Returns
    -------
    float or array
        Water over wood as it is [-], 0 to 0.95.

    Raises
    ------
    OutOfRangeError
        Outside 0 to 19.

    References
    ----------
    [aiel-wood-fuels]_

    Examples
    --------
    >>> round(float(wet_basis(0.25)), 3)
    0.2
    """
    _DRY.require(dry_basis_moisture, "Divide per cent by 100")
    return dry_basis_moisture / (1.0 + dry_basis_moisture)


def dry_basis(wet_basis_moisture: Floats) -> Floats:
    """Moisture as a meter reads it, from water as a share of the wood; inverse of `wet_basis`.

    Parameters
    ----------
    wet_basis_moisture : float or array
        Water over wood as it is [-], 0 to 0.95.

    Returns
    -------
    float or array
        Water over dry wood [-].

    Raises
    ------
    OutOfRangeError
        Outside 0 to 0.95.

    References
    ----------
    [aiel-wood-fuels]_
    """
    _WET.require(wet_basis_moisture, "Divide per cent by 100")
    return wet_basis_moisture / (1.0 - wet_basis_moisture)


def as_fired_heat_j_kg(moisture: Floats, dry_j_kg: Floats | None = None) -> Floats:
    """Net heat of a kilogram of fuel as it goes on the fire.

    q = q_dry (1 - M) - 2.44 MJ/kg M: the dry part gives its heat, the water takes its own.

    Parameters
    ----------
    moisture : float or array
        Water over wood as it is, M [-], 0 to 0.95; from a meter by way of `wet_basis`.
    dry_j_kg : float or array, optional
        Net heat of the dry fuel [J/kg]; hardwood, 18.5 MJ/kg (``fuel.hardwood.heat``), when not
        given.

    Returns
    -------
    float or array
        Net (lower) heating value [J/kg].

    Raises
    ------
    OutOfRangeError
        If the moisture is not 0 to 0.95, or nothing is left of the heat.

    Warns
    -----
    OutOfRangeWarning
        Above 0.6, where wood hardly burns.

    Notes
    -----
    Broad-leaved woods differ by some 3 % for each dry kilogram; water is nearly all that counts.

    References
    ----------
    [aiel-wood-fuels]_

    Examples
    --------
    >>> round(float(as_fired_heat_j_kg(0.20)) / 1e6, 2)
    14.31
    """
    dry = parameter("fuel.hardwood.heat").value if dry_j_kg is None else dry_j_kg
    _WET.require(moisture, "Divide per cent by 100")
    _HEAT.require(dry)
    _BURNS.warn(moisture)
    heat = dry * (1.0 - moisture) - parameter("fuel.evaporation").value * moisture
    if not np.all(np.asarray(heat) > 0.0):
        raise OutOfRangeError(
            f"fuel with {100.0 * float(np.max(moisture)):.0f} % of water",
            "dry enough to give heat",
            "Dry it first",
        )
    return heat


def stoichiometric_oxygen_kg_kg(
    carbon: Floats, hydrogen: Floats, oxygen: Floats, sulphur: Floats = 0.0
) -> Floats:
    """Oxygen that a dry fuel needs beyond its own to burn out.

    C + O2 = CO2, 2 H2 + O2 = 2 H2O, S + O2 = SO2.

    Parameters
    ----------
    carbon, hydrogen, oxygen : float or array
        Shares of the dry fuel [-], each 0 to 1; dry oak is 0.502, 0.060 and 0.433.
    sulphur : float or array, default 0
        Share of the dry fuel [-]; wood has next to none.

    Returns
    -------
    float or array
        Oxygen [kg per kg dry fuel].

    Raises
    ------
    OutOfRangeError
        If a share is not 0 to 1, they add up to more than 1, or there is nothing to burn.

    References
    ----------
    [iupac-weights]_
    """
    for share in (carbon, hydrogen, oxygen, sulphur):
        _SHARE.require(share)
    _SUM.require(carbon + hydrogen + oxygen + sulphur, "Ash and nitrogen make up the rest")
    needed = 2.0 * _OXYGEN * (carbon / _CARBON + hydrogen / (4.0 * _HYDROGEN) + sulphur / _SULPHUR)
    lacking = needed - oxygen
    if not np.all(np.asarray(lacking) > 0.0):
        raise OutOfRangeError("a fuel with all its oxygen in it", "something that burns")
    return lacking


def stoichiometric_air_kg_kg(
    carbon: Floats, hydrogen: Floats, oxygen: Floats, sulphur: Floats = 0.0
) -> Floats:
    """Dry air that a dry fuel needs to burn out, with none to spare.

    Parameters
    ----------
    carbon, hydrogen, oxygen : float or array
        Shares of the dry fuel [-], each 0 to 1; dry oak is 0.502, 0.060 and 0.433.
    sulphur : float or array, default 0
        Share of the dry fuel [-]; wood has next to none.

    Returns
    -------
    float or array
        Dry air [kg per kg dry fuel]; 6 for wood. An offset draws ten to fifteen times as much.

    Raises
    ------
    OutOfRangeError
        As `stoichiometric_oxygen_kg_kg`.

    References
    ----------
    [iupac-weights]_, [isa-1976]_, [kubler-1991]_

    Examples
    --------
    >>> round(float(stoichiometric_air_kg_kg(0.50, 0.06, 0.43)), 2)
    5.96
    """
    return stoichiometric_oxygen_kg_kg(carbon, hydrogen, oxygen, sulphur) / _OXYGEN_IN_AIR


def combustion_water_kg_kg(hydrogen: Floats, moisture: Floats = 0.0) -> Floats:
    """Water that leaves with the smoke: made from hydrogen, and what was in the wood.

    w = 8.94 H (1 - M) + M.

    Parameters
    ----------
    hydrogen : float or array
        Hydrogen H, a share of the dry fuel [-]; 0.06 for wood.
    moisture : float or array, default 0
        Water over wood as it is, M [-], 0 to 0.95.

    Returns
    -------
    float or array
        Water [kg per kg fuel as fired].

    Raises
    ------
    OutOfRangeError
        If a share is out of range.

    References
    ----------
    [iupac-weights]_

    Examples
    --------
    >>> round(float(combustion_water_kg_kg(0.06)), 2)
    0.54
    """
    _SHARE.require(hydrogen)
    _WET.require(moisture, "Divide per cent by 100")
    return _WATER_OF_HYDROGEN * hydrogen * (1.0 - moisture) + moisture
