"""From guests to a purchase: what to buy of each meat, the room it takes, what is left, what it costs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.money import Price, one_money
from stallwise.joins.crowd.room import (
    Box,
    Cold,
    Serving,
    Wave,
    as_many,
    cold_room,
    most_heads,
    servings,
)
from stallwise.joins.mix.yields import CutYield, OwnYield, cut_yield
from stallwise.joins.words import area, joined
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
    """One meat to plan for.

    Attributes
    ----------
    cut : Cut
    piece_kg : float or None
        What one piece weighs as bought [kg].
    price : Price or None
    liked : float or None
        Share of those who take one meat that take this.
    """

    cut: Cut
    piece_kg: float | None = None
    price: Price | None = None
    liked: float | None = None


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
        Pieces that fit in the pits together, where their room is known.
    fits : tuple of int
        The same pit by pit.
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
    fits: tuple[int, ...]
    loads: int | None
    paid: float | None
    per_serving: float | None
    per_cooked_kg: float | None
    money: str
    printed_servings: float | None


@dataclass(frozen=True)
class CrowdPlan:
    """A purchase for guests; sums are None where a price or the room is not known.

    Attributes
    ----------
    guests, units, meats
    plate : float
        What its guests eat over what the table says, by their own events; 1 before three.
    grate_m2 : float
        Room that all pieces take side by side [m2].
    loads, most_loads : int or None
        Times the pits are filled, and how often they can be.
    most_heads : int or None
        Guests of this kind that they can feed, where these are too many.
    hire_m2 : float or None
        Grate that is missing for the rest of them, likewise [m2].
    cold : Cold
    servings : tuple of Serving
    boxes : tuple of Box
    paid, per_guest, money
    warnings
    """

    guests: Guests
    units: str
    meats: tuple[MeatPlan, ...]
    plate: float
    grate_m2: float
    loads: int | None
    most_loads: int
    most_heads: int | None
    hire_m2: float | None
    cold: Cold
    servings: tuple[Serving, ...]
    boxes: tuple[Box, ...]
    paid: float | None
    per_guest: float | None
    money: str
    warnings: tuple[CookWarning, ...]


def crowd(
    guests: Guests,
    meats: Sequence[Meat],
    *,
    own: Mapping[str, OwnYield] | None = None,
    pits: Sequence[Sequence[Grate]] = (),
    per_load: int | None = None,
    most_loads: int = 1,
    waves: Sequence[Wave] = (),
    boxes: Sequence[Box] = (),
    margin: float | None = None,
    plate: float = 1.0,
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
    pits : sequence of sequence of Grate, optional
        Room in each pit, shelf by shelf.
    per_load : int, optional
        Pieces that the pits take at once, where that is known better than their room.
    most_loads : int, default 1
        How often the pits can be filled before it is served.
    waves : sequence of Wave, optional
        Servings; one for all by default.
    boxes : sequence of Box, optional
        What it is held in.
    margin : float, optional
        Over the usual plates; the table's usual by default.
    plate : float, default 1
        What guests of this cook eat over what the table says.
    system : {"us", "metric"}
        Units to show.

    Raises
    ------
    InputError
        No meat, one meat twice, servings for other guests than there are, or a piece that the pit
        cannot hold.
    """
    if not meats:
        raise InputError(
            "no meat to plan for", "--cut, once for each meat; `stallwise cuts` lists them"
        )
    keys = [meat.cut.key for meat in meats]
    if len(set(keys)) < len(keys):
        raise InputError("one meat is named twice", "each meat once")
    _all_served(guests, waves)

    def planned(who: Guests) -> list[MeatPlan]:
        return [
            _bought(meat, who, len(meats), plate, own or {}, pits, per_load, margin)
            for meat in meats
        ]

    plans = planned(guests)
    grate_m2 = sum(plan.grate_m2 for plan in plans)
    paid, money, asked = _till(plans)
    needed = _loads(plans, per_load)
    fed = None
    if needed is not None and needed > most_loads:
        fed = most_heads(guests, lambda who: (_loads(planned(who), per_load) or 0) <= most_loads)
    served = servings(
        waves or (Wave(""),),
        guests,
        {plan.cut: plan.purchase.pieces for plan in plans},
        {plan.cut: plan.purchase.cooked_kg[1] / max(plan.purchase.pieces, 1) for plan in plans},
    )
    found = CrowdPlan(
        guests,
        system,
        tuple(plans),
        plate,
        grate_m2,
        needed,
        most_loads,
        fed,
        None if fed is None else grate_m2 - _room_used(planned, guests, fed),
        cold_room(
            sum(plan.purchase.bought_kg for plan in plans),
            max(plan.purchase.piece_kg for plan in plans),
        ),
        served,
        tuple(boxes),
        paid,
        None if paid is None else cost_per_serving(paid, guests.heads),
        money,
        (
            *(
                said
                for meat, plan in zip(meats, plans, strict=True)
                for said in _warn(meat, plan.purchase, system)
            ),
            *asked,
        ),
    )
    return replace(found, warnings=(*found.warnings, *too_much(found)))


