"""What a whole day costs: meat, what rubs and sauces take of their jars, fuel and foil."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.money import one_money, parse_price
from stallwise.joins.fire.fuelling import fuel_named
from stallwise.joins.mix.mixresult import CostResult, SpendingResult
from stallwise.joins.mix.prices import Bill, Prices, bill, bill_of
from stallwise.joins.plan import Planned
from stallwise.joins.sheet.pitsteps import SWITCHED_ON
from stallwise.models.buying import cost_per_serving
from stallwise.record.extra import Extra
from stallwise.record.schema import Cook
from stallwise.tables.mix import Pantry
from stallwise.tables.sections import TAP, section_of

__all__ = ["extra_bill", "spending"]

#: What is bought for a wrap.
_WRAPS = {"foil": "foil", "boat": "foil", "paper": "butcher paper"}
#: Less than this is a last digit [g].
_NOTHING_G = 0.05


def spending(
    cook: Cook,
    planned: Sequence[Planned],
    costs: Sequence[CostResult],
    takes_g: Mapping[str, float],
    shelf: Pantry,
    prices: Prices,
) -> tuple[SpendingResult | None, tuple[CookWarning, ...]]:
    """Add up what a cook costs; None where nothing has a price.

    Parameters
    ----------
    cook : Cook
    planned : sequence of Planned
    costs : sequence of CostResult
        Of the pieces that have a price.
    takes_g : mapping of str to float
        What the mixes take of each ingredient [g].
    shelf : Pantry
    prices : Prices

    Returns
    -------
    SpendingResult or None, tuple of CookWarning
        And what has to be asked: two kinds of money are never added up.
    """
    meat = [(cost.paid, cost.money) for cost in costs]
    with_price = {cost.piece for cost in costs}
    without = [one.cut.name for one in planned if one.piece.letter not in with_price]
    kitchen = []
    for key, grams in takes_g.items():
        if grams < _NOTHING_G or section_of(key) == TAP:
            continue
        item = shelf.ingredient(key)
        priced = bill(item, grams, prices)
        if priced is None:
            without.append(item.name)
        else:
            kitchen.append((priced.used, priced.money))
    extras = []
    for extra in cook.extras:
        of_it = extra_bill(extra, cook.guests)
        if of_it is None:
            without.append(extra.name)
        else:
            extras.append((of_it.used, of_it.money))
    every = [*meat, *kitchen, *extras]
    if not every:
        return None, ()
    without += _unsaid(cook, planned)
    try:
        money = one_money(word for _, word in every)
    except InputError as error:
        return None, (CookWarning("price-asked", f"What the day costs is not added up: {error}"),)
    total = sum(paid for paid, _ in every)
    heads = (cook.guests or 0) - cook.no_meat
    eaten_kg = sum(cost.eaten_kg for cost in costs)
    return SpendingResult(
        money=money,
        meat=_sum(meat),
        kitchen=_sum(kitchen),
        extras=_sum(extras),
        paid=total,
        per_serving=cost_per_serving(total, heads) if heads > 0 else None,
        # Meat without a price is eaten too, and would make the rest look cheap.
        per_eaten_kg=total / eaten_kg if eaten_kg and len(costs) == len(planned) else None,
        without=tuple(dict.fromkeys(without)),
    ), ()


def _unsaid(cook: Cook, planned: Sequence[Planned]) -> list[str]:
    """Name fuel and what pieces are wrapped in where nobody wrote down a thing of that sort."""
    said = [extra.name.casefold() for extra in cook.extras]
    burns = not cook.pits or any(pit.kind not in SWITCHED_ON for pit in cook.pits)
    told = any(fuel_named(name) for name in said)
    wraps = dict.fromkeys(_WRAPS.get(one.plan.wrap.kind, "") for one in planned)
    bare = [wrap for wrap in wraps if wrap and not any(wrap in name for name in said)]
    return ["fuel"] * (burns and not told) + bare


def _sum(part: Sequence[tuple[float, str]]) -> float | None:
    return sum(paid for paid, _ in part) if part else None


def extra_bill(extra: Extra, guests: int | None) -> Bill | None:
    """Price of fuel, foil and the like; None where it has none, or by a weight or guests nobody said."""
    if extra.price is None or (extra.a_head and not guests):
        return None
    price = parse_price(extra.price, poured=True)
    if price.per == "m3" or (price.per == "kg" and not extra.mass):
        return None
    mass_kg = units.parse("mass", extra.mass, key="mass") if extra.mass else 0.0
    return bill_of(price, mass_kg, count=extra.count * ((guests or 1) if extra.a_head else 1))
