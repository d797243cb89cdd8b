"""Room for a crowd: servings, the cold before, pans and boxes after, and the most that the pits can feed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stallwise.joins.sheet.thawing import thaw_span_s
from stallwise.models.crowd import Guests, shared_out
from stallwise.tables.catering import catering_value
from stallwise.tables.gear import gear_value

__all__ = [
    "Box",
    "Cold",
    "Serving",
    "Wave",
    "as_many",
    "cold_room",
    "most_heads",
    "pans_for",
    "servings",
]

_LITRE_M3 = 1e-3


@dataclass(frozen=True)
class Wave:
    """A serving as it is asked for: its clock time, and how many of the guests; an equal part when not said."""

    at: str
    heads: int | None = None


@dataclass(frozen=True)
class Serving:
    """One serving.

    Attributes
    ----------
    at : str
        Clock time as it was said; empty for the only one.
    heads : int
        Guests of it, those who stay away among them.
    pieces : mapping of str to int
        Of each cut.
    pans : int
        That they fill, once they are cooked.
    line_s : float
        How long they take to pass one side of a table [s].
    """

    at: str
    heads: int
    pieces: Mapping[str, int]
    pans: int
    line_s: float


@dataclass(frozen=True)
class Cold:
    """Room in the cold for all of the raw meat [m3]: in trays, and salted and open on racks; to thaw the largest piece [s]."""

    thaw_m3: float
    salt_m3: float
    thaw_s: float


@dataclass(frozen=True)
class Box:
    """A box that holds: its name and the pans that it takes."""

    name: str
    pans: int


def servings(
    waves: Sequence[Wave],
    guests: Guests,
    pieces: Mapping[str, int],
    cooked_kg: Mapping[str, float],
) -> tuple[Serving, ...]:
    """Share guests, pieces and pans out over the servings.

    Parameters
    ----------
    waves : sequence of Wave
        One or more; guests whom none names are shared alike among those that name none.
    guests : Guests
    pieces : mapping of str to int
        By cut.
    cooked_kg : mapping of str to float
        Meat to eat of one piece, by cut [kg].
    """
    heads = _heads(waves, guests.heads)
    parts = {cut: shared_out(count, heads) for cut, count in pieces.items()}
    per_s = 60.0 / catering_value("line").value
    found = []
    for at, (wave, many) in enumerate(zip(waves, heads, strict=True)):
        of_each = {cut: part[at] for cut, part in parts.items()}
        pans = sum(pans_for(count, cooked_kg[cut]) for cut, count in of_each.items())
        found.append(Serving(wave.at, many, of_each, pans, many * (1.0 - guests.no_shows) * per_s))
    return tuple(found)


def _heads(waves: Sequence[Wave], all_of_them: int) -> list[int]:
    """Guests of each serving; what is left after those that say how many is shared alike."""
    rest = all_of_them - sum(wave.heads or 0 for wave in waves)
    open_ones = [at for at, wave in enumerate(waves) if wave.heads is None]
    shares = iter(shared_out(max(rest, 0), [1] * len(open_ones)) if open_ones else ())
    return [next(shares) if wave.heads is None else wave.heads for wave in waves]


def pans_for(count: int, each_kg: float) -> int:
    """Pans that so many cooked pieces of one kind fill, a large one to itself."""
    full_kg = max(gear_value("pan.holds"), each_kg)
    return math.ceil(count * each_kg / full_kg - 1e-9)


def cold_room(bought_kg: float, largest_kg: float) -> Cold:
    """Room that raw meat takes in the cold before it goes on.

    Parameters
    ----------
    bought_kg, largest_kg : float
        All of it, and the largest piece of it [kg].
    """
    return Cold(
        bought_kg * catering_value("cold.thaw").value * _LITRE_M3,
        bought_kg * catering_value("cold.salt").value * _LITRE_M3,
        thaw_span_s(largest_kg).usual_s,
    )


def most_heads(guests: Guests, fits: Callable[[Guests], bool]) -> int:
    """Most guests of the same kind whose meat fits; 0 where not even one's does.

    Parameters
    ----------
    guests : Guests
        Too many.
    fits : callable
        Whether the meat for so many can be cooked.
    """
    low, high = 0, guests.heads
    while high - low > 1:
        middle = (low + high) // 2
        if fits(as_many(guests, middle)):
            low = middle
        else:
            high = middle
    return low


def as_many(guests: Guests, heads: int) -> Guests:
    """So many guests of the same kind."""
    children, hungry, light, no_meat = (
        count * heads // guests.heads
        for count in (guests.children, guests.hungry, guests.light, guests.no_meat)
    )
    return Guests(heads, children, hungry, light, no_meat, guests.no_shows)
