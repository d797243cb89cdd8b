"""How much room words take on paper: what fits is reckoned from letter widths."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

__all__ = ["BOLD", "MM_A_POINT", "SIZE_PT", "lines", "together"]

MM_A_POINT = 25.4 / 72.0
#: Type size of a sheet [pt].
SIZE_PT = 16.0
#: Bold letters are wider.
BOLD = 1.12


_UNIT = re.compile(r"(\d) (h|min|lb|oz|kg|g|ft|cm|m|°[FC]|pieces)\b")


def together(text: str) -> str:
    """Keep a number and its unit in one line, and a caution's mark with its first word."""
    return _UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", text).replace("! ", "!\N{NO-BREAK SPACE}")


@cache
def lines(text: str, width_mm: float, *, size: float = SIZE_PT, then: str = "") -> int:
    """Lines that a browser breaks a text into, a little on the safe side.

    `then` goes on behind it in plain letters.
    """
    count, used = 0, 0.0
    for word, wide in _sized(text, then, size):
        space = 0.29 * SIZE_PT * MM_A_POINT if used else 0.0
        if not word.startswith(",") and (not count or used + space + wide > width_mm):
            count, used = count + 1, wide
        else:
            used += wide + (0.0 if word.startswith(",") else space)
    return count


def _sized(text: str, then: str, size: float) -> Iterator[tuple[str, float]]:
    for part, points in ((text, size), (then, SIZE_PT)):
        for word in filter(None, part.split(" ")):
            yield word, sum(map(_em, word)) * points * MM_A_POINT


#: Widths of letters [em], of the wider of the page's first two typefaces.
_WIDTHS = {
    letter: width
    for letters, width in (
        ("\u2060", 0.0), ("ijl'", 0.25), ("I.,·’", 0.29), (":;|/", 0.31), ("f-", 0.33),
        ("t()[]!", 0.36), ("r", 0.37), ("°", 0.45), ("csz", 0.50), ("kvxyJ", 0.535),
        ("aeo–", 0.557), ("FTZL", 0.615), ("ABEKPSVXY", 0.67), ("CDGHNOQRU&", 0.725), ("w", 0.74),
        ("+=×", 0.755), ("Mm%▸", 0.88), ("W", 0.945), ("—→@", 1.0),
    )
    for letter in letters
}  # fmt: skip


def _em(letter: str) -> float:
    return _WIDTHS.get(letter, 0.575)
