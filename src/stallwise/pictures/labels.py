"""Words inside a picture: how wide they are, and where they stand without covering one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

__all__ = ["Item", "fitted", "pack", "text_width"]

#: Width of a character as a share of the type size; the widest of the usual system fonts.
_CHARACTER = 0.6
_GAP = 9.0


def text_width(text: str, size: float) -> float:
    """Room a text takes [px]; the viewer's font is not known, so rather too much."""
    return len(text) * size * _CHARACTER


def fitted(text: str, size: float, room: float) -> str:
    """Text, cut short with a mark where it would run over its room [px].

    Examples
    --------
    >>> fitted("whole brisket, untrimmed", 12.5, 120.0)
    'whole brisket,…'
    """
    if text_width(text, size) <= room:
        return text
    return text[: max(int(room / size / _CHARACTER) - 1, 1)].rstrip() + "…"


@dataclass(frozen=True)
class Item:
    """Something on a row with a word beside it.

    Attributes
    ----------
    left, right : float
        Extent of the marks themselves [px].
    text : str
        The word.
    short : str
        Said instead where `text` fits on neither side; empty for none.
    size : float
        Type size [px].
    text_x : float
        Where the word is put [px], set by `pack`.
    align : str
        ``left``, ``right``: on which side of `text_x` it runs, set by `pack`.
    row : int
        Row from the top, set by `pack`.
    """

    left: float
    right: float
    text: str
    size: float
    short: str = ""
    text_x: float = 0.0
    align: str = "left"
    row: int = 0


def pack(
    items: Sequence[Item], left: float, right: float, *, walls: Sequence[float] = ()
) -> list[Item]:
    """Give each item the first row where it and its word are free, in the order given.

    Parameters
    ----------
    items : sequence of Item
        Usually in order of time.
    left, right : float
        Edges of the picture [px]; a word that would run over the right edge stands before
        its mark instead.
    walls : sequence of float, optional
        Upright lines [px] that a word keeps clear of where it can.

    Returns
    -------
    list of Item
        The same items with their places.
    """
    taken: list[list[tuple[float, float]]] = []
    placed = []
    for item in items:
        wall = min((wall for wall in walls if wall > item.right), default=right)
        choices = _sides(item, left, min(wall - 3, right)) or _sides(item, left, right)
        if not choices and item.short:
            choices = _sides(replace(item, text=item.short), left, right)
        # A word that fits on neither side ends at the edge.
        choices = choices or [replace(item, text_x=right, align="right")]
        row, spot = _first_free(choices, taken)
        if row == len(taken):
            taken.append([])
        taken[row].append(_extent(spot))
        placed.append(replace(spot, row=row))
    return placed


def _sides(item: Item, left: float, right: float) -> list[Item]:
    wide = text_width(item.text, item.size)
    after = replace(item, text_x=item.right + 5, align="left")
    before = replace(item, text_x=item.left - 5, align="right")
    fits = []
    if after.text_x + wide <= right:
        fits.append(after)
    if before.text_x - wide >= left:
        fits.append(before)
    return fits


def _extent(item: Item) -> tuple[float, float]:
    wide = text_width(item.text, item.size)
    ends = (item.text_x, item.text_x + wide if item.align == "left" else item.text_x - wide)
    return min(item.left, *ends) - _GAP, max(item.right, *ends)


def _first_free(
    choices: Sequence[Item], taken: list[list[tuple[float, float]]]
) -> tuple[int, Item]:
    for row in range(len(taken)):
        for spot in choices:
            start, end = _extent(spot)
            if all(end <= low or start >= high for low, high in taken[row]):
                return row, spot
    return len(taken), choices[0]
