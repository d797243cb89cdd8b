"""What stands on whose plate: codes that say nothing, orders that favour nobody."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError

__all__ = ["Plate", "codes", "orders", "served", "spread_of_followers", "williams"]

_CODES = 633


@dataclass(frozen=True)
class Plate:
    """One plate.

    Attributes
    ----------
    taster : int
        From 1.
    set : int
        Plates that are asked about together have one number, from 1.
    place : int
        In the order of eating within the set, from 1.
    arm : int
        From 0.
    code : str
        Three digits.
    """

    taster: int
    set: int
    place: int
    arm: int
    code: str


def codes(count: int, seed: int, *names: str) -> tuple[str, ...]:
    """Three-digit codes without a digit twice and without a run up or down, none twice.

    Parameters
    ----------
    count : int
        How many, up to 633.
    seed : int
    *names : str
        Whose they are, so that another taster gets others.
    """
    if count > _CODES:
        raise InputError(f"{count} codes", f"up to {_CODES}", "Serve fewer plates a session")
    every = [str(n) for n in range(100, 1000) if len(set(str(n))) == 3 and not _is_run(str(n))]
    drawn = stream(seed, "codes", *names).permutation(len(every))
    return tuple(every[n] for n in drawn[:count])


def _is_run(code: str) -> bool:
    steps = {int(b) - int(a) for a, b in itertools.pairwise(code)}
    return steps in ({1}, {-1})


def williams(arms: int) -> tuple[tuple[int, ...], ...]:
    """Orders in which each arm stands equally often in each place and behind each other arm.

    Parameters
    ----------
    arms : int
        Two or more.

    Returns
    -------
    tuple of tuples
        As many rows as arms when that is even, twice as many when it is odd.

    References
    ----------
    [williams-1949]_
    """
    if arms < 2:
        raise InputError(f"{arms} arms", "two or more")
    first = [0]
    low, high = 1, arms - 1
    while low <= high:
        first.append(low)
        if low != high:
            first.append(high)
        low, high = low + 1, high - 1
    rows = [tuple((one + shift) % arms for one in first) for shift in range(arms)]
    return tuple(rows if arms % 2 == 0 else rows + [tuple(reversed(row)) for row in rows])


def spread_of_followers(rows: Sequence[Sequence[int]]) -> int:
    """How unevenly arms follow each other: most less fewest times of any one behind any other."""
    arms = sorted({one for row in rows for one in row})
    counts = {(a, b): 0 for a in arms for b in arms if a != b}
    for row in rows:
        for a, b in itertools.pairwise(row):
            counts[a, b] += 1
    return max(counts.values()) - min(counts.values())


def orders(tasters: int, arms: int, seed: int) -> tuple[tuple[int, ...], ...]:
    """Order of eating for each taster, whole Williams squares as far as they go, shuffled.

    Parameters
    ----------
    tasters, arms : int
    seed : int
        Which taster gets which row, and which arm which letter.
    """
    draw = stream(seed, "orders")
    names = draw.permutation(arms)
    rows = [tuple(int(names[one]) for one in row) for row in williams(arms)]
    found: list[tuple[int, ...]] = []
    while len(found) < tasters:
        found += [rows[n] for n in draw.permutation(len(rows))]
    return tuple(found[:tasters])


def served(
    tasters: int,
    sets: Sequence[Sequence[Sequence[int]]],
    seed: int,
) -> tuple[Plate, ...]:
    """Give every plate its code.

    Parameters
    ----------
    tasters : int
    sets : sequence of sequences of sequences
        For each taster the sets, for each set the arms in the order of eating.
    seed : int

    Returns
    -------
    tuple of Plate
        A taster never sees a code twice, and no two plates of the trial share one while there are enough.
    """
    wanted = sum(len(one) for of in sets for one in of)
    at_once = wanted <= _CODES
    pool = iter(codes(wanted, seed)) if at_once else iter(())
    plates = []
    for taster in range(1, tasters + 1):
        of = sets[taster - 1]
        own = pool if at_once else iter(codes(sum(map(len, of)), seed, f"T{taster}"))
        for number, one in enumerate(of, 1):
            for place, arm in enumerate(one, 1):
                plates.append(Plate(taster, number, place, int(np.int64(arm)), next(own)))
    return tuple(plates)
