"""Room in a pit: how many whole pieces lie side by side on its grates, and how often it is filled."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError

__all__ = ["Grate", "at_once", "loads"]


@dataclass(frozen=True)
class Grate:
    """One grate or shelf: its two sides [m], and how many racks of ribs hang there, if any do."""

    width_m: float
    depth_m: float
    racks: int | None = None


def at_once(
    grates: Sequence[Grate], piece_m: tuple[float, float], gap_m: float, *, racks: bool = False
) -> int:
    """Count the pieces that fit at once, each whole on one grate, along or across it.

    Parameters
    ----------
    grates : sequence of Grate
    piece_m : tuple of float
        Width and length of a piece [m].
    gap_m : float
        Air between two pieces [m].
    racks : bool, default False
        They are racks of ribs, and hang where the grate says how many do.

    Raises
    ------
    InputError
        Not one piece fits.

    Examples
    --------
    >>> at_once([Grate(0.90, 0.45)], (0.20, 0.40), 0.025)
    4
    """
    found = sum(
        grate.racks if racks and grate.racks else _on_one(grate, piece_m, gap_m) for grate in grates
    )
    if found:
        return found
    sides = "; ".join(f"{g.width_m * 100:.0f} x {g.depth_m * 100:.0f} cm" for g in grates)
    raise InputError(
        f"a piece of {piece_m[0] * 100:.0f} x {piece_m[1] * 100:.0f} cm lies on none of: {sides}",
        "a grate that holds at least one piece",
    )


def loads(pieces: Sequence[int], fits: Sequence[int]) -> int:
    """How often a pit is filled for several meats that share it, each by the part of it that it takes."""
    return math.ceil(sum(count / fit for count, fit in zip(pieces, fits, strict=True)) - 1e-9)


def _on_one(grate: Grate, piece_m: tuple[float, float], gap_m: float) -> int:
    """Rows of pieces one way, and on what is left rows the other way."""
    sides = (grate.width_m + gap_m, grate.depth_m + gap_m)
    width, length = (side + gap_m for side in piece_m)
    best = 0
    for across, along in (sides, sides[::-1]):
        first, second = _whole(across / width), _whole(across / length)
        for rows in range(_whole(along / length) + 1):
            rest = _whole((along - rows * length) / width)
            best = max(best, rows * first + rest * second)
    return best


def _whole(value: float) -> int:
    return math.floor(value + 1e-9)
