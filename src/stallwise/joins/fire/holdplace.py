"""Where a piece rests and is held: counter, box or oven, and which one of the cook's."""

from __future__ import annotations

from collections.abc import Mapping

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.fire.pitplan import PitState
from stallwise.models.plan import Hold
from stallwise.record.schema import Cook, Piece, Pit
from stallwise.tables.parameters import parameter

__all__ = ["hold_of", "with_hold_places"]

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
    uses = {use.letter: use for use in cook.pits if use.pit and use.pit in files}

    def held(piece: Piece) -> Piece:
        use = uses.get(piece.hold_in or "")
        kind = None if use is None else files[use.pit or ""].kind
        if piece.hold_at or piece.hold not in {None, kind} or kind not in _HOLDS:
            return piece
        # A box with a heat of its own holds like an oven at that heat.
        heat = use.start if use is not None else None
        how = {"hold": "oven", "hold_at": heat} if heat else {"hold": kind}
        return piece.model_copy(update=how)

    return cook.model_copy(update={"pieces": [held(piece) for piece in cook.pieces]})


def hold_of(piece: Piece, cook: Cook, pits: Mapping[str, PitState]) -> Hold:
    """Say where a piece rests and is held: the counter where nothing is said, an oven where only its heat is.

    Parameters
    ----------
    piece, cook : Piece, Cook
    pits : mapping of letter to PitState
        Boxes and ovens among them.

    Raises
    ------
    InputError
        It is held at a heat in something that has none.
    """
    place = piece.hold or ("oven" if piece.hold_at else "counter")
    if piece.hold_at and place != "oven":
        raise InputError(
            f"piece {piece.letter} is held on the {place} at {piece.hold_at}",
            "hold_at with an oven only",
            'Set hold = "oven", or take hold_at out',
        )
    name = "" if place == "counter" else _name(piece, cook, pits)
    if place != "oven":
        return Hold(place, parameter("rest.room").value, name)
    if piece.hold_at is None:
        return Hold(place, parameter("rest.oven.usual").value, name)
    return Hold(place, units.parse("temperature", piece.hold_at, key="hold_at"), name)


def _name(piece: Piece, cook: Cook, pits: Mapping[str, PitState]) -> str:
    """Name of the box or oven that a piece is held in: a pit of the cook, else the one that cooks have."""
    place = piece.hold or ("oven" if piece.hold_at else "counter")
    if piece.hold_in and piece.hold_in in pits:
        return pits[piece.hold_in].name
    alike = [
        use.letter for use in cook.pits if use.letter in pits and pits[use.letter].kind == place
    ]
    return pits[alike[0]].name if len(alike) == 1 else f"hold {place}"
