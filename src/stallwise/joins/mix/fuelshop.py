"""Fuel to buy for cooks that are planned: what their fires take on nine days in ten, less what is there."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins.fire.fires import fires
from stallwise.joins.fire.fuelling import fuel_named, unit_kg
from stallwise.joins.fire.fuelwords import fuel_words, units_words
from stallwise.joins.foresight import foresee, question
from stallwise.models.fire import UNITS
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Book

__all__ = ["FuelNeed", "fuel_at_hand", "fuel_needs"]

_COUNTED = re.compile(rf"(\d+(?:[.,]\d+)?)\s*({'|'.join(UNITS)})s?", re.IGNORECASE)
#: A list is made at the latest so long before the day.
_BEFORE = dt.timedelta(hours=36)


@dataclass(frozen=True)
class FuelNeed:
    """Fuel of one cook's fire [kg], in its own unit too."""

    key: str
    name: str
    kg: float
    units_words: str
    user: str


def fuel_at_hand(name: str, text: str, book: Book) -> tuple[str, float] | None:
    """Fuel that is there [kg], as ``"20 lb"`` or ``"14 splits"``; None where it is no fuel.

    Raises
    ------
    InputError
        The amount is neither a weight nor a count of what fuel is counted in.
    """
    key = fuel_named(name)
    if key is None:
        return None
    counted = _COUNTED.fullmatch(text.strip())
    if counted:
        return key, float(counted[1].replace(",", ".")) * unit_kg(counted[2].casefold(), book)
    return key, units.parse("mass", text, key=f"at_hand {name}")


def fuel_needs(records: Iterable[CookRecord]) -> Iterator[FuelNeed]:
    """Work out what the fires of planned cooks take, one a fire.

    A cook whose own list of extras names the fuel keeps to that.
    """
    for record in records:
        named = any(fuel_named(extra.name) for extra in record.cook.extras)
        if record.state == "finished" or named:
            continue
        day = dt.datetime.combine(record.cook.date, dt.time(), record.zone)
        asked = question(record, made_at=day - _BEFORE)
        for fire in fires(asked, foresee(asked)):
            if fire.buy_kg:
                yield FuelNeed(
                    "charcoal" if fire.fuel == "charcoal" else "hardwood",
                    fuel_words(fire),
                    fire.buy_kg,
                    units_words(fire, fire.units(fire.buy_kg), up=True),
                    record.cook.title,
                )
