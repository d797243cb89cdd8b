"""Limits for those who cook for the public: a named food code, and tables of inspected plants."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.joins.limit.limitfacts import CookFacts
from stallwise.joins.limit.limitmade import Maker
from stallwise.joins.limit.limitpiece import PieceFacts
from stallwise.joins.limit.limitresult import LimitResult
from stallwise.joins.limit.limitsaid import beside
from stallwise.models.limitclock import oven_fits_roasts
from stallwise.models.limitcurve import is_covered
from stallwise.models.limits import held_at, kept_hot
from stallwise.models.standing import Standing
from stallwise.record.schema import Rules
from stallwise.tables.limits import figure, hold_tables

__all__ = ["named", "rules_of", "service_limits"]

#: Editions before the newer times of 2017.
_OLDER = frozenset({"1999", "2001", "2005", "2009", "2013"})
_ROASTS = frozenset({"intact", "boned and rolled"})


def rules_of(facts: CookFacts) -> Rules:
    """Take the settings of a cook, or else of its book."""
    return facts.cook.rules or facts.record.book.rules


def service_limits(facts: CookFacts, one: PieceFacts, maker: Maker) -> Iterator[LimitResult]:
    """Limits of the food code that the settings name, and of plant tables where asked for.

    Parameters
    ----------
    facts, one : CookFacts, PieceFacts
        The cook and one piece.
    maker : Maker
        Puts them into results.
    """
    rules = rules_of(facts)
    if rules.food_code and rules.jurisdiction:
        yield _cooked(one, rules, maker)
        if one.food == "whole" and (one.worked is None or one.worked <= _ROASTS):
            yield _roast(one, rules, maker)
        if one.at.off_s is not None:
            yield _held(one, rules, maker)
    elif rules.food_code or rules.jurisdiction:
        need = "jurisdiction" if rules.food_code else "edition"
        yield maker.piece("food_code", one, Standing("unknown", (need,)), "food_code_cooking")
    if rules.plant_tables:
        yield _plant(one, maker)


def named(rules: Rules) -> str:
    """Say which edition, and whose."""
    return f"edition of {rules.food_code}, {rules.jurisdiction}; the local code goes first"


def _cooked(one: PieceFacts, rules: Rules, maker: Maker) -> LimitResult:
    if one.food is None:
        return maker.piece("food_code", one, Standing("unknown", ("species",)), "food_code_cooking")
    older = "-2013" if rules.food_code in _OLDER else ""
    worked = one.worked or frozenset()
    if one.food == "poultry" or "stuffed" in worked:
        table = f"food-code-poultry{older}"
    elif one.worked is None or one.food == "ground" or worked - _ROASTS:
        table = f"food-code-worked{older}"
    else:
        table = "food-code-intact"
    standing = held_at(one.core, table, one.at)
    if one.worked is None and standing.state != "missed":
        standing = Standing("unknown", ("worked", *standing.needs), standing.seen)
    row = hold_tables()[table][0]
    return maker.piece(
        "food_code", one, standing, row.rule, limit_c=row.temperature_c, facts=[named(rules)]
    )


def _roast(one: PieceFacts, rules: Rules, maker: Maker) -> LimitResult:
    """Whole roasts by time and temperature, where the pit is an oven of that table."""
    low_c = None
    if one.pit and len(one.pit.time_s):
        allowed_k = one.pit.tolerance_k or figure("probe-air-f").si
        low_c = float(one.pit.temperature_c.min()) - allowed_k
    fits = oven_fits_roasts(one.mass_kg, low_c)
    ends_s = one.at.off_s if one.at.off_s is not None else one.at.until_s
    if fits and one.pit and not is_covered(one.pit, one.at.on_s, ends_s, figure("gap").si):
        fits = None
    first = hold_tables()["food-code-roast"][0]
    facts = [named(rules)]
    if one.worked is None:
        standing = Standing("unknown", ("worked",))
    elif fits is None:
        standing = Standing("unknown", ("mass",) if one.mass_kg is None else ("pit_readings",))
    elif not fits:
        standing = Standing("unknown", ("oven",))
        low = figure("oven-dry-large").si
        pit = beside(low_c or 0.0, low, maker.system)
        facts.append(
            f"the pit, less its thermometer's tolerance, was at {pit}, outside the ovens of this "
            "table: it cannot be used"
        )
    else:
        standing = held_at(one.core, "food-code-roast", one.at)
        if one.pit and one.pit.tolerance_k is None:
            state = "unknown" if standing.state == "met" else standing.state
            needs = (*standing.needs, "pit_check")
            standing = Standing(state, needs, standing.seen)
    return maker.piece(
        "roast_table", one, standing, first.rule, limit_c=first.temperature_c, facts=facts
    )


def _held(one: PieceFacts, rules: Rules, maker: Maker) -> LimitResult:
    line = figure("hot-hold")
    standing = kept_hot(one.core, line.si, one.at)
    return maker.piece("food_hold", one, standing, line.rule, limit_c=line.si, facts=[named(rules)])


def _plant(one: PieceFacts, maker: Maker) -> LimitResult:
    """Row of a table for inspected plants, as a reference and with what goes with it."""
    if one.food is None:
        return maker.piece("plant_table", one, Standing("unknown", ("species",)), "appendix_a")
    table = "poultry-12" if one.food == "poultry" else "appendix-a-6.5"
    first = hold_tables()[table][0]
    facts = [
        "written for inspected plants, with damp air and a time on the way up that go with it",
        "barbecue in dry heat is a gap that the guideline itself declares",
    ]
    standing = held_at(one.core, table, one.at)
    return maker.piece(
        "plant_table", one, standing, first.rule, limit_c=first.temperature_c, facts=facts
    )
