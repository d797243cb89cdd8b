"""Fuel in a cook's words: its own unit first, weight behind; green, seasoned, kiln dried."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stallwise.ground.formats import format_temperature, format_temperature_difference
from stallwise.ground.scales import POUND_KG
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.result import Result, Spread
from stallwise.joins.tables import Table
from stallwise.joins.ways.levers import lever_rows
from stallwise.joins.words import hours

__all__ = [
    "bulk",
    "fuel_table",
    "logged_table",
    "stock_words",
    "swing_words",
    "units_words",
    "visit_words",
]

_LOG = "your log"
_LAST_TIME = "vents last time"
#: So little of a unit is not counted in it.
_LEAST = 0.4
#: From so many on they are counted whole.
_WHOLE = 3.0


def count_words(count: float, *, up: bool = False) -> str:
    """``22``, ``1 1/2``: whole from three on, halves below."""
    steps = 1.0 if count >= _WHOLE else 2.0
    rounded = math.ceil(count * steps - 0.02) / steps if up else round(count * steps) / steps
    whole = int(rounded)
    if rounded == whole:
        return str(max(whole, 1))
    return f"{whole} 1/2" if whole else "1/2"


def units_words(fire: FuelResult, count: float, *, up: bool = False) -> str:
    """So many of the cook's own unit: ``22 splits``, ``1/2 chimney``."""
    said = count_words(count, up=up)
    return f"{said} {fire.unit}{'' if said in {'1', '1/2'} else 's'}"


def bulk(mass_kg: float, system: str) -> str:
    """Weight as wood and charcoal are carried: whole pounds or kilograms."""
    value, unit = (mass_kg / POUND_KG, "lb") if system == "us" else (mass_kg, "kg")
    return f"{value:.0f} {unit}" if value >= _WHOLE else f"{value:.1f} {unit}"


def fuel_words(fire: FuelResult) -> str:
    """Name what burns and how dry it is: ``seasoned oak``."""
    return f"{fire.dryness.replace('-', ' ')} {fire.fuel}".strip()


def stock_words(fire: FuelResult, system: str) -> str:
    """Say what to have at hand: ``26 splits of oak at hand (40 lb)``."""
    if not fire.buy_kg:
        return ""
    count = units_words(fire, fire.units(fire.buy_kg), up=True)
    return f"{count} of {fuel_words(fire)} at hand ({bulk(fire.buy_kg, system)})"


def visit_words(fire: FuelResult) -> str:
    """How fuel goes on: ``1 split every 35 min``."""
    return f"{units_words(fire, fire.each)} every {hours(fire.interval_h.p50)}"


def swing_words(fire: FuelResult, system: str) -> str:
    """How far the pit swings between splits, and with smaller ones; empty where it is filled."""
    if fire.swing_k is None or fire.half_swing_k is None:
        return ""
    whole, half = (_degrees(one, system) for one in (fire.swing_k, fire.half_swing_k))
    return f"the pit swings some {whole}; {half} with half as much twice as often"


def _degrees(swing: Spread, system: str) -> str:
    factor, unit = (1.8, "°F") if system == "us" else (1.0, "°C")
    step = 5.0 if system == "us" else 2.0
    return f"{max(round((swing.p50 or 0.0) * factor / step), 1) * step:.0f} {unit}"


def fuel_table(result: Result) -> Table:
    """Lay out every fire: match to steady, fuel, visits, what a colder night costs."""
    many = len(result.fuel) > 1
    rows = [
        (fire.pit if many else "", *row)
        for fire in result.fuel
        for row in _rows(fire, result.units)
    ]
    return Table("Fire, four days in five", ("pit", "", "from", "middle", "to", "mind"),
                 tuple(rows), "fuel")  # fmt: skip


def logged_table(result: Result) -> Table:
    """Lay out what was written down of every fire: fuel, how often, smoke, vents; nothing forecast."""
    many = len(result.fuel) > 1
    rows = [
        (fire.pit if many else "", _whole(row[0], result), row[2], _shorter(row[4]))
        for fire in result.fuel
        for row in _logged_rows(fire, result.units)
        if row[0] != _LAST_TIME
    ]
    return Table("The fire, as written down", ("pit", "", "", "mind"), tuple(rows), "fuel")


