"""What to buy and what it costs on the plate: shares and prices, nothing else."""

from __future__ import annotations

import math

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.tables.yields import yield_row

__all__ = [
    "cost_per_eaten_kg",
    "cost_per_serving",
    "most_barbecued_kg",
    "raw_kg",
    "whole_pieces",
]

#: Under this much of a piece over a whole number, no further piece is bought.
_SLACK = 1e-6


def raw_kg(cooked_kg: float, edible_share: float) -> float:
    """Meat to buy [kg] for so much cooked meat on the plates, `edible_share` of what is bought.

    Raises
    ------
    OutOfRangeError
        The share is not between 0 and 1.
    """
    _share(edible_share, "what is eaten of what is bought")
    if not cooked_kg >= 0.0:
        raise InputError(f"{cooked_kg:g} kg of cooked meat", "0 kg or more")
    return cooked_kg / edible_share


def whole_pieces(needed_kg: float, piece_kg: float) -> int:
    """Pieces of a weight [kg] that hold at least `needed_kg`; none for nothing."""
    if not piece_kg > 0.0:
        raise InputError(f"a piece of {piece_kg:g} kg", "more than 0 kg")
    return max(math.ceil(needed_kg / piece_kg - _SLACK), 0)


def cost_per_eaten_kg(price_per_kg: float, edible_of_on: float, trim_kept: float = 1.0) -> float:
    """Price of a kilogram on the plate, from that of a kilogram bought.

    Parameters
    ----------
    price_per_kg : float
        What is paid for a kilogram as bought, in any money.
    edible_of_on : float
        Share of what goes on that is eaten, 0 to 1.
    trim_kept : float, default 1
        Share of what is bought that goes on.

    Raises
    ------
    OutOfRangeError
        A share is not between 0 and 1.
    """
    _share(edible_of_on, "what is eaten of what goes on")
    _share(trim_kept, "what goes on of what is bought")
    if not price_per_kg >= 0.0:
        raise InputError(f"a price of {price_per_kg:g}", "zero or more")
    return price_per_kg / (edible_of_on * trim_kept)


def cost_per_serving(price: float, servings: float) -> float:
    """Price of one serving, from the price of what gives so many.

    Raises
    ------
    InputError
        There are no servings.
    """
    if not servings > 0.0:
        raise InputError(f"{servings:g} servings", "more than none")
    return price / servings


def most_barbecued_kg(fresh_kg: float) -> float:
    """Most that barbecued meat which is sold may weigh [kg], of so much fresh, 9 CFR 319.80."""
    return fresh_kg * yield_row("barbecued.most").share


def _share(value: float, what: str) -> None:
    if not 0.0 < value <= 1.0:
        raise OutOfRangeError(f"{value:g} for {what}", "a share over 0, up to 1 (0.55 is 55 %)")
