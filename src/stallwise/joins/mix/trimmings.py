"""Trimmings saved from a piece, this cook's or one from the freezer, and the mixes made of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.mix.salting import Used
from stallwise.models.batch import batch_of
from stallwise.models.mixes import ScaledMix
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, MixUse
from stallwise.record.trimming import board
from stallwise.tables.mix import Mix, Pantry
from stallwise.tables.serves import Serves

__all__ = ["Drawn", "draws", "is_trimming", "source_name", "trimmings_at_hand", "with_trimmings"]

#: Beginnings of the keys of ingredients that come off a piece.
_TRIMMINGS = ("bones_", "trimmings_")


@dataclass
class Drawn:
    """Trimmings of one piece: what is there of them [kg], and what mixes take [g]."""

    there_kg: float
    uses_g: dict[str, float] = field(default_factory=dict)


def is_trimming(ingredient: str) -> bool:
    """Whether an ingredient is what is cut off a piece."""
    return ingredient.startswith(_TRIMMINGS)


def source_name(source: str, this: str) -> str:
    """Name trimmings on screens: those of this cook by their piece, others by cook and piece."""
    cook, _, letter = source.rpartition("/")
    where = f", {cook}, from the freezer" if cook and cook != this else ""
    return f"Trimmings of {letter}{where}"


def with_trimmings(use: MixUse, mix: Mix, record: CookRecord, cook: Cook, shelf: Pantry) -> Serves:
    """Scale a mix to the trimmings that it is made of.

    Raises
    ------
    InputError
        The mix takes no trimmings, nothing was saved, or more is taken than there is.
    """
    made = batch_of(mix, shelf)
    line_g = sum(line.grams for line in made.lines if is_trimming(line.key))
    if line_g <= 0.0:
        raise InputError(
            f"{mix.name} is made from {use.from_} and takes no trimmings",
            "a mix with a line of bones_meaty, trimmings_lean or trimmings_fat",
        )
    there_kg = _there(use.from_ or "", record, cook)
    take_kg = units.parse("mass", use.take, key="take") if use.take else there_kg
    if take_kg > there_kg + 1e-9 or take_kg <= 0.0:
        system = record.book.units
        raise InputError(
            f"{mix.name} takes {units.format_mass(take_kg, system)} of the trimmings of {use.from_}",
            f"up to {units.format_mass(there_kg, system)}, which is what is left of them"
            if there_kg > 0.0
            else "nothing is left of them",
            "Take less, or write what was saved: mass_saved",
        )
    text = f"from {units.format_mass(take_kg, record.book.units)} of trimmings"
    return Serves("batch", take_kg * 1e3 / line_g, text)


def draws(record: CookRecord, cook: Cook, used: Sequence[Used]) -> Mapping[str, Drawn]:
    """Trimmings that the mixes of a cook take, by where they come from."""
    found: dict[str, Drawn] = {}
    by_key: dict[str, list[ScaledMix]] = {}
    for one in used:
        by_key.setdefault(one.mix.key, []).append(one.mix)
    for use in cook.mixes:
        if not use.from_:
            continue
        mix = by_key[use.mix].pop(0)
        grams = sum(line.grams for line in mix.lines if is_trimming(line.ingredient))
        drawn = found.setdefault(use.from_, Drawn(_there(use.from_, record, cook)))
        drawn.uses_g[mix.name] = drawn.uses_g.get(mix.name, 0.0) + grams
    return found


def trimmings_at_hand(record: CookRecord, cook: Cook, used: Sequence[Used]) -> dict[str, float]:
    """Trimmings that need not be bought [g], by ingredient.

    What a mix takes from a named source is there; what the cook's pieces leave beside that goes to the
    mixes that name none.
    """
    taken = {key: sum(drawn.uses_g.values()) for key, drawn in draws(record, cook, used).items()}
    own_g = sum(
        (board(piece).mass_saved_kg or 0.0) * piece.count * 1e3 for piece in cook.pieces
    ) - sum(grams for key, grams in taken.items() if "/" not in key or key.startswith(record.name))
    left_g = max(own_g, 0.0) + sum(taken.values())
    found: dict[str, float] = {}
    for one in used:
        for line in one.mix.lines:
            if is_trimming(line.ingredient):
                grams = min(line.grams, left_g)
                left_g -= grams
                found[line.ingredient] = found.get(line.ingredient, 0.0) + grams
    return found


def _there(source: str, record: CookRecord, cook: Cook) -> float:
    """Trimmings that are there [kg], of a piece of this cook or of an earlier one."""
    name, _, letter = source.rpartition("/")
    if name and name != record.name:
        if source not in record.freezer:
            unread = [w.text for w in record.warnings if w.key == f"freezer-{name}"]
            if unread:
                raise InputError(unread[0])
            raise NotFoundError(
                "saved trimmings",
                source,
                record.freezer,
                "Write them as COOK/LETTER: mass_saved there",
            )
        return record.freezer[source]
    piece = next((piece for piece in cook.pieces if piece.letter == letter), None)
    if piece is None:
        raise NotFoundError("piece", letter, [piece.letter for piece in cook.pieces])
    saved = board(piece).mass_saved_kg
    if saved is None:
        raise InputError(
            f"nobody says what was saved of piece {letter}",
            f'mass_saved = "1 lb" at piece {letter}',
        )
    return saved * piece.count
