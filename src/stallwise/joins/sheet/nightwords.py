"""The night card in words, for a terminal; paper has its own layout of the same facts."""

from __future__ import annotations

from stallwise.ground import units
from stallwise.joins.result import Result
from stallwise.joins.sheet.night import alarm_c
from stallwise.joins.sheet.nightresult import Alarm, Look
from stallwise.joins.sheet.readers import people_words
from stallwise.joins.words import day_clock

__all__ = ["alarm_at", "look_clock", "names_of", "night_lines"]

_WAYS = {"core_high": ("at", -1.0), "core_low": ("below", 1.0), "pit_low": ("below", -1.0),
         "pit_high": ("above", 1.0)}  # fmt: skip


def alarm_at(alarm: Alarm, system: str) -> str:
    """Where an alarm is set: ``below 200 °F``."""
    where, way = _WAYS[alarm.kind]
    at = units.format_temperature(alarm_c(alarm.temperature_c, system, way), system)
    return f"{where} {at}"


def look_clock(look: Look, result: Result) -> str:
    """When somebody gets up."""
    return day_clock(look.at, result.date)


def names_of(who: str, result: Result) -> str:
    """Name whoever is up: as the cook calls them, or a pair of hands."""
    return people_words(who.split(), result)


def night_lines(result: Result) -> list[str]:
    """Night card as lines of text; none where nothing cooks at night."""
    card = result.night
    if card is None:
        return []
    begins, ends = (day_clock(at, result.date) for at in (card.begins, card.ends))
    lines = [f"Night card, {begins} to {ends}"]
    lines += [
        f"  set an alarm: {alarm.whose}: {alarm_at(alarm, result.units)}, {alarm.why}"
        for alarm in card.alarms
    ]
    for look in card.looks:
        who = f" ({names_of(look.who, result)})" if look.who else ""
        lines.append(f"  get up {look_clock(look, result)}: {look.what}{who}")
    for line in card.lines:
        lines += [f"  if: {line.when}", f"    then: {line.then}"]
    if card.caution:
        lines.append(f"  care: {card.caution}")
    return lines
