"""What is wrong with the pieces of a plan before anybody forecasts it: a weight, a size, a finish that cannot be."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins.fire.pitheat import heat_of
from stallwise.joins.plan import piece_sizes
from stallwise.record.schema import Cook, Piece
from stallwise.tables.catalogue import cuts
from stallwise.tables.cut import Cut

__all__ = ["plan_faults"]

#: What is read of a piece for a forecast; each refuses what its cut cannot be.
_READ: tuple[Callable[[Piece, Cut], object], ...] = (
    piece_sizes,
    heat_of,
    lambda piece, entry: entry.finish(piece.finish),
)


def plan_faults(cook: Cook, own_cuts: Mapping[str, dict[str, Any]]) -> Iterator[str]:
    """Say what a forecast of a cook would refuse of its pieces.

    Parameters
    ----------
    cook : Cook
    own_cuts : mapping
        The cook's own cuts, by name of the file.
    """
    known = cuts(own_cuts)
    for piece in cook.pieces:
        for read in _READ if piece.cut in known else ():
            try:
                read(piece, known[piece.cut])
            except InputError as error:
                said = str(error)
                named = f"piece {piece.letter}"
                yield said if named in said else f"{named}: {said}"
