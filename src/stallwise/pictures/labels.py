"""Words inside a picture: how wide they are, and where they stand without covering one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

__all__ = ["Box", "Item", "around", "fitted", "has_room", "pack", "text_width"]

#: Width of a character as a share of the type size; the widest of the usual system fonts.
_CHARACTER = 0.6
_GAP = 9.0
#: From a mark to its word, and how near a line is that runs between the two [px].
_BESIDE, _CLOSE = 5.0, 40.0


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
class Box:
    """A place that is taken: its left, top, right and bottom [px]."""

    left: float
    top: float
    right: float
    bottom: float

    def covers(self, other: Box) -> bool:
        """Whether two places share some room."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


def around(
    at: tuple[float, float], text: str, size: float, taken: Sequence[Box], *, above: bool
) -> Box | None:
    """Find room for the word of a mark: over it or under it, in the middle or to a side, or beside it.

    Parameters
    ----------
    at : tuple of float
        Middle of the mark [px].
    text : str
        The word.
    size : float
        Type size [px].
    taken : sequence of Box
        Marks, lines and words that are there.
    above : bool
        Over the mark first; else it never stands there.

    Returns
    -------
    Box or None
        None where there is no room: two words on one another say less than none.
    """
    px, y = at
    half, high = text_width(text, size) / 2 + 3, size / 2 + 1
    beside = half + _BESIDE
    places = [
        (px + dx, y + dy) for dy in ((-14, 15) if above else (15,)) for dx in (0, half, -half)
    ]
    places += [(px + beside, y), (px - beside, y)]
    boxes = (Box(x - half, mid - high, x + half, mid + high) for x, mid in places)
    return next((box for box in boxes if not any(box.covers(each) for each in taken)), None)


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
    marks : tuple of float
        Middle of each mark [px], in order; the word may stand between two of them. Empty for
        a bar.
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
    marks: tuple[float, ...] = ()
    text_x: float = 0.0
    align: str = "left"
    row: int = 0


def has_room(item: Item, left: float, right: float) -> bool:
    """Whether the word stands somewhere beside its marks without covering one."""
    return bool(_sides(item, left, right))


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
        choices = _choices(item, left, right, walls)
        row, spot = _first_free(choices, taken)
        if row == len(taken):
            taken.append([])
        taken[row].append(_extent(spot))
        placed.append(replace(spot, row=row))
    return placed


def _choices(item: Item, left: float, right: float, walls: Sequence[float]) -> list[Item]:
    """Places of a word, the first kind of place that there is: beside its marks and off every line."""
    short = replace(item, text=item.short or item.text)
    for each in (item, short):
        sides = _sides(each, left, right)
        clear = [spot for spot in sides if not _crossed(spot, walls)]
        clear = clear or _short_of_wall(each, left, walls)
        if clear:
            return clear
    sides = _sides(item, left, right) or _sides(short, left, right)
    if sides or not item.marks:
        # A word that fits on neither side of a bar ends at the edge.
        return sides or [replace(item, text_x=right, align="right")]
    before, after = item.left - _BESIDE - left, right - item.right - _BESIDE
    cut = fitted(item.text, item.size, max(before, after))
    return _sides(replace(item, text=cut), left, right) or [replace(item, text="")]


def _sides(item: Item, left: float, right: float) -> list[Item]:
    wide = text_width(item.text, item.size)
    after = replace(item, text_x=item.right + _BESIDE, align="left")
    before = replace(item, text_x=item.left - _BESIDE, align="right")
    fits = []
    if after.text_x + wide <= right:
        fits.append(after)
    if before.text_x - wide >= left:
        fits.append(before)
    half = item.right - item.marks[-1] + _BESIDE if item.marks else 0.0
    fits += [
        replace(item, text_x=mark + half, align="left")
        for mark, other in pairwise(item.marks)
        if mark + half + wide <= other - half
    ]
    return fits


def _short_of_wall(item: Item, left: float, walls: Sequence[float]) -> list[Item]:
    """Places before a line that stands close before the mark, so that the line runs between."""
    wide = text_width(item.text, item.size)
    return [
        replace(item, text_x=wall - _BESIDE, align="right")
        for wall in walls
        if item.left - _CLOSE <= wall <= item.left and wall - _BESIDE - wide >= left
    ]


def _span(item: Item) -> tuple[float, float]:
    """Where the word begins and ends [px]."""
    wide = text_width(item.text, item.size)
    start = item.text_x if item.align == "left" else item.text_x - wide
    return start, start + wide


def _crossed(item: Item, walls: Sequence[float]) -> bool:
    start, end = _span(item)
    return any(start - 3 < wall < end + 3 for wall in walls)


def _extent(item: Item) -> tuple[float, float]:
    start, end = _span(item)
    return min(item.left, start) - _GAP, max(item.right, end)


def _first_free(
    choices: Sequence[Item], taken: list[list[tuple[float, float]]]
) -> tuple[int, Item]:
    for row in range(len(taken)):
        for spot in choices:
            start, end = _extent(spot)
            if all(end <= low or start >= high for low, high in taken[row]):
                return row, spot
    return len(taken), choices[0]
