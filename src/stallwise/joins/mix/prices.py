"""What a cook pays for things: one place for prices of ingredients and cuts, none for what has none."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import CookWarning, NotFoundError
from stallwise.ground.money import Price, parse_price
from stallwise.joins.fire.fuelling import fuel_named
from stallwise.joins.mix.mixing import mix_shelf
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Book
from stallwise.tables.catalogue import cuts
from stallwise.tables.cut import Cut
from stallwise.tables.ingredient import Ingredient, density_g_per_ml, volume_of_m3
from stallwise.tables.mix import Pantry

__all__ = ["Bill", "Prices", "bill", "bill_of", "book_prices", "cut_prices", "price_list"]


@dataclass(frozen=True)
class Prices:
    """Prices by key of the ingredient or cut, and what has to be asked about those written down."""

    by_key: Mapping[str, Price]
    asked: tuple[CookWarning, ...] = ()


@dataclass(frozen=True)
class Bill:
    """What an amount costs: as it is used, and in whole packs as it is sold.

    Attributes
    ----------
    used, paid : float
        In `money`.
    packs : int
        How many; 0 where any amount is weighed out.
    pack : str
        What one holds, as written.
    money : str
        Sign or word of it.
    """

    used: float
    paid: float
    packs: int
    pack: str
    money: str


def price_list(book: Book, shelf: Pantry, cuts: Mapping[str, Cut]) -> Prices:
    """Gather the prices of a cookbook.

    Parameters
    ----------
    book : Book
        ``[prices]`` of ``cookbook.toml``; they win over ``price`` in an ingredient's own file.
    shelf : Pantry
    cuts : mapping of str to Cut
        Shipped ones and the cook's own.
    """
    found = {
        row.key: parse_price(row.price, poured=True)
        for row in shelf.ingredients.values()
        if row.price
    }
    asked = []
    for name, text in book.prices.items():
        price, cut = parse_price(text, poured=True), _cut_key(name)
        try:
            key = cut if cut in cuts else shelf.ingredient(name).key
        except NotFoundError as error:
            fuel = "fuel is priced where it is bought, under [[extras]] in cook.toml"
            said = f"[prices] {name} in cookbook.toml: {fuel if fuel_named(name) else error}"
            asked.append(CookWarning("price-asked", said))
            continue
        if cut not in cuts and price.per not in {"kg", "m3"}:
            said = f"[prices] {name} = {text!r} does not say for how much: '6 USD per 500 g'?"
            asked.append(CookWarning("price-asked", said))
            continue
        found[key] = price
    for key in [key for key, price in found.items() if price.per == "m3" and key not in cuts]:
        item = shelf.ingredient(key)
        if density_g_per_ml(item) is None:
            del found[key]
            said = (
                f"{item.name} is priced by volume, and nobody knows what a spoon of it weighs: "
                'weighed = "1 tbsp = 8.2 g" in its file, or a price by weight.'
            )
            asked.append(CookWarning("price-asked", said))
    return Prices(found, tuple(asked))


def cut_prices(said: Mapping[str, str], cuts: Collection[str]) -> dict[str, Price]:
    """Prices of ``[prices]`` that are of one of these cuts."""
    return {
        key: parse_price(text, poured=True)
        for name, text in said.items()
        if (key := _cut_key(name)) in cuts
    }


def _cut_key(name: str) -> str:
    return name.strip().casefold().replace(" ", "-")


def book_prices(record: CookRecord) -> Prices:
    """Prices of the cookbook of a cook."""
    known = cuts(record.cuts) if record.book.prices else {}
    return price_list(record.book, mix_shelf(record), known)


def bill(item: Ingredient, grams: float, prices: Prices) -> Bill | None:
    """Price of a mass of an ingredient; None where it has none."""
    price = prices.by_key.get(item.key)
    if price is None or price.per not in {"kg", "m3"}:
        return None
    return bill_of(price, grams * 1e-3, volume_of_m3(item, grams) or 0.0)


def bill_of(price: Price, mass_kg: float, volume_m3: float = 0.0, count: int = 1) -> Bill:
    """Price of an amount, and of the whole packs that hold it."""
    used, packs = price.paid(mass_kg, count, volume_m3), price.packs(mass_kg, volume_m3)
    paid = price.amount * price.pack_si * packs if packs else used
    return Bill(used, paid, packs, price.pack, price.money)
