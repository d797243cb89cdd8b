"""What a crowd costs and what is asked for it: what is blank stays blank and is never counted as nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground.errors import InputError, OutOfRangeError

__all__ = ["Sums", "summed"]


@dataclass(frozen=True)
class Sums:
    """Costs added up.

    Attributes
    ----------
    known : float
        Sum of what is known, in its money.
    blank : tuple of str
        Headings of which nothing is known.
    cost, price, per_head : float or None
        All of it, that with the margin on top, and for each guest; None while anything is blank.
    least_per_head : float
        What is known with the margin on top, for each guest: it can only become more.
    """

    known: float
    blank: tuple[str, ...]
    cost: float | None
    price: float | None
    per_head: float | None
    least_per_head: float


def summed(costs: Mapping[str, float | None], heads: int, margin: float = 0.0) -> Sums:
    """Add costs up.

    Parameters
    ----------
    costs : mapping of heading to float or None
        None where it is not known; headings that a crowd has none of are left out.
    heads : int
        Guests that are paid for.
    margin : float, default 0
        On top of what it costs, as a share of that, 0 or more.

    Raises
    ------
    InputError
        No guest.
    OutOfRangeError
        A margin below nothing.

    Examples
    --------
    >>> summed({"meat": 300.0, "work": 150.0}, 90, 0.2).per_head
    6.0
    >>> summed({"meat": 300.0, "work": None}, 90, 0.2).per_head is None
    True
    """
    if heads < 1:
        raise InputError(f"a price for {heads} guests", "at least one")
    if not margin >= 0.0:
        raise OutOfRangeError(f"a margin of {margin:g}", "0 or more; 0.25 is a quarter on top")
    blank = tuple(name for name, amount in costs.items() if amount is None)
    known = sum(amount for amount in costs.values() if amount is not None)
    asked = known * (1.0 + margin)
    whole = not blank and bool(costs)
    return Sums(
        known,
        blank,
        known if whole else None,
        asked if whole else None,
        asked / heads if whole else None,
        asked / heads,
    )
