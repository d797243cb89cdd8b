"""What a piece weighed, as far as the cook's scales said so."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground import units
from stallwise.record.schema import Piece
from stallwise.record.trimming import board

__all__ = ["Weighed", "weighed"]


@dataclass(frozen=True)
class Weighed:
    """Weights of a piece, as many alike ones as there are together; None where nobody weighed.

    Attributes
    ----------
    bought_kg, cooked_kg, edible_kg : float or None
        As bought, when it came off, and what there was to eat [kg].
    lost : float or None
        Share of what went on that was gone when it came off [-].
    """

    bought_kg: float | None
    cooked_kg: float | None
    edible_kg: float | None
    lost: float | None


def weighed(piece: Piece) -> Weighed | None:
    """Read the weights that a cook wrote down; None where there are none beside that it went on with.

    Parameters
    ----------
    piece : Piece
        As in ``cook.toml``.
    """
    cooked, edible = (
        None if text is None else units.parse("mass", text, key=key)
        for key, text in (("mass_cooked", piece.mass_cooked), ("mass_edible", piece.mass_edible))
    )
    weights = board(piece)
    bought = None if weights.mass_bought_kg is None else weights.mass_bought_kg * piece.count
    if bought is None and cooked is None and edible is None:
        return None
    on_kg = None if weights.mass_kg is None else weights.mass_kg * piece.count
    lost = None if cooked is None or not on_kg else 1.0 - cooked / on_kg
    return Weighed(bought, cooked, edible, lost)
