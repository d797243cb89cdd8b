"""The quote of a cook: what it takes, what it costs, what a head of it is; and afterwards what it came to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.ground.money import one_money, parse_money
from stallwise.joins.crowd.events import Event, OwnEvents, event_of, guests_of
from stallwise.joins.crowd.leftovers import with_leftovers
from stallwise.joins.crowd.quotetakes import (
    BoxRoom,
    QuoteMeat,
    box_rooms,
    cold,
    eaten_kg,
    fullest,
    meats,
    present_h,
    served,
)
from stallwise.joins.crowd.room import Cold
from stallwise.joins.fire.fuelling import fuel_named
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.mix.prices import Bill
from stallwise.joins.mix.spending import extra_bill
from stallwise.joins.result import Result
from stallwise.joins.sheet.dayresult import PitLoad
from stallwise.models.crowd import Guests, need_of_all
from stallwise.models.quote import Sums, summed
from stallwise.record.catering import HEADINGS, Quote
from stallwise.record.cook import CookRecord
from stallwise.record.extra import Extra
from stallwise.record.schema import Cook

__all__ = ["CrowdQuote", "QuoteLine", "quote"]


@dataclass(frozen=True)
class QuoteLine:
    """One heading: what it costs, None where nothing is known; whether it is own figures of past crowds; in words."""

    heading: str
    amount: float | None
    own: bool
    words: str


@dataclass(frozen=True)
class CrowdQuote:
    """A quote.

    Attributes
    ----------
    cook, title, date, units : str, str, date, str
    guests : Guests
        With the share that stays away; `plates` of them with meat are reckoned with.
    need_kg : float
        Cooked meat on usual plates [kg].
    eaten_kg : tuple of float
        What there will be, 1 day in 10, middle, and 9 in 10 [kg].
    servings : tuple of (datetime, tuple of str)
        When, and which pieces.
    meats : tuple of QuoteMeat
    cold : Cold
    boxes : tuple of BoxRoom
    loads : tuple of PitLoad
        Each pit with shelves at its fullest.
    fires : tuple of FuelResult
        What to have at hand for each.
    hands_h, present_h : float
        Hours that hands are bound by the day sheet, all people together; from the first step at the
        place to the last.
    people : int or None
    pit_names : mapping of str to str
        By letter.
    lines : tuple of QuoteLine
    sums : Sums
    margin : float or None
        As said; None for none, which is no margin of nothing.
    money : str
    quoted : float or None
        For a head, as it was given out.
    own : OwnEvents
    event : Event or None
        What it came to.
    warnings : tuple of CookWarning
    """

    cook: str
    title: str
    date: dt.date
    units: str
    guests: Guests
    need_kg: float
    eaten_kg: tuple[float, float, float]
    servings: tuple[tuple[dt.datetime, tuple[str, ...]], ...]
    meats: tuple[QuoteMeat, ...]
    cold: Cold
    boxes: tuple[BoxRoom, ...]
    loads: tuple[PitLoad, ...]
    fires: tuple[FuelResult, ...]
    hands_h: float
    present_h: float
    people: int | None
    pit_names: Mapping[str, str]
    lines: tuple[QuoteLine, ...]
    sums: Sums
    margin: float | None
    money: str
    quoted: float | None
    own: OwnEvents
    event: Event | None
    warnings: tuple[CookWarning, ...]


def quote(record: CookRecord, result: Result, own: OwnEvents | None = None) -> CrowdQuote:
    """Make the quote of a cook.

    Parameters
    ----------
    record : CookRecord
        With guests, and its terms under ``[quote]``.
    result : Result
        The cook as answered: its sheet, fires and costs are the quote's.
    own : OwnEvents, optional
        What past crowds came to.

    Raises
    ------
    InputError
        Nobody says how many guests; two kinds of money.
    """
    cook, own = record.cook, own or OwnEvents()
    terms = cook.quote or Quote()
    away = own.stayed_away.middle if own.stayed_away else None
    guests = guests_of(cook, away)
    if guests is None:
        raise InputError(
            f"{record.name} does not say for how many", "guests = 90 in its cook.toml",
            "Or lay one out: stallwise crowd --guests 90 --cut … --start TITLE",
        )  # fmt: skip
    hands_h = sum(step.hands_s for step in result.steps) / 3600.0
    lines, money = _lines(cook, result, terms, own, guests, hands_h)
    margin = units.parse("fraction", terms.margin, key="margin") if terms.margin else None
    plate = own.plate.middle if own.plate else 1.0
    need = need_of_all(guests, len({piece.cut for piece in cook.pieces}), plate=plate)
    there_kg = eaten_kg(result)
    quoted = parse_money(terms.quoted)[0] if terms.quoted else None
    found = CrowdQuote(
        cook=record.name,
        title=cook.title,
        date=cook.date,
        units=record.book.units,
        guests=guests,
        need_kg=need.usual_kg,
        eaten_kg=there_kg,
        servings=served(result),
        meats=tuple(meats(cook, result, guests, plate)),
        cold=cold(cook, result),
        boxes=tuple(box_rooms(record, result)),
        loads=tuple(fullest(result)),
        fires=result.fuel,
        hands_h=hands_h,
        present_h=present_h(result),
        people=cook.people,
        pit_names=result.pit_names,
        lines=lines,
        sums=summed({line.heading: line.amount for line in lines}, guests.heads, margin or 0.0),
        margin=margin,
        money=money,
        quoted=quoted,
        own=own,
        event=event_of(with_leftovers(cook, record.log)),
        warnings=(),
    )
    return _with_warnings(found, result)


def _with_warnings(found: CrowdQuote, result: Result) -> CrowdQuote:
    said = list(result.warnings)
    low, need = found.eaten_kg[0], found.need_kg
    if low < need:
        short = units.format_mass(need - low, found.units)
        said.append(
            CookWarning(
                "quote-short",
                f"On one day in ten {short} are short of the usual plates: one more piece, or fewer "
                "guests.",
            )
        )
    for meat in found.meats if low >= need else ():
        if meat.eaten_kg[0] < meat.need_kg:
            gap = units.format_mass(meat.need_kg - meat.eaten_kg[0], found.units)
            text = f"On one day in ten {gap} of {meat.name} are short of what guests take of it."
            said.append(CookWarning("quote-short-of", text))
    price = found.sums.least_per_head
    if found.quoted is not None and price > found.quoted * (1.0 + 1e-9):
        said.append(
            CookWarning("quote-more", "It costs more by now than the price that was given out.")
        )
    return replace(found, warnings=tuple(said))


def _lines(
    cook: Cook, result: Result, terms: Quote, own: OwnEvents, guests: Guests, hands_h: float
) -> tuple[tuple[QuoteLine, ...], str]:
    """Lay out every heading that this crowd has, with its amount where it is known."""
    known = _known(cook, result, terms, guests, hands_h)
    signs = [sign for _, sign, _ in known.values() if sign]
    money = one_money([*signs, own.money])
    found = []
    for heading in HEADINGS:
        if heading in terms.without or (heading == "other" and heading not in known):
            continue
        amount, _, words = known.get(heading, (None, "", ""))
        band = (own.per_head or {}).get(heading)
        mine = amount is None and band is not None
        if mine and band is not None:
            amount = band.middle * guests.heads
            words = f"your own {band.count} crowds, a head"
        found.append(QuoteLine(heading, amount, mine, words))
    return tuple(found), money


def _known(
    cook: Cook, result: Result, terms: Quote, guests: Guests, hands_h: float
) -> dict[str, tuple[float | None, str, str]]:
    """Amount, money and words of each heading that anything is said of."""
    found: dict[str, tuple[float | None, str, str]] = {}
    spent, bare = result.spending, {cost.piece for cost in result.costs}
    priced = all(piece.piece in bare for piece in result.pieces)
    if spent and spent.meat is not None:
        found["meat"] = (spent.meat if priced else None, spent.money, "as bought")
    if result.mixes:
        found["kitchen"] = _kitchen(result)
    for extra in cook.extras:
        heading = extra.kind or ("fuel" if fuel_named(extra.name) else "other")
        bill = extra_bill(extra, guests.heads)
        was, sign, words = found.get(heading, (0.0, "", ""))
        if heading == "kitchen" and words in _OF_MIXES:  # what is said of all of it stands for it
            was, words = 0.0, ""
        # One of several without a price leaves the heading blank.
        amount = None if bill is None or was is None else was + bill.used
        name = _counted(extra, bill)
        found[heading] = (
            amount,
            sign or (bill.money if bill else ""),
            f"{words}, {name}" if words else name,
        )
    if terms.wage:
        wage, sign = parse_money(terms.wage)
        hours = (
            units.parse("duration", terms.hours, key="hours") / 3600.0 if terms.hours else hands_h
        )
        told = "as said" if terms.hours else "hands of the day sheet alone"
        found["work"] = (wage * hours, sign, f"{hours:.3g} h at {terms.wage}, {told}")
    return found


#: Words of what the mixes come to.
_USED, _UNPRICED = "of rubs and sauces what is used", "something in them has no price"
_OF_MIXES = frozenset({_USED, _UNPRICED})


def _kitchen(result: Result) -> tuple[float | None, str, str]:
    """Price of all that the mixes take; None where anything in them has none."""
    spent = result.spending
    names = {line.name for mix in result.mixes for line in mix.lines}
    if spent is None or spent.kitchen is None or names & set(spent.without):
        return None, "", _UNPRICED
    return spent.kitchen, spent.money, _USED


def _counted(extra: Extra, bill: Bill | None) -> str:
    return extra.name if bill else f"{extra.name} (no price)"
