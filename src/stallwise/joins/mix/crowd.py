"""From guests to a purchase: what to buy of each meat, the room it takes, what is left, what it costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.money import Price, one_money
from stallwise.joins.mix.yields import CutYield, OwnYield, cut_yield
from stallwise.models.buying import cost_per_serving
from stallwise.models.crowd import Guests, Purchase, cooked_need, purchase
from stallwise.models.grate import Grate, at_once, loads
from stallwise.tables.catalogue import dimensions
from stallwise.tables.cut import Cut
from stallwise.tables.kitchen import kitchen_value
from stallwise.tables.portions import portion, servings_per_lb

__all__ = ["CrowdPlan", "Meat", "MeatPlan", "crowd"]

#: Cuts that cooks count by the bone.
_RIBS = "ribs"


@dataclass(frozen=True)
class Meat:
    """One meat to plan for: the cut, what one piece weighs as bought [kg], and its price, if said."""

    cut: Cut
    piece_kg: float | None = None
    price: Price | None = None


@dataclass(frozen=True)
class MeatPlan:
    """What to buy of one meat.

    Attributes
    ----------
    cut, name : str
    purchase : Purchase
    eaten : CutYield
        Yield that was taken, and where from.
    grate_m2 : float
        Room that all pieces take side by side [m2].
    at_once : int or None
        Pieces that fit in the pit together, where its room is known.
    loads : int or None
        Times it is filled with them.
    paid, per_serving, per_cooked_kg : float or None
        Price of it all, of a plate that eats meat, and of a cooked kilogram at the middle yield.
    money : str
        Sign or word of the money.
    printed_servings : float or None
        Small servings of 3 oz that a printed table gives for what is bought.
    """

    cut: str
    name: str
    purchase: Purchase
    eaten: CutYield
    grate_m2: float
    at_once: int | None
    loads: int | None
    paid: float | None
    per_serving: float | None
    per_cooked_kg: float | None
    money: str
    printed_servings: float | None


@dataclass(frozen=True)
class CrowdPlan:
    """A purchase for guests; sums are None where a price or the room is not known."""

    guests: Guests
    units: str
    meats: tuple[MeatPlan, ...]
    grate_m2: float
    loads: int | None
    paid: float | None
    per_guest: float | None
    money: str
    warnings: tuple[CookWarning, ...]


def crowd(
    guests: Guests,
    meats: Sequence[Meat],
    *,
    own: Mapping[str, OwnYield] | None = None,
    grates: Sequence[Grate] = (),
    per_load: int | None = None,
    margin: float | None = None,
    system: str = "us",
) -> CrowdPlan:
    """Plan a purchase.

    Parameters
    ----------
    guests : Guests
    meats : sequence of Meat
        One to three, each with its part of the plate.
    own : mapping of str to OwnYield, optional
        What past cooks weighed, by cut.
    grates : sequence of Grate, optional
        Room in the pit, shelf by shelf.
    per_load : int, optional
        Pieces that the pit takes at once, where that is known better than its room.
    margin : float, optional
        Over the usual plates; the table's usual by default.
    system : {"us", "metric"}
        Units to show.

    Raises
    ------
    InputError
        No meat, one meat twice, or a piece that the pit cannot hold.
    """
    if not meats:
        raise InputError(
            "no meat to plan for", "--cut, once for each meat; `stallwise cuts` lists them"
        )
    keys = [meat.cut.key for meat in meats]
    if len(set(keys)) < len(keys):
        raise InputError("one meat is named twice", "each meat once")
    need = cooked_need(guests, len(meats))
    plans, warnings = [], []
    for meat in meats:
        eaten = cut_yield(meat.cut, (own or {}).get(meat.cut.key))
        piece_kg = meat.piece_kg or meat.cut.usual_mass_kg / eaten.kept
        bought = purchase(need, eaten.eaten, piece_kg=piece_kg, margin=margin, low=eaten.lowest)
        plans.append(_plan(meat, bought, eaten, grates, per_load))
        warnings += _warn(meat, bought, system)
    grate = sum(plan.grate_m2 for plan in plans)
    paid, money, asked = _till(plans)
    return CrowdPlan(
        guests,
        system,
        tuple(plans),
        grate,
        _loads(plans, per_load),
        paid,
        None if paid is None else cost_per_serving(paid, guests.heads),
        money,
        (*warnings, *asked),
    )


def _till(plans: Sequence[MeatPlan]) -> tuple[float | None, str, tuple[CookWarning, ...]]:
    """Sum over all meats, none where one has no price or two are in other money; its money; what is asked."""
    prices = [plan.paid for plan in plans if plan.paid is not None]
    try:
        money = one_money(plan.money for plan in plans)
    except InputError as error:
        return None, "", (CookWarning("price-asked", f"No sum is made: {error}"),)
    return sum(prices) if len(prices) == len(plans) else None, money, ()


def _plan(
    meat: Meat, bought: Purchase, eaten: CutYield, grates: Sequence[Grate], per_load: int | None
) -> MeatPlan:
    gap_m = kitchen_value("pit_gap").value * 1e-3
    sides_m = _sides_m(meat.cut, bought.piece_kg * eaten.kept)
    fits = per_load
    if grates and not per_load:
        fits = at_once(grates, sides_m, gap_m, racks=_RIBS in meat.cut.key)
    paid = meat.price.paid(bought.bought_kg, bought.pieces) if meat.price else None
    plates = bought.need.plates
    table = servings_per_lb(meat.cut.key)
    return MeatPlan(
        meat.cut.key,
        meat.cut.name,
        bought,
        eaten,
        math.prod(side + gap_m for side in sides_m) * bought.pieces,
        fits,
        loads([bought.pieces], [fits]) if fits else None,
        paid,
        None if paid is None or not plates else cost_per_serving(paid, plates),
        None if paid is None or not bought.cooked_kg[1] else paid / bought.cooked_kg[1],
        meat.price.money if meat.price else "",
        table.value * bought.bought_kg / units.parse("mass", "1 lb") if table else None,
    )


def _sides_m(cut: Cut, on_kg: float) -> tuple[float, float]:
    """Width and length of one piece as it goes on [m]."""
    span = cut.mass
    sizes = dimensions(cut, min(max(on_kg, span.smallest), span.largest))
    _, half_width, half_length = sizes.half_m
    return 2.0 * half_width, 2.0 * half_length


def _loads(plans: Sequence[MeatPlan], per_load: int | None) -> int | None:
    """How often the pit is filled; pieces of several meats share it."""
    pieces = [plan.purchase.pieces for plan in plans]
    if per_load:
        return loads([sum(pieces)], [per_load])
    fits = [plan.at_once for plan in plans if plan.at_once]
    return loads(pieces, fits) if len(fits) == len(plans) else None


def _warn(meat: Meat, bought: Purchase, system: str) -> list[CookWarning]:
    said = []
    if bought.left_kg[0] < -1e-9:
        short = units.format_mass(-bought.left_kg[0], system)
        said.append(
            CookWarning(
                f"short-{meat.cut.key}",
                f"{meat.cut.name}: if it leaves the least, {short} are short of the usual plates.",
            )
        )
    if _RIBS in meat.cut.key:
        bones = portion("bones_usual")
        said.append(
            CookWarning(
                f"bones-{meat.cut.key}",
                f"{meat.cut.name}: counted by weight. By the bone, {bones.low:g} to {bones.high:g} a "
                "guest are usual, half as many beside another meat (common practice).",
            )
        )
    return said