def _rows(fire: FuelResult, system: str) -> Iterator[tuple[str, ...]]:
    def times(found: Spread) -> tuple[str, ...]:
        return tuple(hours(end) for end in (found.p10, found.p50, found.p90))

    def counts(found: Spread) -> tuple[str, ...]:
        ends = (found.p10, found.p50, found.p90)
        return tuple(
            "–" if end is None else f"{count_words(fire.units(end))} ({bulk(end, system)})"
            for end in ends
        )

    known = "your own logs" if fire.learned else "the usual of its kind"
    weighed = "" if fire.unit_weighed else f", a {fire.unit} of {_unit(fire, system)} taken"
    yield (
        "match to steady",
        *times(fire.start_h),
        ("your own logs" if fire.start_learned else "the usual of its kind"),
    )
    yield f"{fire.unit}s of {fuel_words(fire)} in all", *counts(fire.all_kg), known + weighed
    meter = "" if fire.meter is None else f"wood of which a meter reads {fire.meter:.0%}"
    yield f"{units_words(fire, fire.each)} every", *times(fire.interval_h), meter.replace("%", " %")
    if fire.swing_k is not None:
        yield (
            "pit swings",
            "",
            _degrees(fire.swing_k, system),
            "",
            (
                f"{_degrees(fire.half_swing_k or fire.swing_k, system)} with half as much twice as often"
            ),
        )
    step = format_temperature_difference(fire.colder.by_k, system)
    more = fire.colder.more_kg.p50
    if more is not None and fire.colder.start_more_h.p50 is not None:
        cost = f"{_more(fire, more, system)} more"
        later = hours(fire.colder.start_more_h.p50)
        yield (
            lever_rows()["fuel.colder"].words.format(step=step),
            "",
            cost,
            "",
            f"and {later} longer to steady; the meat takes as long",
        )
    yield from _logged_rows(fire, system)


def _more(fire: FuelResult, more_kg: float, system: str) -> str:
    """Fuel on top; by weight alone where it is less than half of the cook's own unit."""
    few = fire.units(more_kg) < _LEAST
    return bulk(more_kg, system) if few else counts_one(fire, more_kg, system)


def _logged_rows(fire: FuelResult, system: str) -> Iterator[tuple[str, ...]]:
    """Tell what the log says: fuel, how often, smoke, vents."""
    if fire.used_kg:
        yield "put on so far", "", counts_one(fire, fire.used_kg, system), "", _LOG
    if fire.burnt_kg is not None:
        yield "burnt", "", counts_one(fire, fire.burnt_kg, system), "", _LOG
    if fire.logged_rate_kg_h is not None and fire.logged_pit_c is not None:
        rate = f"{bulk(fire.logged_rate_kg_h, system)} an hour"
        every = fire.logged_interval_h
        often = "" if every is None else f"every {hours(every)}, "
        yield (
            "fed so far",
            "",
            f"{often}{rate}",
            "",
            (f"{_LOG}, the pit at {format_temperature(fire.logged_pit_c, system)}"),
        )
    if said := _smoke(fire):
        yield "clean smoke", "", said, "", _LOG
    if fire.vents:
        yield "vents", "", fire.vents, "", _LOG
    if fire.vents_before:
        yield _LAST_TIME, "", fire.vents_before, "", f"your cook of {fire.vents_date}"


def _whole(name: str, result: Result) -> str:
    """Name what was fed of a cook that is over: nothing more is to come."""
    return name.removesuffix(" so far") if result.state == "finished" else name


def _shorter(mind: str) -> str:
    return mind.removeprefix(_LOG).removeprefix(", ")


def _smoke(fire: FuelResult) -> str:
    """Say how often the smoke was clean, of all looks at it: thin, or none to be seen."""
    looks, clean = sum(fire.smoke.values()), fire.smoke.get("thin", 0) + fire.smoke.get("none", 0)
    if not looks:
        return ""
    kinds = {"thin": "thin", "none": "none to be seen", "white": "white"}
    seen = [f"{fire.smoke[kind]} {word}" for kind, word in kinds.items() if fire.smoke.get(kind)]
    return f"{clean} of {looks} look{'s' * (looks != 1)} ({', '.join(seen)})"


def counts_one(fire: FuelResult, mass_kg: float, system: str) -> str:
    """One amount: ``12 splits (18 lb)``."""
    return f"{units_words(fire, fire.units(mass_kg))} ({bulk(mass_kg, system)})"


def _unit(fire: FuelResult, system: str) -> str:
    if system == "us":
        return f"{fire.unit_kg / POUND_KG:.1f} lb"
    return f"{fire.unit_kg:.1f} kg" if fire.unit_kg >= 1.0 else f"{fire.unit_kg * 1000:.0f} g"
