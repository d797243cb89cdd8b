"""Numbers as people write them: decimals, decimal commas, fractions and mixed numbers."""

from __future__ import annotations

import re
import unicodedata

from stallwise.ground.errors import InputError

__all__ = ["NUMBER", "has_range", "plain", "read_number"]

#: One unsigned number in text that went through `plain`.
NUMBER = re.compile(
    r"""
    (?P<whole>\d+)(?:\s+|\s?-\s?)(?P<top>\d+)\s?/\s?(?P<bottom>\d+)   # 1 1/2, 1-1/2
    | (?P<num>\d+)\s?/\s?(?P<den>\d+)                                 # 3/4
    | (?P<decimal>\d[\d.,]*\d|\d|[.,]\d+)                             # 4, 1.5, 1,5, .5
    """,
    re.VERBOSE,
)

_DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212"), "-")
_SLASHES = dict.fromkeys(map(ord, "\u2044\u2215"), "/")
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2002\u2003\u2009\u200a\u202f\t\r\n"), " ")
_RANGE = re.compile(r"[\d/]\s*(?:-|\bto\b|\bor\b)\s*[\d.]")
_MIXED_HYPHEN = re.compile(r"(?<![\d/.,])\d+\s?-\s?\d+\s?/\s?\d+")
_GROUP = 3  # digits in a group of thousands


def plain(text: str) -> str:
    """Text with vulgar fractions spelled out and dashes, slashes and spaces made plain.

    A vulgar fraction gets a space before it: ``2½`` becomes ``2 1/2``, never ``21/2``.
    """
    out = []
    for char in text.translate(_DASHES).translate(_SLASHES).translate(_SPACES):
        spelled = unicodedata.normalize("NFKC", char) if ord(char) > 127 else char
        if "\u2044" in spelled:
            out.append(" " + spelled.replace("\u2044", "/"))
        else:
            out.append(char)
    return re.sub(r" +", " ", "".join(out)).strip()


def has_range(text: str) -> bool:
    """Whether plain text holds a range such as ``2-3`` or ``2 to 3`` (``1-1/2`` is not one)."""
    return _RANGE.search(_MIXED_HYPHEN.sub("0", text)) is not None


def read_number(match: re.Match[str], said: str, *, thousands: bool = False) -> float:
    """Value of one match of `NUMBER`.

    Parameters
    ----------
    match : re.Match
        A match of `NUMBER`.
    said : str
        The whole text as the person wrote it, for messages.
    thousands : bool, default False
        Read ``1,500`` as one thousand five hundred; without it that spelling is asked.

    Raises
    ------
    InputError
        A zero denominator, a number that can be read in two ways, or a badly grouped one.
    """
    if match["whole"]:
        top, bottom = int(match["top"]), int(match["bottom"])
        if bottom == 0 or top >= bottom:
            raise InputError(
                f"{said!r} has a whole number beside {top}/{bottom}",
                "a fraction less than one beside a whole number, such as 1 1/2",
                "Write it as one decimal number if you meant something else",
            )
        return int(match["whole"]) + top / bottom
    if match["num"]:
        return _fraction(match["num"], match["den"], said)
    return _decimal(match["decimal"], said, thousands=thousands)


def _fraction(num: str, den: str, said: str) -> float:
    bottom = int(den)
    if bottom == 0:
        raise InputError(f"{said!r} divides by zero", "a fraction such as 3/4")
    for cut in range(1, len(num)):
        top = int(num[cut:])
        if 0 < top < bottom and num[cut] != "0" and int(num[:cut]) > 0:
            mixed = f"{num[:cut]} {num[cut:]}/{den}"
            raise InputError(
                f"{num}/{den} in {said!r} can be read in two ways",
                "",
                f"{mixed!r} ({int(num[:cut]) + top / bottom:.4g}) "
                f"or '{int(num) / bottom:.4g}' ({num} over {den})?",
            )
    return int(num) / bottom


def _decimal(digits: str, said: str, *, thousands: bool) -> float:
    points, commas = digits.count("."), digits.count(",")
    if points and commas:  # the later mark is the decimal one: 1,234.5 and 1.234,5
        group, mark = (",", ".") if digits.rfind(".") > digits.rfind(",") else (".", ",")
        head, _, tail = digits.rpartition(mark)
        if mark not in head and _grouped(head.split(group)):
            return float(head.replace(group, "") + "." + tail)
    elif points == 1 or not commas:
        if points <= 1:
            return float(digits)
    elif commas == 1:
        head, _, tail = digits.partition(",")
        if len(tail) != _GROUP or head in {"", "0"}:
            return float(f"{head or 0}.{tail}")
        if thousands:
            return float(head + tail)
        raise InputError(
            f"{digits!r} in {said!r} can be read in two ways",
            "",
            f"'{head}{tail}' or '{head}.{tail}'?",
        )
    elif _grouped(digits.split(",")):
        return float(digits.replace(",", ""))
    raise InputError(f"{digits!r} in {said!r} is not a number", "12, 1.5, 1,5, 3/4, 1 1/2, 1½")


def _grouped(parts: list[str]) -> bool:
    return 1 <= len(parts[0]) <= _GROUP and all(len(part) == _GROUP for part in parts[1:])
