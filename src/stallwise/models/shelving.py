"""Unlike pieces side by side on one grate: rows of pieces, as a cook lays them."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.models.grate import Grate

__all__ = ["filled", "lie_together"]

Size = tuple[float, float]


def lie_together(grate: Grate, pieces: Sequence[Size], gap_m: float) -> bool:
    """Whether pieces fit on a grate at once, laid in rows, the deepest row first.

    A way of laying them that works is looked for, so True can be laid; with pieces of many sizes a
    cleverer hand may fit one more.

    Parameters
    ----------
    grate : Grate
    pieces : sequence of (float, float)
        Width and length of each [m].
    gap_m : float
        Air between two [m].

    Examples
    --------
    >>> lie_together(Grate(0.90, 0.45), [(0.20, 0.40)] * 4, 0.025)
    True
    """
    sides = (grate.width_m + gap_m, grate.depth_m + gap_m)
    sizes = [tuple(sorted((side + gap_m for side in piece), reverse=True)) for piece in pieces]
    return any(
        _rows_deep(across, [(size[way], size[1 - way]) for size in sizes]) <= along + 1e-9
        for across, along in (sides, sides[::-1])
        for way in (0, 1)
    )


def _rows_deep(across_m: float, sizes: Sequence[Size]) -> float:
    """Depth of all rows [m], each piece (along the row, across it) in the first row with room."""
    rows: list[list[float]] = []
    for long, deep in sorted(sizes, key=lambda size: -size[1]):
        if long > across_m + 1e-9:
            return float("inf")
        row = next((one for one in rows if one[0] + long <= across_m + 1e-9), None)
        if row is None:
            rows.append([long, deep])
        else:
            row[0] += long
    return sum(deep for _, deep in rows)


def filled(grate: Grate, pieces: Sequence[Size], gap_m: float) -> float:
    """Share of a grate that pieces take, each with the air around it [-]."""
    room = (grate.width_m + gap_m) * (grate.depth_m + gap_m)
    return sum((width + gap_m) * (length + gap_m) for width, length in pieces) / room
