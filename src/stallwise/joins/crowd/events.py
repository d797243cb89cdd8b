"""What past crowds came to: who stayed away, what a plate took, what a head cost; believed from three on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.ground.money import one_money, parse_money
from stallwise.models.crowd import Guests, need_of_all
from stallwise.models.weighed import Band, learned_band
from stallwise.record.catering import HEADINGS
from stallwise.record.schema import Cook

__all__ = ["Event", "OwnEvents", "event_of", "guests_of", "own_events"]

#: Ratios and money have no upper end of one, as shares have.
_NO_END = float("inf")


@dataclass(frozen=True)
class Event:
    """What one crowd came to, as far as it was written down.

    Attributes
    ----------
    came : int
        Heads.
    stayed_away : float or None
        Share of those invited; None where more came.
    eaten_kg, eaten_per_head_kg, plate : float or None
        Meat that was eaten, for each head [kg], and over what the table says of as many; None where
        anything that was served or came back was not weighed.
    per_head : mapping of heading to float
        Paid for each head.
    paid : float
        All of that.
    money : str
    unpaid : tuple of str
        Headings for which nothing was written down.
    """

    came: int
    stayed_away: float | None
    eaten_kg: float | None
    eaten_per_head_kg: float | None
    plate: float | None
    per_head: Mapping[str, float]
    paid: float
    money: str
    unpaid: tuple[str, ...]


@dataclass(frozen=True)
class OwnEvents:
    """Bands over past crowds, each None before three that wrote it down.

    Attributes
    ----------
    events : int
        Crowds that wrote down who came.
    stayed_away, plate : Band or None
    per_head : mapping of heading to Band
        In `money`.
    cost : Band or None
        Of a head, where every heading was written down.
    money : str
    """

    events: int = 0
    stayed_away: Band | None = None
    plate: Band | None = None
    per_head: Mapping[str, Band] | None = None
    cost: Band | None = None
    money: str = ""


def guests_of(cook: Cook, stay_away: float | None = None) -> Guests | None:
    """Guests of a cook, with the share that stays away as it says, else as given; None without any."""
    if not cook.guests:
        return None
    said = cook.quote.no_shows if cook.quote else None
    away = units.parse("fraction", said, key="no_shows") if said else (stay_away or 0.0)
    return Guests(cook.guests, cook.children, cook.hungry, cook.light, cook.no_meat, away)


def event_of(cook: Cook) -> Event | None:
    """Read what a crowd came to; None where nobody wrote down who came."""
    quote, guests = cook.quote, guests_of(cook)
    if quote is None or quote.came is None or guests is None:
        return None
    came = quote.came
    eaten = _eaten_kg(cook)
    # As many of each kind as were invited, of those who came.
    plain = Guests(guests.heads, guests.children, guests.hungry, guests.light, guests.no_meat)
    meats = len({piece.cut for piece in cook.pieces})
    usual = need_of_all(plain, meats).usual_kg * came / guests.heads
    paid = {name: parse_money(text) for name, text in quote.paid.items()}
    money = one_money(sign for _, sign in paid.values())
    return Event(
        came,
        1.0 - came / guests.heads if came <= guests.heads else None,
        eaten,
        None if eaten is None else eaten / came,
        eaten / usual if eaten is not None and usual else None,
        {name: amount / came for name, (amount, _) in paid.items()},
        sum(amount for amount, _ in paid.values()),
        money,
        tuple(name for name in HEADINGS if name not in paid and name not in quote.without),
    )


def _eaten_kg(cook: Cook) -> float | None:
    """Meat eaten of all pieces; None where one was not weighed, or nobody said what came back."""
    total = 0.0
    for piece in cook.pieces:
        if piece.mass_edible is None or piece.mass_left is None:
            return None
        there = units.parse("mass", piece.mass_edible, key="mass_edible")
        left = units.parse("mass", piece.mass_left, key="mass_left")
        if left > there:
            raise InputError(
                f"{piece.mass_left} left of piece {piece.letter}, of {piece.mass_edible}",
                "no more than there was to eat",
            )
        total += there - left
    return total


def own_events(cooks: Iterable[Cook]) -> OwnEvents:
    """Fold past crowds, as yields are: a cook that does not teach is left out, samples beside own ones too."""
    teach = [cook for cook in cooks if cook.teaches]
    own = [cook for cook in teach if not cook.sample] or teach
    found = []
    for cook in own:
        try:
            if event := event_of(cook):
                found.append(event)
        except InputError:
            continue  # two moneys, or more left than there was: `check` and its own quote tell
    try:
        money = one_money(event.money for event in found if event.per_head)
    except InputError:
        money, found = "", [_without_money(event) for event in found]
    heads: dict[str, Band] = {
        name: band
        for name in HEADINGS
        if (band := _band([e.per_head[name] for e in found if name in e.per_head]))
    }
    return OwnEvents(
        len(found),
        _band([e.stayed_away for e in found if e.stayed_away is not None], most=1.0),
        _band([e.plate for e in found if e.plate is not None]),
        heads,
        _band([e.paid / e.came for e in found if e.per_head and not e.unpaid]),
        money,
    )


def _band(values: list[float], most: float = _NO_END) -> Band | None:
    return learned_band(values, most=most)


def _without_money(event: Event) -> Event:
    return Event(
        event.came, event.stayed_away, event.eaten_kg, event.eaten_per_head_kg, event.plate, {}, 0.0,
        "", HEADINGS,
    )  # fmt: skip
