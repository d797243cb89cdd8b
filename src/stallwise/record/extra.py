"""What a day takes beside meat and mixes, so that it can be bought and paid for: fuel, foil, ice."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from stallwise.record.fields import Mass, Text, collected
from stallwise.record.table import Table

__all__ = ["Extra", "Price"]


def _price(text: str) -> str:
    from stallwise.ground.money import parse_price  # late: what nobody priced costs no time

    parse_price(text, poured=True)
    return text


#: What is paid for something, as written: ``"6 USD per 500 g"``.
Price = Annotated[str, AfterValidator(collected(_price))]


class Extra(Table):
    """Fuel, foil, bread: ``{name = "charcoal", mass = "12 lb", price = "$18 per 20 lb"}``.

    Its price is by weight of `mass`, for one of `count`, or for all of it. `kind` is said of what is
    no shopping (hire, travel), of plates and napkins, and of rubs bought ready (kitchen); what is counted `a_head` is one for each guest.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    mass: Mass | None = None
    count: Annotated[int, Field(ge=1, le=10_000)] = 1
    price: Price | None = None
    kind: Literal["", "kitchen", "fuel", "hire", "travel", "disposables"] = ""
    a_head: bool = False
    note: Text | None = None
