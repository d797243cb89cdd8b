"""From guests and appetites to whole raw pieces: portion, yield, pieces, room, leftovers.

Two ends stand beside every middle: a plate may be small or large, and a piece may leave less than the
table says. What is bought covers the usual plate with a margin at the middle yield, and the usual plate
alone at the lowest yield that is known, in whole pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.buying import raw_kg, whole_pieces
from stallwise.models.weighed import Band
from stallwise.tables.catering import catering_value
from stallwise.tables.portions import APPETITES, portion

__all__ = [
    "Guests",
    "Need",
    "Purchase",
    "cooked_need",
    "need_of_all",
    "plate_share",
    "purchase",
    "shared_out",
]

#: Guests from whom on nobody plans at a kitchen table.
_MOST = 100_000
#: Meats that guests are offered at most.
_MOST_MEATS = 3


@dataclass(frozen=True)
class Guests:
    """Who eats: all heads, and how many of them eat otherwise.

    Attributes
    ----------
    heads : int
        Everybody, those below included.
    children, hungry, light, no_meat : int
        How many of them.
    no_shows : float
        Share of all of them that does not come, 0 to under 1.
    """

    heads: int
    children: int = 0
    hungry: int = 0
    light: int = 0
    no_meat: int = 0
    no_shows: float = 0.0

    def __post_init__(self) -> None:
        parts = (self.children, self.hungry, self.light, self.no_meat)
        if not 0 < self.heads <= _MOST or min(parts) < 0:
            raise InputError(f"{self.heads} guests", f"1 to {_MOST:,}, and no fewer than none")
        if sum(parts) > self.heads:
            raise InputError(
                f"{sum(parts)} children, hungry, light and meatless among {self.heads} guests",
                "no more than all of them; each guest in one group",
            )
        if not 0.0 <= self.no_shows < 1.0:
            raise OutOfRangeError(f"{self.no_shows:g} of the guests stay away", "0 to under 1")

    @property
    def plates(self) -> int:
        """Plates with meat that are reckoned with: of those who come and eat it, a part counts whole."""
        return math.ceil((self.heads - self.no_meat) * (1.0 - self.no_shows) - 1e-9)


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


def plate_share(meats: int, liked: float | None = None) -> float:
    """Share of a plate with one meat that all guests together take of one of so many.

    Of two, ``both_taken`` of the guests take both, each at ``both_size``; the others take one of
    them. Three have a row of their own.

    Parameters
    ----------
    meats : int
        1 to 3.
    liked : float, optional
        Share of those who take one that take this; all are liked alike by default.

    Raises
    ------
    OutOfRangeError
        None, or more than three meats; a share out of 0 to 1.

    Examples
    --------
    >>> round(plate_share(2), 3), round(plate_share(2, 0.75), 3)
    (0.6, 0.7)
    """
    if not 1 <= meats <= _MOST_MEATS:
        raise OutOfRangeError(f"{meats} meats", "1 to 3; plan more by their own shares")
    taken = catering_value("both_taken").value
    liked = 1.0 / meats if liked is None else liked
    if not 0.0 <= liked <= 1.0:
        raise OutOfRangeError(f"{liked:g} of the guests like it best", "a share of 0 to 1")
    if meats == 1:
        return 1.0
    if meats == _MOST_MEATS:
        return portion("of_three_meats").value + (1.0 - taken) * (liked - 1.0 / meats)
    return taken * catering_value("both_size").value + (1.0 - taken) * liked


def cooked_need(
    guests: Guests, meats: int = 1, *, liked: float | None = None, plate: float = 1.0
) -> Need:
    """Cooked meat of one of so many meats for these guests.

    Parameters
    ----------
    guests : Guests
    meats : int, default 1
        How many meats are offered; each then takes a part of the plate, together more than one.
    liked : float, optional
        Share of those who take one meat that take this.
    plate : float, default 1
        What guests of this cook eat over what the table says, as their events were weighed.

    Raises
    ------
    OutOfRangeError
        None, or more than three meats.
    """
    share = plate_share(meats, liked) * plate * (1.0 - guests.no_shows)
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
    return Need(low, middle, high, plates=guests.plates)


def need_of_all(guests: Guests, meats: int, *, plate: float = 1.0) -> Need:
    """Cooked meat of all of so many meats together, that are liked alike.

    Parameters
    ----------
    guests, plate
        As for `cooked_need`.
    meats : int
        Kinds, 1 or more; from the fourth on nobody takes more.
    """
    kinds = min(meats, _MOST_MEATS)
    one = cooked_need(guests, kinds, plate=plate)
    return Need(one.low_kg * kinds, one.usual_kg * kinds, one.high_kg * kinds, one.plates)


def shared_out(pieces: int, parts: Sequence[float]) -> tuple[int, ...]:
    """Whole pieces for each serving, so that no serving has less than its part of them so far.

    Parameters
    ----------
    pieces : int
    parts : sequence of float
        Guests of each serving, in its order.

    Examples
    --------
    >>> shared_out(5, (45, 45))
    (3, 2)
    """
    whole = sum(parts)
    if not whole > 0.0:
        raise InputError("servings without a guest", "at least one guest at one of them")
    reached = [math.ceil(pieces * sum(parts[: at + 1]) / whole - 1e-9) for at in range(len(parts))]
    return tuple(now - before for before, now in zip([0, *reached], reached, strict=False))


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
