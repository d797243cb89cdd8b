"""Prices: the money is a sign or a short word, never what else stood before the number."""

from __future__ import annotations

import pytest

from stallwise.ground.errors import InputError
from stallwise.ground.money import format_money, parse_price


@pytest.mark.parametrize(
    ("text", "money", "per", "shown"),
    [
        ("$3.29/lb", "$", "kg", "$7.25"),
        ("US$ 8.50 per kg", "US$", "kg", "US$8.50"),
        ("8,50 EUR/kg", "EUR", "kg", "8.50 EUR"),
        ("24.80 in all", "", "all", "24.80"),
    ],
)
def test_a_price_keeps_its_sign(text, money, per, shown):
    price = parse_price(text)
    assert (price.money, price.per) == (money, per)
    assert format_money(price.amount, price.money) == shown


@pytest.mark.parametrize("text", ["paid 24.80 in all", "about $3.29/lb", "cheap, 3 each"])
def test_a_word_before_the_number_is_no_money(text):
    with pytest.raises(InputError, match="before the number"):
        parse_price(text, key="price")
