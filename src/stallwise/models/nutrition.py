"""Nutrients of what is eaten: raw composition, what is kept in cooking, and the mass that is left.

References
----------
[usda-retention-6]_, [usda-sr28]_
"""

from __future__ import annotations

from stallwise.ground.errors import InputError

__all__ = ["cooked_per_100g", "true_retention"]


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


def cooked_per_100g(
    raw: float, mass_yield: float, retention: float = 1.0, added: float = 0.0
) -> float:
    """Nutrient in 100 g cooked, in the unit of `raw`.

    Parameters
    ----------
    raw : float
        In 100 g of raw edible meat.
    mass_yield : float
        Cooked over raw mass of it.
    retention : float, default 1
        Share of the meat's own that is still there, `true_retention`.
    added : float, default 0
        Put on 100 g of raw edible meat; all of it is taken to stay, the most it can be.
    """
    _some(mass_yield, "left after cooking")
    if not 0.0 <= retention <= 1.5:
        raise InputError(f"a retention of {retention:g}", "0 to 1.5; 1 keeps all of it")
    return (raw * retention + added) / mass_yield


def _some(value: float, what: str) -> None:
    if not value > 0.0:
        raise InputError(f"nothing {what}", "more than nothing")
