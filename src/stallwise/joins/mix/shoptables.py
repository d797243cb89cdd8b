"""Shopping lists, guests and costs as tables of text, one set for terminal, notebook and page."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.ground import units
from stallwise.ground.money import format_money
from stallwise.ground.scales import POUND_KG
from stallwise.joins.mix.mixresult import CostResult
from stallwise.joins.mix.packlabel import pack_words
from stallwise.joins.mix.shopping import ShopItem, ShopList
from stallwise.joins.result import Result
from stallwise.joins.tables import Table, grams
from stallwise.tables.sections import FIRE

__all__ = [
    "cost_table",
    "ends_words",
    "guest_lines",
    "left_words",
    "shop_lines",
    "shop_tables",
    "spending_table",
]


def shop_tables(found: ShopList) -> tuple[Table, ...]:
    """Lay a list out by section; what is there already comes last, for the cook to check."""
    tables = []
    for section in dict.fromkeys(item.section for item in found.items):
        here = [item for item in found.items if item.section == section and item.to_buy]
        rows = [_row(item, found.units) for item in here]
        if rows:
            tables.append(
                Table(
                    section.capitalize(),
                    ("", "buy", "or", "price", "for", "note"),
                    tuple(rows),
                    "shopping",
                )
            )
    there = [
        (item.name, f"{_mass(item.at_hand_g, found.units)} of {_mass(item.needed_g, found.units)}")
        for item in found.items
        if item.at_hand_g > 0.0
    ]
    there += [(name, _mass(value, found.units)) for name, value in found.ready.items()]
    if there:
        tables.append(Table("At hand", ("", "taken"), tuple(there), "shopping"))
    return tuple(tables)


def shop_lines(found: ShopList) -> tuple[str, ...]:
    """Say what all of it costs and what has no price; nothing where no price is known."""
    if found.paid is None:
        return ()
    said = [f"In all {format_money(found.paid, found.money)}, packs as they are sold."]
    if found.without:
        said.append(f"No price, so not counted: {'; '.join(found.without)}.")
    return tuple(said)


def _price(item: ShopItem) -> str:
    if item.bill is None:
        return ""
    said = format_money(item.bill.paid, item.bill.money)
    return f"{said} ({item.bill.packs} × {item.bill.pack})" if item.bill.packs else said


def _row(item: ShopItem, system: str) -> tuple[str, ...]:
    if item.section == FIRE:
        amount = _mass(item.buy_g, system) if item.buy_g else str(item.pieces) * (item.pieces > 1)
        return item.name, amount, item.spoons, _price(item), "; ".join(item.users), item.note
    if item.pieces:
        each = _mass(item.buy_g / item.pieces, system)
        amount = f"{item.pieces} × {each}" if item.pieces > 1 else each
        total = f"{_mass(item.buy_g, system)} in all" if item.pieces > 1 else ""
        return item.name, amount, total, _price(item), "; ".join(item.users), item.note
    poured = units.format_volume(item.volume_m3, system) if item.volume_m3 else item.spoons
    heavy = item.buy_g >= 1000.0
    amount = f"{item.buy_g / 1e3:.2f} kg" if heavy else f"{grams(item.buy_g)} g"
    return item.name, amount, poured, _price(item), "; ".join(item.users), item.note


def _mass(value_g: float, system: str) -> str:
    return units.format_mass(value_g * 1e-3, system)


def ends_words(ends: Sequence[str]) -> str:
    """Say a span by its ends, and what is alike once."""
    return f"{ends[0]} to {ends[-1]}" if ends[0] != ends[-1] else ends[0]


def left_words(left_kg: Sequence[float], system: str) -> str:
    """How much is left, or by how much it falls short; a span of both kinds says which end is which."""
    low, high = left_kg[0], left_kg[-1]
    ends = [units.format_mass(abs(mass), system) for mass in (low, high)]
    if low < 0.0 <= high and ends[0] != ends[1]:
        return f"{ends[0]} short to {ends[1]} over"
    return f"{ends_words(ends)} {'over' if high >= 0.0 else 'short'}"


def guest_lines(result: Result) -> tuple[str, ...]:
    """Hold the guests of a cook against what its pieces leave to eat."""
    seen = result.crowd
    if seen is None or None in (seen.cooked_kg.p10, seen.cooked_kg.p90):
        return ()
    need = units.format_mass(seen.need_kg[1], result.units)
    ends = [units.format_mass(seen.cooked_kg.p10 or 0.0, result.units)]
    ends.append(units.format_mass(seen.cooked_kg.p90 or 0.0, result.units))
    left = left_words((seen.left_kg.p10 or 0.0, seen.left_kg.p90 or 0.0), result.units)
    return (f"{seen.plates} plates take about {need}; there will be {ends_words(ends)}: {left}.",)


def cost_table(result: Result) -> Table:
    """Lay out what the meat of a cook costs, as bought and as eaten."""
    weight, per = ("lb", POUND_KG) if result.units == "us" else ("kg", 1.0)
    rows = [
        (
            cost.piece,
            format_money(cost.paid, cost.money),
            _bought(cost, result.units),
            units.format_mass(cost.eaten_kg, result.units),
            format_money(cost.per_eaten_kg * per, cost.money),
            "" if cost.per_serving is None else format_money(cost.per_serving, cost.money),
        )
        for cost in result.costs
    ]
    return Table(
        "What the meat costs",
        (
            "piece",
            "paid",
            "bought",
            "eaten",
            f"an eaten {weight}",
            "a guest",
        ),
        tuple(rows),
        "cost",
    )


def _bought(cost: CostResult, system: str) -> str:
    """Say what was bought, how much of it is solution, and how long before it was packed."""
    said = ["about " * (not cost.bought_weighed) + units.format_mass(cost.bought_kg, system)]
    if cost.solution_kg:
        said.append(f"{units.format_mass(cost.solution_kg, system)} of it solution")
    if cost.pack_age_days is not None:
        said.append(f"packed {pack_words(cost.pack_age_days)}")
    return ", ".join(said)


def spending_table(result: Result) -> Table:
    """Lay out what the whole day costs, as far as prices are known, and what has none."""
    seen = result.spending
    rows = []
    if seen is not None:
        weight, per = ("lb", POUND_KG) if result.units == "us" else ("kg", 1.0)
        of_kg = None if seen.per_eaten_kg is None else seen.per_eaten_kg * per
        rows = [
            (name, format_money(value, seen.money))
            for name, value in (
                ("meat", seen.meat),
                ("rubs, sauces, stock: what is used", seen.kitchen),
                ("fire, foil and the rest", seen.extras),
                ("in all", seen.paid),
                ("a guest", seen.per_serving),
                (f"an eaten {weight}", of_kg),
            )
            if value is not None
        ]
        if seen.without:
            rows.append(("no price, so not counted", "; ".join(seen.without)))
    return Table("What the day costs", ("", "paid"), tuple(rows), "cost")
