"""Salt by weight for dry brines, equilibrium brines and injections: mass balances only."""

from __future__ import annotations

from typing import Literal

from stallwise.ground.errors import InputError

__all__ = [
    "brine_strength",
    "brine_uptake_g",
    "brine_uptake_water_g",
    "dry_brine_g",
    "equilibrium_brine_salt_g",
    "injection_strength",
    "most_after_corning_kg",
]

#: A corned brisket may gain a fifth of its weight, 9 CFR 319.101; other corned cuts a tenth.
BRISKET_GAIN, CORNED_GAIN = 0.20, 0.10


def dry_brine_g(edible_kg: float, share: float) -> float:
    """Salt [g] for a share (0.0125 is 1.25 %) of edible meat [kg]."""
    _check(share)
    return edible_kg * share * 1e3


def equilibrium_brine_salt_g(
    meat_kg: float,
    water_kg: float,
    share: float,
    of: Literal["meat and water", "total"] = "meat and water",
) -> float:
    """Salt [g] for an equilibrium brine.

    Parameters
    ----------
    meat_kg, water_kg : float
        Meat and water [kg].
    share : float
        Wanted salt, 0.0125 for 1.25 %.
    of : {"meat and water", "total"}
        Whether the share is of meat and water (the usual home form), or of everything with the
        salt in it.
    """
    _check(share)
    both_kg = meat_kg + water_kg
    return share * both_kg * 1e3 / (1.0 if of == "meat and water" else 1.0 - share)


def brine_uptake_g(salt_g: float, meat_kg: float, water_kg: float) -> float:
    """Salt [g] in the meat at the end when it shares by mass: the upper of two readings."""
    return salt_g * meat_kg / (meat_kg + water_kg)


def brine_uptake_water_g(
    salt_g: float, meat_kg: float, water_kg: float, meat_water_share: float = 0.72
) -> float:
    """Salt [g] in the meat at the end when it follows the water (meat is about 72 % water)."""
    inside_kg = meat_kg * meat_water_share
    return salt_g * inside_kg / (inside_kg + water_kg)


def brine_strength(salt_g: float, water_kg: float) -> float:
    """Share of salt in a brine by mass: salt [g] over salt and water [kg]."""
    both_g = salt_g + water_kg * 1e3
    if not both_g > 0.0:
        raise InputError("a brine of nothing", "salt and water")
    return salt_g / both_g


def injection_strength(share: float, pump: float) -> float:
    """Salt in the injected brine, as a share of the brine, for `share` in the pumped meat.

    Parameters
    ----------
    share : float
        Wanted salt in the pumped meat, 0.015 for 1.5 %.
    pump : float
        Brine put in, as a share of the raw meat, 0.10 for 10 %.
    """
    _check(share)
    if not 0.0 < pump < 1.0:
        raise InputError(
            f"pumping {pump * 100:g} %", "more than 0 % of the meat, less than all of it"
        )
    return share * (1.0 + pump) / pump


def most_after_corning_kg(meat_kg: float, *, brisket: bool = True) -> float:
    """Most that corned meat may weigh after cure [kg], 9 CFR 319.100 and 319.101."""
    return meat_kg * (1.0 + (BRISKET_GAIN if brisket else CORNED_GAIN))


def _check(share: float) -> None:
    if not 0.0 <= share < 0.3:
        raise InputError(f"a salt share of {share:g}", "0 to 0.30; 0.0125 is 1.25 %")
