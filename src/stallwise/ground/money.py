"""Prices as people write them: ``$3.29/lb``, ``8,50 per kg``, ``6 USD per 500 g``, ``24.80 in all``.

The money has no name of its own: a sign or word that is written is kept and shown, never converted.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from stallwise.ground.amounts import parse_amount
from stallwise.ground.errors import InputError
from stallwise.ground.numerals import NUMBER, plain, read_number
from stallwise.ground.quantities import said_by

__all__ = ["Price", "format_money", "one_money", "parse_money", "parse_price"]

_PER = re.compile(r"^(?:/|(?:per|for|a|an|the|each)\b)\s*", re.IGNORECASE)
#: The pack first: ``500 g for $6``.
_PACK_FIRST = re.compile(
    r"(?P<pack>.+?)\s*(?:\b(?:for|at|costs?)\b|=|:)\s*(?P<price>.+)", re.IGNORECASE
)
_ALL = re.compile(r"(?:in all|all in|in total|altogether|total|for (?:all|it|them))", re.IGNORECASE)
_EACH = re.compile(r"(?:each|apiece|a piece|per piece|/ ?piece|the piece)", re.IGNORECASE)
#: ``6/500 g`` is no fraction; ``1/2 lb`` may be one and is asked.
_SLASH = re.compile(r"(\d)\s*/\s*(?!(?:[2348]|16)\b)(\d[\d.,]*\s*[^\W\d_])")
#: What a pack is, after how much it holds: ``24 oz jar``.
_HOLDS = re.compile(
    r"\s+(?:jar|bottle|bag|box|tin|can|tub|carton|pack|packet|shaker)s?$", re.IGNORECASE
)
#: Letters of the longest money: EUR, US$.
_LONGEST = 3


@dataclass(frozen=True)
class Price:
    """What something costs.

    Attributes
    ----------
    amount : float
        In the money it was written in.
    per : {"kg", "m3", "piece", "all"}
        By weight (then `amount` is for a kilogram), by volume (a cubic metre), for one piece, or for
        all of them.
    money : str
        Sign or word of the money, or empty.
    text : str
        As it was written.
    pack : str
        What is bought at once, as it was written (``500 g``); empty where any amount is weighed out.
    pack_si : float
        The same [kg or m3]; 0 for none.
    """

    amount: float
    per: str
    money: str
    text: str
    pack: str = ""
    pack_si: float = 0.0

    def paid(self, mass_kg: float, count: int = 1, volume_m3: float = 0.0) -> float:
        """Price of so much of it, `count` alike pieces that weigh `mass_kg` together."""
        sizes = {"kg": mass_kg, "m3": volume_m3, "piece": float(count), "all": 1.0}
        return self.amount * sizes[self.per]

    def packs(self, mass_kg: float, volume_m3: float = 0.0) -> int:
        """Whole packs that hold so much; 0 where it is not sold in packs."""
        there = mass_kg if self.per == "kg" else volume_m3
        return math.ceil(there / self.pack_si - 1e-9) if self.pack_si else 0


def parse_price(text: str | float, *, key: str = "price", poured: bool = False) -> Price:
    """Read a price.

    Parameters
    ----------
    text : str or float
    key : str
        For messages.
    poured : bool, default False
        It may be by volume.

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
    >>> price = parse_price("6 USD per 500 g")
    >>> price.amount, price.money, price.pack, price.packs(0.6)
    (12.0, 'USD', '500 g', 2)
    """
    said = said_by(text)
    body = _price_first(_SLASH.sub(r"\1 per \2", plain(said)))
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
    pack = _PER.sub("", rest).strip().rstrip(".")
    pack = _HOLDS.sub("", pack) if NUMBER.match(pack) else pack
    if not pack or pack == rest:
        raise _how_much(said, key, value)
    return _by_pack(pack, said, key, value, money, poured=poured)


def parse_money(text: str | float, *, key: str = "money") -> tuple[float, str]:
    """Read an amount of money that is all there is to pay, and its sign or word.

    Raises
    ------
    InputError
        No number, negative, or a price by weight.

    Examples
    --------
    >>> parse_money("$140"), parse_money("140.50 EUR")
    ((140.0, '$'), (140.5, 'EUR'))
    """
    said = said_by(text).strip()
    price = parse_price(said if _ALL.search(said) else f"{said} in all", key=key)
    if price.per != "all":
        raise InputError(f"{said!r} for {key}", "an amount of money: '$140', '140 EUR'")
    return price.amount, price.money


def _price_first(body: str) -> str:
    """Turn ``500 g for $6`` round."""
    turned = _PACK_FIRST.fullmatch(body)
    if not turned or not NUMBER.search(turned["price"]):
        return body
    try:
        parse_amount(turned["pack"])
    except InputError:
        return body
    return f"{turned['price']} per {turned['pack']}"


def _by_pack(pack: str, said: str, key: str, value: float, money: str, *, poured: bool) -> Price:
    counted = NUMBER.match(pack)
    try:
        size = parse_amount(pack if counted else f"1 {pack}", key=key)
    except InputError as error:
        raise _how_much(said, key, value) from error
    if size.kind not in ({"mass", "volume"} if poured else {"mass"}):
        raise _how_much(said, key, value)
    if size.si <= 0.0:
        raise InputError(f"{said!r} for {key} is for nothing", "a pack that holds something")
    per = "kg" if size.kind == "mass" else "m3"
    if not counted or size.value == 1.0:
        return Price(value / size.si, per, money, said)
    return Price(value / size.si, per, money, said, pack, size.si)


def _how_much(said: str, key: str, value: float) -> InputError:
    return InputError(
        f"{said!r} for {key} does not say for how much",
        "",
        f"'{value:g} per lb', '{value:g} per kg', '{value:g} per 500 g', '{value:g} each' or "
        f"'{value:g} in all'?",
    )


def _money(before: str, after: str) -> tuple[str, str]:
    """Sign or word of the money, before the number or right after it, and what is left."""
    if before:
        return before, after
    match = re.match(r"(?P<money>[^\W\d_]{3}(?![^\W_])|[^\w\s/.,-]{1,2})\s*", after)
    if match and match["money"].casefold() not in {"per", "for", "all", "the"}:
        return match["money"], after[match.end() :]
    return "", after


def one_money(words: Iterable[str]) -> str:
    """Sign or word that several amounts share; one that names none goes along.

    Raises
    ------
    InputError
        Two kinds of money, which are never added up.
    """
    named = list(dict.fromkeys(word for word in words if word))
    if len(named) > 1:
        raise InputError(f"prices in {' and in '.join(named)}", "one money", "Write them in one")
    return named[0] if named else ""


def format_money(amount: float, money: str = "") -> str:
    """Show an amount to two places with the sign as it was written: ``$3.29``, ``8.50 EUR``."""
    word = money.isalpha()
    return f"{amount:.2f} {money}" if word else f"{money}{amount:.2f}"
