"""Where a piece is held, where its plan names only the box or oven it goes into."""

from __future__ import annotations

from collections.abc import Mapping

from stallwise.record.schema import Cook, Piece, Pit

__all__ = ["with_hold_places"]

#: Kinds of pit file in which meat is held and not cooked.
_HOLDS = frozenset({"box", "oven"})


def with_hold_places(cook: Cook, files: Mapping[str, Pit]) -> Cook:
    """Say of each piece with ``hold_in`` and no word on how it is held what its box or oven says.

    Parameters
    ----------
    cook : Cook
    files : mapping of str to Pit
        Files of pits, boxes and ovens by name.
    """
    kinds = {use.letter: files[use.pit].kind for use in cook.pits if use.pit and use.pit in files}

    def held(piece: Piece) -> Piece:
        kind = kinds.get(piece.hold_in or "")
        if piece.hold or piece.hold_at or kind not in _HOLDS:
            return piece
        return piece.model_copy(update={"hold": kind})

    return cook.model_copy(update={"pieces": [held(piece) for piece in cook.pieces]})
