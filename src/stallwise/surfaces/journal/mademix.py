"""A mix as it was made in one cook, ready to be read and to be scaled."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.tables import mix_table

__all__ = ["MadeMix", "made_mix"]

_ALLERGENS = "Allergens:"


@dataclass(frozen=True)
class MadeMix:
    """A mix as it was made.

    Attributes
    ----------
    key, name, kind : str
    made_for : str
        What for: ``for 28 guests``.
    caption : str
        Name and what for.
    header, rows : tuple
        A row an ingredient, the last one what it makes.
    grams : tuple of float
        Of each row, to a hundredth [g].
    own, notes : tuple of str
        What its writer says of it, and what follows from its lines.
    allergens : str
        One of the latter, that is never folded away.
    """

    key: str
    name: str
    kind: str
    made_for: str
    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    grams: tuple[float, ...]
    own: tuple[str, ...] = ()
    allergens: str = ""
    notes: tuple[str, ...] = ()


def made_mix(mix: MixResult) -> MadeMix:
    """Take a mix of a Result."""
    table = mix_table(mix)
    # To a hundredth of a gram: a page is no scale, and its files are small for it.
    grams = tuple(round(each, 2) for each in (*(line.grams for line in mix.lines), mix.total_g))
    allergens = next((note for note in mix.notes if note.startswith(_ALLERGENS)), "")
    return MadeMix(
        mix.mix,
        mix.name,
        mix.kind,
        mix.for_text,
        table.caption,
        table.header,
        table.rows,
        grams,
        own=mix.own,
        allergens=allergens,
        notes=tuple(note for note in mix.notes if note != allergens),
    )
