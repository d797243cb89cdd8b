"""How strong a brine is, and what meat takes of it: mass balances only."""

from __future__ import annotations

from stallwise.ground.errors import InputError

__all__ = ["brine_strength", "brine_uptake_g", "brine_uptake_water_g"]


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
