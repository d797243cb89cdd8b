"""From guests and appetites to whole raw pieces: portion, yield, pieces, room, leftovers.

Two ends stand beside every middle: a plate may be small or large, and a piece may leave less than the
table says. What is bought covers the usual plate with a margin at the middle yield, and the usual plate
alone at the lowest yield that is known, in whole pieces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.buying import raw_kg, whole_pieces
from stallwise.models.weighed import Band
from stallwise.tables.portions import APPETITES, portion

__all__ = ["Guests", "Need", "Purchase", "cooked_need", "purchase"]

#: Guests from whom on nobody plans at a kitchen table.
_MOST = 100_000
_SHARES = {1: None, 2: "of_two_meats", 3: "of_three_meats"}


@dataclass(frozen=True)
class Guests:
    """Who eats: all heads, and how many of them eat otherwise.

    Attributes
    ----------
    heads : int
        Everybody, those below included.
    children, hungry, light, no_meat : int
        How many of them.
    """

    heads: int
    children: int = 0
    hungry: int = 0
    light: int = 0
    no_meat: int = 0

    def __post_init__(self) -> None:
        parts = (self.children, self.hungry, self.light, self.no_meat)
        if not 0 < self.heads <= _MOST or min(parts) < 0:
            raise InputError(f"{self.heads} guests", f"1 to {_MOST:,}, and no fewer than none")
        if sum(parts) > self.heads:
            raise InputError(
                f"{sum(parts)} children, hungry, light and meatless among {self.heads} guests",
                "no more than all of them; each guest in one group",
            )


@dataclass(frozen=True)
class Need:
    """Cooked meat on the plates [kg]: small plates, usual ones, large ones; `plates` that eat it."""

    low_kg: float
    usual_kg: float
    high_kg: float
    plates: int


@dataclass(frozen=True)
class Purchase:
    """What to buy of one cut.

    Attributes
    ----------
    need : Need
        Cooked meat of it.
    raw_usual_kg : float
        Raw for the usual plate at the middle yield, without a margin.
    raw_kg : float
        Raw asked for, before whole pieces.
    pieces : int
    piece_kg, bought_kg : float
        One piece and all of them, as bought.
    cooked_kg : tuple of three float
        Meat to eat of them at the low, middle and high yield.
    left_kg : tuple of three float
        The same less the usual plates; negative is short.
    feeds : tuple of three int
        Usual plates that it fills at the low, middle and high yield.
    """

    need: Need
    raw_usual_kg: float
    raw_kg: float
    pieces: int
    piece_kg: float
    bought_kg: float
    cooked_kg: tuple[float, float, float]
    left_kg: tuple[float, float, float]
    feeds: tuple[int, int, int]


def cooked_need(guests: Guests, meats: int = 1) -> Need:
    """Cooked meat of one of so many meats for these guests.

    Parameters
    ----------
    guests : Guests
    meats : int, default 1
        How many meats are offered; each then takes a part of the plate, together more than one.

    Raises
    ------
    OutOfRangeError
        None, or more than three meats.
    """
    if meats not in _SHARES:
        raise OutOfRangeError(f"{meats} meats", "1 to 3; plan more by their own shares")
    key = _SHARES[meats]
    share = 1.0 if key is None else portion(key).value
    usual = guests.heads - guests.children - guests.hungry - guests.light - guests.no_meat
    groups = [
        (usual, APPETITES["usual"], 1.0),
        (guests.hungry, APPETITES["hungry"], 1.0),
        (guests.light, APPETITES["light"], 1.0),
        (guests.children, APPETITES["usual"], portion("child").value),
    ]
    low, middle, high = (
        sum(count * getattr(portion(row), end) * part for count, row, part in groups) * share * 1e-3
        for end in ("low", "value", "high")
    )
    return Need(low, middle, high, plates=guests.heads - guests.no_meat)


def purchase(
    need: Need,
    eaten: Band,
    *,
    piece_kg: float,
    margin: float | None = None,
    low: float | None = None,
) -> Purchase:
    """Whole pieces to buy for a need.

    Parameters
    ----------
    need : Need
    eaten : Band
        Share that is eaten of what is bought.
    piece_kg : float
        One piece as bought [kg].
    margin : float, optional
        Over the usual plates at the middle yield; the table's usual margin by default.
    low : float, optional
        Lowest yield known of the cut, where that is lower than the band's.
    """
    spare = portion("margin").value if margin is None else margin
    if not 0.0 <= spare < 1.0:
        raise OutOfRangeError(f"a margin of {spare:g}", "0 to 1; 0.1 is a tenth more")
    lowest = min(eaten.low, low) if low is not None else eaten.low
    asked = max(raw_kg(need.usual_kg * (1.0 + spare), eaten.middle), raw_kg(need.usual_kg, lowest))
    pieces = whole_pieces(asked, piece_kg)
    bought = pieces * piece_kg
    cooked = (bought * lowest, bought * eaten.middle, bought * eaten.high)
    plate = need.usual_kg / need.plates if need.plates else math.inf
    return Purchase(
        need=need,
        raw_usual_kg=raw_kg(need.usual_kg, eaten.middle),
        raw_kg=asked,
        pieces=pieces,
        piece_kg=piece_kg,
        bought_kg=bought,
        cooked_kg=cooked,
        left_kg=(cooked[0] - need.usual_kg, cooked[1] - need.usual_kg, cooked[2] - need.usual_kg),
        feeds=tuple(int(mass / plate + 1e-9) for mass in cooked),  # type: ignore[arg-type]
    )
