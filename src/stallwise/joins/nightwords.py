"""The night card in words, for a terminal; paper has its own layout of the same facts."""

from __future__ import annotations

from stallwise.ground import units
from stallwise.joins.night import alarm_c
from stallwise.joins.nightresult import Alarm
from stallwise.joins.result import Result
from stallwise.joins.words import day_clock, round_clock

__all__ = ["alarm_words", "night_lines"]

_WAYS = {"core_high": ("at", -1.0), "core_low": ("below", 1.0), "pit_low": ("below", -1.0),
         "pit_high": ("above", 1.0)}  # fmt: skip


def alarm_words(alarm: Alarm, system: str) -> str:
    """One alarm to set: ``pit: below 200 °F, the fire is going down``."""
    where, way = _WAYS[alarm.kind]
    at = units.format_temperature(alarm_c(alarm.temperature_c, system, way), system)
    return f"{alarm.whose}: {where} {at}, {alarm.why}"


def night_lines(result: Result) -> list[str]:
    """Night card as lines of text; none where nothing cooks at night."""
    card = result.night
    if card is None:
        return []
    begins, ends = (day_clock(at, result.date) for at in (card.begins, card.ends))
    lines = [f"Night card, {begins} to {ends}"]
    lines += [f"  set an alarm: {alarm_words(alarm, result.units)}" for alarm in card.alarms]
    for look in card.looks:
        who = f", person {look.who}" if look.who else ""
        at = day_clock(round_clock(look.at, result.as_of), result.date)
        lines.append(f"  get up {at}: {look.what}{who}")
    lines += [f"  if: {line.when}\n    then: {line.then}" for line in card.lines]
    if card.caution:
        lines.append(f"  care: {card.caution}")
    return lines