def _all_served(guests: Guests, waves: Sequence[Wave]) -> None:
    told = sum(wave.heads or 0 for wave in waves)
    counted = bool(waves) and all(wave.heads is not None for wave in waves)
    if told > guests.heads or (counted and told < guests.heads):
        raise InputError(
            f"servings for {told} of {guests.heads} guests",
            "all of them, each at one serving",
            "Leave one serving without a number for the rest",
        )


def _room_used(planned: Callable[[Guests], list[MeatPlan]], guests: Guests, heads: int) -> float:
    return sum(plan.grate_m2 for plan in planned(as_many(guests, heads))) if heads else 0.0


def too_much(plan: CrowdPlan) -> Iterator[CookWarning]:
    """Say what does not go: more guests than the pits feed, more pans than the boxes take."""
    if plan.most_heads is not None and plan.hire_m2 is not None:
        times = "once" if plan.most_loads == 1 else f"{plan.most_loads} times"
        hire = area(plan.hire_m2, plan.units)
        yield CookWarning(
            "crowd-pits",
            f"Filled {times}, the pits feed {plan.most_heads} of {plan.guests.heads} guests: the meat "
            f"takes {plan.loads} loads. Hire a pit with {hire} of grate, or cook a load the day "
            f"before, chill it and reheat it (reheat in cook.toml); or invite {plan.most_heads}.",
        )
    room = sum(box.pans for box in plan.boxes)
    pans = sum(serving.pans for serving in plan.servings)
    if plan.boxes and pans > room:
        short = pans - room
        yield CookWarning(
            "crowd-boxes",
            f"{pans} pans, and {joined([f'{box.name} takes {box.pans}' for box in plan.boxes])}: "
            f"{short} {'is' if short == 1 else 'are'} without a place. Hire a box for {short} more, or "
            "leave what is served last wrapped in its pit or a warm oven.",
        )


def _bought(
    meat: Meat,
    guests: Guests,
    meats: int,
    plate: float,
    own: Mapping[str, OwnYield],
    pits: Sequence[Sequence[Grate]],
    per_load: int | None,
    margin: float | None,
) -> MeatPlan:
    eaten = cut_yield(meat.cut, own.get(meat.cut.key))
    piece_kg = meat.piece_kg or meat.cut.usual_mass_kg / eaten.kept
    need = cooked_need(guests, meats, liked=meat.liked, plate=plate)
    bought = purchase(need, eaten.eaten, piece_kg=piece_kg, margin=margin, low=eaten.lowest)
    return _plan(meat, bought, eaten, pits, per_load)


def _till(plans: Sequence[MeatPlan]) -> tuple[float | None, str, tuple[CookWarning, ...]]:
    """Sum over all meats, none where one has no price or two are in other money; its money; what is asked."""
    prices = [plan.paid for plan in plans if plan.paid is not None]
    try:
        money = one_money(plan.money for plan in plans)
    except InputError as error:
        return None, "", (CookWarning("price-asked", f"No sum is made: {error}"),)
    return sum(prices) if len(prices) == len(plans) else None, money, ()


def _plan(
    meat: Meat,
    bought: Purchase,
    eaten: CutYield,
    pits: Sequence[Sequence[Grate]],
    per_load: int | None,
) -> MeatPlan:
    gap_m = kitchen_value("pit_gap").value * 1e-3
    sides_m = _sides_m(meat.cut, bought.piece_kg * eaten.kept)
    each = () if per_load else _in_each(pits, sides_m, gap_m, racks=_RIBS in meat.cut.key)
    fits = per_load or sum(each) or None
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
        each,
        loads([bought.pieces], [fits]) if fits else None,
        paid,
        None if paid is None or not plates else cost_per_serving(paid, plates),
        None if paid is None or not bought.cooked_kg[1] else paid / bought.cooked_kg[1],
        meat.price.money if meat.price else "",
        table.value * bought.bought_kg / units.parse("mass", "1 lb") if table else None,
    )


def _in_each(
    pits: Sequence[Sequence[Grate]], sides_m: tuple[float, float], gap_m: float, *, racks: bool
) -> tuple[int, ...]:
    """Pieces that fit in each pit; refused where they fit in none."""
    if not pits:
        return ()
    at_once([grate for grates in pits for grate in grates], sides_m, gap_m, racks=racks)
    found = []
    for grates in pits:
        try:
            found.append(at_once(grates, sides_m, gap_m, racks=racks))
        except InputError:
            found.append(0)
    return tuple(found)


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
