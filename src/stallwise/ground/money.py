"""Prices as people write them: ``$3.29/lb``, ``8,50 per kg``, ``24.80 in all``.

The money has no name of its own: a sign or word that is written is kept and shown, never converted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.ground.numerals import NUMBER, plain, read_number
from stallwise.ground.quantities import said_by
from stallwise.ground.scales import MASS

__all__ = ["Price", "format_money", "parse_price"]

_PER = re.compile(r"^(?:/|per\b|a\b|an\b|the\b|each\b)\s*", re.IGNORECASE)
_ALL = re.compile(r"(?:in all|all in|in total|altogether|total|for (?:all|it|them))", re.IGNORECASE)
_EACH = re.compile(r"(?:each|apiece|a piece|per piece|/ ?piece|the piece)", re.IGNORECASE)
#: Letters of the longest money: EUR, US$.
_LONGEST = 3


@dataclass(frozen=True)
class Price:
    """What something costs.

    Attributes
    ----------
    amount : float
        In the money it was written in.
    per : {"kg", "piece", "all"}
        By weight (then `amount` is for a kilogram), for one piece, or for all of them.
    money : str
        Sign or word of the money, or empty.
    text : str
        As it was written.
    """

    amount: float
    per: str
    money: str
    text: str

    def paid(self, mass_kg: float, count: int = 1) -> float:
        """Price of so much of it, `count` alike pieces that weigh `mass_kg` together."""
        return self.amount * {"kg": mass_kg, "piece": float(count), "all": 1.0}[self.per]


def parse_price(text: str | float, *, key: str = "price") -> Price:
    """Read a price.

    Raises
    ------
    InputError
        No number, negative, words before it, or a bare number: by the pound, a piece, or in all?

    Examples
    --------
    >>> price = parse_price("$3.29/lb")
    >>> price.per, price.money, round(price.amount, 2)
    ('kg', '$', 7.25)
    >>> parse_price("24.80 in all").paid(4.0)
    24.8
    """
    said = said_by(text)
    body = plain(said)
    match = NUMBER.search(body)
    if not match:
        raise InputError(f"{said!r} for {key} holds no number", "'3.29 per lb' or '24.80 in all'")
    value = read_number(match, said)
    before, after = body[: match.start()].strip(), body[match.end() :].strip()
    if before.endswith("-"):
        raise InputError(f"{said!r} for {key} is negative", "a price of zero or more")
    if len(before) > _LONGEST:
        raise InputError(
            f"{before!r} before the number in {said!r} for {key}",
            "a sign or a word of three letters, such as '$' or 'EUR', or nothing",
        )
    money, rest = _money(before, after)
    if _ALL.fullmatch(rest):
        return Price(value, "all", money, said)
    if _EACH.fullmatch(rest):
        return Price(value, "piece", money, said)
    unit = _PER.sub("", rest).strip().rstrip(".")
    size = MASS.size(unit) if unit and unit != rest else None
    if size is None:
        raise InputError(
            f"{said!r} for {key} does not say for how much",
            "",
            f"'{value:g} per lb', '{value:g} per kg', '{value:g} each' or '{value:g} in all'?",
        )
    return Price(value / size, "kg", money, said)


def _money(before: str, after: str) -> tuple[str, str]:
    """Sign or word of the money, before the number or right after it, and what is left."""
    if before:
        return before, after
    match = re.match(r"(?P<money>[^\W\d_]{3}(?![^\W_])|[^\w\s/.,-]{1,2})\s*", after)
    if match and match["money"].casefold() not in {"per", "for", "all", "the"}:
        return match["money"], after[match.end() :]
    return "", after


def format_money(amount: float, money: str = "") -> str:
    """Show an amount to two places with the sign as it was written: ``$3.29``, ``8.50 EUR``."""
    word = money.isalpha()
    return f"{amount:.2f} {money}" if word else f"{money}{amount:.2f}"
