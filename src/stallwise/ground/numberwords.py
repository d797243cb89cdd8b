"""Numbers written as words at the head of an amount: two, half a, a quarter of a, one and a half."""

from __future__ import annotations

import re

__all__ = ["as_digits"]

_WHOLE = {
    word: number
    for number, word in enumerate(
        [
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
        ],
        1,
    )
}
_PARTS = {
    "half": "1/2",
    "third": "1/3",
    "quarter": "1/4",
    "eighth": "1/8",
    "two thirds": "2/3",
    "three quarters": "3/4",
}
_DIGITS = {**{word: str(number) for word, number in _WHOLE.items()}, **_PARTS}
_OF = r"(?:\s+of)?(?:\s+an?)?(?=\s)"
_PART = "|".join(sorted(map(re.escape, _PARTS), key=len, reverse=True))
_AND_PART = re.compile(rf"^(?P<whole>{'|'.join(_WHOLE)})\s+and\s+(?:an?\s+)?(?P<part>{_PART}){_OF}")
_PART_ALONE = re.compile(rf"^(?:an?\s+|one\s+)?(?P<part>{_PART}){_OF}")
_WHOLE_ALONE = re.compile(rf"^(?P<whole>{'|'.join(_WHOLE)})(?=\s)")
_ARTICLE = re.compile(r"^an?(?=\s+\D)")
_BEFORE_NUMBER = re.compile(rf"^an?\s+(?=\d|(?:{'|'.join(_WHOLE)})\s)")


def as_digits(text: str) -> str:
    """Turn a number word at the head of plain text into digits; other text stays as it is.

    Examples
    --------
    >>> as_digits("two tablespoons"), as_digits("half a cup"), as_digits("three quarters of a cup")
    ('2 tablespoons', '1/2 cup', '3/4 cup')
    >>> as_digits("a 4-lb piece"), as_digits("a cup")
    ('4-lb piece', '1 cup')
    """
    low = text.casefold()
    if len(low) != len(text):  # a letter that folds to two: nobody writes an amount with it
        return text
    if match := _BEFORE_NUMBER.match(low):
        return as_digits(text[match.end() :])
    for pattern in (_AND_PART, _PART_ALONE, _WHOLE_ALONE, _ARTICLE):
        if match := pattern.match(low):
            said = match.groupdict()
            digits = [_DIGITS[word] for word in (said.get("whole"), said.get("part")) if word]
            return f"{' '.join(digits) or 1}{text[match.end() :]}"
    return text
