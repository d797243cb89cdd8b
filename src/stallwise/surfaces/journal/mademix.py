"""A mix as it was made in one cook, ready to be read and to be scaled."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.tables import mix_table

__all__ = ["MadeMix", "made_mix"]


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
        Of each row, unrounded [g].
    """

    key: str
    name: str
    kind: str
    made_for: str
    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    grams: tuple[float, ...]


def made_mix(mix: MixResult) -> MadeMix:
    """Take a mix of a Result."""
    table = mix_table(mix)
    # To a hundredth of a gram: a page is no scale, and its files are small for it.
    grams = tuple(round(each, 2) for each in (*(line.grams for line in mix.lines), mix.total_g))
    return MadeMix(
        mix.mix, mix.name, mix.kind, mix.for_text, table.caption, table.header, table.rows, grams
    )
