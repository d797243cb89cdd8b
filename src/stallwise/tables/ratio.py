"""Mixes written as a ratio, such as ``1:2 by volume``: parts stand for the amounts of the lines."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from stallwise.ground.errors import InputError
from stallwise.ground.numerals import NUMBER, plain, read_number

__all__ = ["with_parts"]

_RATIO = re.compile(r"(?P<parts>[\d.,/: ]+?)\s+by\s+(?P<by>volume|weight|mass)")
#: What a part is in the file; any would do, since a ratio is always scaled to something.
_PART = {"volume": "tbsp", "weight": "g", "mass": "g"}
_EACH = {"volume": 1.0, "weight": 10.0, "mass": 10.0}


def with_parts(mapping: Mapping[str, object], where: str = "") -> object:
    """Lines of a mix, their amounts filled in from its ratio; as they are where it has none.

    Raises
    ------
    InputError
        The ratio cannot be read, has more or fewer parts than there are lines, or a line has an
        amount of its own.

    Examples
    --------
    >>> lines = [{"ingredient": "salt_kosher_rolled"}, {"ingredient": "pepper_black_16"}]
    >>> [line["amount"] for line in with_parts({"ratio": "1:2 by volume", "lines": lines})]
    ['1 tbsp', '2 tbsp']
    """
    ratio, lines = mapping.get("ratio"), mapping.get("lines")
    if not ratio:
        return lines
    match = _RATIO.fullmatch(plain(str(ratio)).casefold())
    if not match:
        raise InputError(f"ratio {ratio!r}", "'1:1 by volume', '4:2:1 by weight'", where=where)
    parts = [_part(text, str(ratio), where) for text in match["parts"].split(":")]
    if not isinstance(lines, Sequence) or isinstance(lines, str) or len(lines) != len(parts):
        count = len(lines) if isinstance(lines, Sequence) else 0
        raise InputError(
            f"ratio {ratio!r} has {len(parts)} parts for {count} lines",
            "one part for each [[lines]], in their order",
            where=where,
        )
    by = match["by"]
    filled = []
    for number, (line, part) in enumerate(zip(lines, parts, strict=True), 1):
        if not isinstance(line, Mapping) or "amount" in line:
            raise InputError(
                f"line {number} has an amount beside ratio {ratio!r}",
                "one of the two",
                where=where,
            )
        filled.append({**line, "amount": f"{part * _EACH[by]:g} {_PART[by]}"})
    return filled


def _part(text: str, ratio: str, where: str) -> float:
    match = NUMBER.fullmatch(text.strip())
    value = read_number(match, ratio) if match else 0.0
    if value <= 0.0:
        raise InputError(
            f"a part {text.strip()!r} in ratio {ratio!r}", "numbers over 0", where=where
        )
    return value
