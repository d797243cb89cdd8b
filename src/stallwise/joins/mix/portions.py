"""Pieces as mixes and plates see them: raw mass, what of it can be eaten, its surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stallwise.joins.plan import piece_cut, piece_kg, piece_sizes
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, Piece
from stallwise.tables.cut import Cut
from stallwise.tables.properties import density_kg_m3

__all__ = ["Portion", "for_mixes", "raw_portions"]


@dataclass(frozen=True)
class Portion:
    """A piece, all its alike ones together.

    Attributes
    ----------
    piece : Piece
    mass_kg : float
        Raw, as it goes on [kg].
    edible_kg : float
        What of it is eaten [kg]: cooked where that is forecast or weighed.
    raw_edible_kg : float
        Raw without its bone [kg].
    area_m2 : float
        Surface of all of them [m2].
    water_share : float
        Water in a kilogram of its raw meat.
    """

    piece: Piece
    mass_kg: float
    edible_kg: float
    raw_edible_kg: float
    area_m2: float
    water_share: float


def _surface_m2(entry: Cut, mass_kg: float, half_m: Sequence[float]) -> float:
    """Surface of one piece [m2]: its volume over the three half sizes [m], as a block has it."""
    density = float(density_kg_m3(entry.composition, entry.start_core_c))
    return mass_kg / density * sum(1.0 / half for half in half_m)


def raw_portions(record: CookRecord, cook: Cook) -> tuple[Portion, ...]:
    """Every piece of a cook without a forecast: what can be eaten is the raw meat without bone."""
    return tuple(_portion(record, piece) for piece in cook.pieces)


def for_mixes(record: CookRecord, cook: Cook, edible_kg: Sequence[float]) -> tuple[Portion, ...]:
    """Every piece of a cook with the cooked meat that is forecast or was weighed [kg]."""
    return tuple(
        replace(portion, edible_kg=edible)
        for portion, edible in zip(raw_portions(record, cook), edible_kg, strict=True)
    )


def _portion(record: CookRecord, piece: Piece) -> Portion:
    entry = piece_cut(record, piece)
    one_kg = piece_kg(piece, entry)
    raw_edible = one_kg * piece.count * (1.0 - entry.bone_fraction)
    return Portion(
        piece,
        one_kg * piece.count,
        raw_edible,
        raw_edible,
        _surface_m2(entry, one_kg, piece_sizes(piece, entry).half_m) * piece.count,
        entry.composition.water,
    )
