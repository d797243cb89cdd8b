"""Prices: the money is a sign or a short word, never what else stood before the number."""

from __future__ import annotations

import pytest

from stallwise.ground.errors import InputError
from stallwise.ground.money import format_money, one_money, parse_price


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


@pytest.mark.parametrize(
    ("text", "money", "amount", "pack"),
    [
        ("6 USD per 500 g", "USD", 12.0, "500 g"),
        ("$6 / 500 g", "$", 12.0, "500 g"),
        ("500 g for $6", "$", 12.0, "500 g"),
        ("6,00 € for 500 g", "€", 12.0, "500 g"),
        ("2 lb 8 oz = 9.07 USD", "USD", 9.07 / (2.5 * 0.45359237), "2 lb 8 oz"),
        ("$3 per 1 kg", "$", 3.0, ""),
        ("$6 per 500 g jar", "$", 12.0, "500 g"),
        ("£4 a kilo", "£", 4.0, ""),
    ],
)
def test_a_pack_has_a_price(text, money, amount, pack):
    price = parse_price(text)
    assert (price.money, price.per, price.pack) == (money, "kg", pack)
    assert price.amount == pytest.approx(amount)


def test_what_is_poured_may_be_priced_by_the_pint():
    price = parse_price("$4 per 500 ml", poured=True)
    assert (price.per, price.amount) == ("m3", pytest.approx(8000.0))
    assert price.paid(0.0, volume_m3=250e-6) == pytest.approx(2.0)
    assert [price.packs(0.0, volume) for volume in (500e-6, 501e-6)] == [1, 2]
    with pytest.raises(InputError, match="how much"):
        parse_price("$4 per 500 ml")  # meat is weighed


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("6 USD", "how much"),
        ("6 per 0 g", "nothing"),
        ("6 per pinch", "how much"),
        ("6 per 500", "how much"),
        ("-6 per 500 g", "negative"),
        ("500 g", "how much"),
        ("free", "no number"),
        ("6-7 USD per 500 g", "how much"),
    ],
)
def test_a_pack_that_cannot_be_read_is_asked(text, word):
    with pytest.raises(InputError, match=word):
        parse_price(text, poured=True)


def test_two_moneys_are_never_added():
    assert one_money(["$", "", "$"]) == "$"
    with pytest.raises(InputError, match="one money"):
        one_money(["$", "EUR"])
