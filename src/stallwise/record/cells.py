"""One cell of a log: a number with or without its unit, or a word for nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["BLANK", "number_and_unit", "numbers"]

#: Texts, folded, with which a log says that there is no reading.
BLANK = frozenset(
    {"", "-", "--", "---", "---.-", "--.-", "?", "na", "n/a", "nan", "null", "none"}
    | {"unknown", "unavailable", "no probe", "."}
)
_NUMBER = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+))\s*(?:(?:°|º|deg)?\s*([CFcf]))?\s*$")
_COMMA = re.compile(r"([+-]?\d+),(\d+)(?=\s*(?:(?:°|º|deg)?\s*[CFcf])?\s*$)")


def number_and_unit(cell: str, *, decimal_comma: bool = False) -> tuple[float | None, str]:
    """Read the number of a cell, and the unit that stands behind it.

    Parameters
    ----------
    cell : str
        ``225``, ``107,2`` (with `decimal_comma`), ``225 °F``.
    decimal_comma : bool, default False

    Returns
    -------
    (float or None, str)
        None where it is no number; ``C``, ``F`` or empty.
    """
    text = cell.replace("\u2212", "-")
    if decimal_comma:
        text = _COMMA.sub(r"\1.\2", text)
    match = _NUMBER.match(text)
    return (float(match[1]), (match[2] or "").upper()) if match else (None, "")


def numbers(cells: Iterable[str], *, decimal_comma: bool) -> dict[str, tuple[float | None, str]]:
    """Read number and unit of each text that occurs, once each; blanks are left out."""
    return {
        cell: number_and_unit(cell, decimal_comma=decimal_comma)
        for cell in set(cells)
        if cell.casefold() not in BLANK
    }
