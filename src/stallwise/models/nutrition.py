"""Nutrients of what is eaten: raw composition, what is kept in cooking, and the mass that is left.

References
----------
[usda-retention-6]_, [usda-sr28]_
"""

from __future__ import annotations

from stallwise.ground.errors import InputError
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT

__all__ = ["cooked_per_100g", "sodium_cooked_mg_per_100g", "true_retention"]


def true_retention(cooked: float, cooked_g: float, raw: float, raw_g: float) -> float:
    """Share of a nutrient that is still there after cooking.

    Parameters
    ----------
    cooked, raw : float
        Nutrient in 100 g cooked and raw, in one unit.
    cooked_g, raw_g : float
        Mass of the same piece cooked and raw [g].
    """
    _some(raw * raw_g, "of it in the raw piece")
    return cooked * cooked_g / (raw * raw_g)


def cooked_per_100g(raw: float, mass_yield: float, retention: float = 1.0) -> float:
    """Nutrient in 100 g cooked, from that in 100 g raw, the mass that is left and what is kept."""
    _some(mass_yield, "left after cooking")
    if not 0.0 <= retention <= 1.5:
        raise InputError(f"a retention of {retention:g}", "0 to 1.5; 1 keeps all of it")
    return raw * retention / mass_yield


def sodium_cooked_mg_per_100g(
    salt_g: float, edible_kg: float, mass_yield: float, own_mg_per_100g: float, kept: float = 1.0
) -> float:
    """Sodium in 100 g cooked [mg], with salt [g] put on raw edible meat [kg].

    Parameters
    ----------
    salt_g, edible_kg : float
        Salt put on, and the raw meat that it is on.
    mass_yield : float
        Cooked over raw mass of it.
    own_mg_per_100g : float
        The meat's own sodium, raw [mg in 100 g].
    kept : float, default 1
        Share of the salt put on that stays: all of it is the most it can be.
    """
    _some(edible_kg * mass_yield, "to eat")
    own_mg = own_mg_per_100g * edible_kg * 10.0
    return (salt_g * kept * SODIUM_MG_PER_G_SALT + own_mg) / (edible_kg * mass_yield * 10.0)


def _some(value: float, what: str) -> None:
    if not value > 0.0:
        raise InputError(f"nothing {what}", "more than nothing")
