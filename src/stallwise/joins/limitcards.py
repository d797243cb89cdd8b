"""What stands on the temperature sheet and on the allergen card: rows of words, nothing decided."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from stallwise.joins.limitfacts import cook_facts
from stallwise.joins.limitpiece import PieceFacts, piece_facts
from stallwise.joins.limitsaid import beside, lasting, rule_text
from stallwise.joins.scaling import scale_for
from stallwise.models.probecheck import boiling_at_c
from stallwise.record.cook import CookRecord
from stallwise.tables.limits import Minimum, allergens, figure, minimum, rule

__all__ = ["AllergenRow", "TemperatureRow", "allergen_rows", "card_words", "temperature_rows"]


@dataclass(frozen=True)
class TemperatureRow:
    """One line of the temperature sheet: whose, what it has to reach, and by which rule."""

    letter: str
    name: str
    reach: str
    rule: str


@dataclass(frozen=True)
class AllergenRow:
    """One line of the allergen card."""

    name: str
    us: str
    eu: str


def temperature_rows(record: CookRecord) -> tuple[TemperatureRow, ...]:
    """Lines of the temperature sheet: pieces, then what holds for all of them.

    Parameters
    ----------
    record : CookRecord
        The cook.
    """
    # What was logged by now does not change what has to be reached.
    until = dt.datetime.combine(record.cook.date, dt.time(), record.zone)
    facts = cook_facts(record, record.cook, until)
    system = record.book.units
    rows = []
    for piece in record.cook.pieces:
        one = piece_facts(facts, piece)
        rows += _of_piece(one, system)
    ice = _both(figure("ice-point").si, system)
    boiling = _both(boiling_at_c(facts.elevation_m), system)
    leftovers = minimum("leftovers")
    rows += [
        TemperatureRow("", "Probe in ice, in boiling water", f"{ice}, {boiling}", "Food Code 4-203.11: right to 2 °F or 1 °C"),
        TemperatureRow("", "Held hot", f"{_both(figure('hot-hold-home').si, system)} or above", rule("two_hours").words),
        TemperatureRow("", "Into the cold", rule_text("within 2 h, 1 h above 90 °F", system), rule("two_hours").words),
        TemperatureRow("", "Cooling, licensed kitchens", rule_text("135 to 70 °F in 2 h, to 41 °F in 6 h in all", system), rule("food_code_cooling").words),
        TemperatureRow("", "Leftovers, reheated", _both(leftovers.temperature_c, system), rule(leftovers.rule).words),
    ]  # fmt: skip
    return tuple(rows)


def _of_piece(one: PieceFacts, system: str) -> list[TemperatureRow]:
    letter, worked = one.piece.letter, one.worked or frozenset()
    if one.food is None:
        words = "ask your local authority: the chart does not name this animal"
        return [TemperatureRow(letter, one.name, words, "")]
    found = [("", minimum("ground" if "ground" in worked and one.food == "whole" else one.food))]
    if one.worked is None and one.food == "whole":
        found.append(("if ground: ", minimum("ground")))
    if "stuffed" in worked or one.worked is None:
        found.append(
            (
                "if stuffed, its middle: " if one.worked is None else "its stuffing: ",
                minimum("stuffing"),
            )
        )
    reach = "; ".join(f"{lead}{_reach(row, system)}" for lead, row in found)
    return [TemperatureRow(letter, one.name, reach, rule(found[0][1].rule).words)]


def _reach(row: Minimum, system: str) -> str:
    rest = f", then {lasting(row.rest_s, up=True)} of rest" if row.rest_s else ""
    return f"{_both(row.temperature_c, system)}{rest}"


def _both(value_c: float, system: str) -> str:
    """Show a temperature in both scales, the cook's own first."""
    us, metric = beside(value_c, value_c, "us"), beside(value_c, value_c, "metric")
    return f"{us} ({metric})" if system == "us" else f"{metric} ({us})"


def allergen_rows(record: CookRecord) -> tuple[AllergenRow, ...]:
    """Lines of the allergen card, one for each mix.

    Parameters
    ----------
    record : CookRecord
        With its mixes.
    """
    made = [
        scale_for(
            key,
            "1 batch",
            batch=False,
            mixes=record.mixes,
            ingredients=record.ingredients,
            measures=record.book.measures,
            system=record.book.units,
        )
        for key in dict.fromkeys(use.mix for use in record.cook.mixes)
    ]
    return tuple(AllergenRow(mix.name, mix.allergens_us, mix.allergens_eu) for mix in made)


def card_words(record: CookRecord) -> tuple[str, ...]:
    """Say what the card leaves open, and what is looked for."""
    fuels = dict.fromkeys(pit.fuel for pit in record.cook.pits if pit.fuel)
    smoke = (f"Smoked over {', '.join(fuels)}.",) if fuels else ()
    caveat = (
        "From tables of ingredients and from labels as they were typed in; nothing was analysed. "
        "Makers change what is in a jar: check every label, and ask."
    )
    return (
        caveat,
        *smoke,
        f"United States: {', '.join(allergens('us'))} ({rule('allergens_us').words}).",
        f"European Union: {', '.join(allergens('eu'))} ({rule('allergens_eu').words}).",
    )
