"""The night card: what hangs beside the bed while something cooks."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np

from stallwise.ground import assets, units
from stallwise.ground.ensemble import quantiles
from stallwise.joins import timing
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.fuelwords import units_words
from stallwise.joins.fire.pitplan import PitState, curve_from, pit_title
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.plan import Planned
from stallwise.joins.result import PieceResult, Step
from stallwise.joins.sheet.bedtime import sleep
from stallwise.joins.sheet.nightresult import Alarm, IfThen, NightCard
from stallwise.joins.sheet.nightsteps import Watch, looks
from stallwise.joins.sheet.pitsteps import SWITCHED_ON
from stallwise.joins.sheet.steptable import caution
from stallwise.joins.words import hours
from stallwise.tables.parameters import parameter

__all__ = ["alarm_c", "night_card"]

_HOUR_S = 3600.0
_LINES = 5
#: Alarms are set on a thermometer that takes whole steps [K]: 5 °F or 2 °C.
_STEP_K = {"us": 5.0 / 1.8, "metric": 2.0}


@dataclass(frozen=True)
class _Night:
    """A night, and what stands on the fire in it."""

    begins: dt.datetime
    ends: dt.datetime
    planned: tuple[Planned, ...]
    held: tuple[Planned, ...] = ()


def night_card(
    asked: Asked,
    seen: Foreseen,
    pieces: Sequence[PieceResult],
    fuel: Sequence[FuelResult],
    steps: Sequence[Step],
) -> NightCard | None:
    """Gather what whoever sleeps beside a fire needs: None where nothing cooks at night.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        What is asked, and its forecast.
    pieces : sequence of PieceResult
        The forecast of each piece.
    fuel : sequence of FuelResult
        Its fires.
    steps : sequence of Step
        Of its day sheet.

    Returns
    -------
    NightCard or None
        Of the first night that is not over yet.
    """
    night = _night(asked, seen)
    if night is None:
        return None
    fires = {fire.pit: fire for fire in fuel}
    letters = dict.fromkeys(_pit(one, seen) for one in night.planned)
    pits = {letter: seen.pits[letter] for letter in letters}
    alarms = (
        *(_core_alarm(seen, one) for one in night.planned),
        *(_hold_alarm(seen, one) for one in night.held),
        *(alarm for pit in pits.values() for alarm in _pit_alarms(asked, seen, pit, fires, night)),
    )
    found = tuple(alarm for alarm in alarms if alarm is not None)
    watch = Watch(night.begins, night.ends, _shifts(asked, night))
    lit = [fires[letter] for letter in pits if letter in fires]
    return NightCard(
        night.begins,
        night.ends,
        found,
        tuple(_lines(asked, pieces, night, found, fires, pits)),
        looks(watch, lit, steps, date=asked.cook.date, as_of=asked.as_of),
        watch.shifts,
        caution("carbon_monoxide").full if lit else "",
        "night",
    )


def _night(asked: Asked, seen: Foreseen) -> _Night | None:
    """Find the first night, not over yet, in which something is on the fire for a while."""
    ends = {one.piece.letter: _off(asked, seen, one) for one in seen.planned}
    first = min(seen.on.values()).astimezone(asked.zone).date()
    serves = [timing.serve_at(asked.cook, one.piece, asked.zone) for one in seen.planned]
    last = max([*ends.values(), *(at for at in serves if at is not None)])
    days = (last.astimezone(asked.zone).date() - first).days + 1
    for number in range(-1, days):
        begins, over = _hours(asked, first + dt.timedelta(days=number))
        if over <= asked.as_of:
            continue
        there = [
            one
            for one in seen.planned
            if _overlap(seen.on[one.piece.letter], ends[one.piece.letter], begins, over)
        ]
        held = [one for one in seen.planned if _held_hot(asked, one, ends, begins, over)]
        if there or held:
            return _Night(begins, over, tuple(there), tuple(held))
    return None


def _held_hot(
    asked: Asked,
    one: Planned,
    off: Mapping[str, dt.datetime],
    begins: dt.datetime,
    ends: dt.datetime,
) -> bool:
    """Whether a piece most likely lies in its box or oven for a while of the night."""
    serve = timing.serve_at(asked.cook, one.piece, asked.zone)
    if one.plan.hold.place == "counter" or one.piece.reheat or serve is None:
        return False
    return _overlap(off[one.piece.letter], serve, begins, ends)


def _overlap(on: dt.datetime, off: dt.datetime, begins: dt.datetime, ends: dt.datetime) -> bool:
    least_s = parameter("night.least").value * _HOUR_S
    return (min(off, ends) - max(on, begins)).total_seconds() >= least_s


def _hours(asked: Asked, day: dt.date) -> tuple[dt.datetime, dt.datetime]:
    """Begin of the night after `day`, and its end, as the cook says or as is usual."""
    late, early = sleep(asked.cook)
    # Who goes to bed after midnight does so on the next date.
    begins = dt.datetime.combine(day, late, asked.zone)
    if late.hour < _NOON:
        begins += dt.timedelta(days=1)
    ends = dt.datetime.combine(begins.date(), early, asked.zone)
    return begins, ends if ends > begins else ends + dt.timedelta(days=1)


_NOON = 12


def _off(asked: Asked, seen: Foreseen, one: Planned) -> dt.datetime:
    """When a piece most likely comes off."""
    made = seen.forecast.pieces[one.piece.letter]
    tender = np.asarray(made.stages["tender"])
    reached = np.isfinite(tender)
    on = seen.on[one.piece.letter].astimezone(dt.UTC)
    if not np.any(reached):
        return on + dt.timedelta(hours=parameter("forecast.horizon").value)
    middle_s = float(quantiles(tender[reached], (0.5,), made.weights[reached])[0])
    return (on + dt.timedelta(seconds=middle_s)).astimezone(asked.zone)


def _pit(one: Planned, seen: Foreseen) -> str:
    return one.piece.pit or next(iter(seen.pits))


def _called(one: Planned, seen: Foreseen) -> str:
    return f"{one.cut.name} ({one.piece.letter})" if len(seen.planned) > 1 else one.cut.name


def _core_alarm(seen: Foreseen, one: Planned) -> Alarm | None:
    """Find where the probe stands shortly before the piece is tender, on the early days."""
    made = seen.forecast.pieces[one.piece.letter]
    tender = np.asarray(made.stages["tender"])
    there = np.isfinite(tender)
    if not np.any(there):
        return None
    before_s = np.maximum(tender[there] - parameter("night.ahead").value * 60.0, 0.0)
    read = np.array(
        [
            np.interp(at, made.time_s, row)
            for at, row in zip(before_s, made.probe_c[there], strict=True)
        ]
    )
    low = float(quantiles(read, (parameter("night.alarm").value,), made.weights[there])[0])
    return Alarm(
        one.piece.letter,
        _called(one, seen),
        "core_high",
        low,
        "it may be tender within the half hour",
        "forecast",
    )


def _hold_alarm(seen: Foreseen, one: Planned) -> Alarm:
    """Set an alarm where hot food is kept at or above, for what waits in a box or an oven."""
    return Alarm(
        one.piece.letter,
        _called(one, seen),
        "core_low",
        parameter("hold.line").value,
        "into a warm oven with it, or eat it now",
        "hold.line",
    )


def _pit_alarms(
    asked: Asked,
    seen: Foreseen,
    pit: PitState,
    fires: Mapping[str, FuelResult],
    night: _Night,
) -> Iterator[Alarm]:
    """Find the ends that a fire which is looked after passes in one hour of ten."""
    zero = min(seen.on.values())
    curve = curve_from(pit.points, 0.0)
    span = [(at - zero).total_seconds() for at in (night.begins, night.ends)]
    times = np.linspace(span[0], span[1], 13)
    held = np.asarray(curve.at(times))
    fire = fires.get(pit.letter)
    swing = 0.0 if fire is None or fire.swing_k is None else (fire.swing_k.p50 or 0.0) / 2.0
    wander = parameter("pit.wander.switched" if fire is None else "pit.wander").value
    apart = NormalDist().inv_cdf(1.0 - parameter("night.alarm").value) * math.hypot(wander, swing)
    called = pit_title(pit, asked.record.pits) if len(seen.pits) > 1 else "pit"
    low, high = _WHY["switched" if pit.kind in SWITCHED_ON else "fire"]
    for kind, at_c, why in (
        ("pit_low", float(np.min(held)) - apart, low),
        ("pit_high", float(np.max(held)) + apart, high),
    ):
        yield Alarm(pit.letter, called, kind, at_c, why, "night.alarm")


#: What it means that a pit leaves its span, below and above.
_WHY = {
    "fire": ("the fire is going down", "the fire is running away"),
    "switched": ("it is off, or its door is open", "it is set too high"),
}


def _shifts(asked: Asked, night: _Night) -> tuple[tuple[str, dt.datetime, dt.datetime], ...]:
    """Who is up from when to when: as many halves of the night as there are people, three at most."""
    people = min(asked.cook.people or 0, 3)
    if people < 2:
        return ()
    start = night.begins.astimezone(dt.UTC)
    each = (night.ends.astimezone(dt.UTC) - start) / people
    cuts = [(start + number * each).astimezone(asked.zone) for number in range(people + 1)]
    return tuple((str(n + 1), cuts[n], cuts[n + 1]) for n in range(people))


@cache
def _rows() -> Mapping[str, Mapping[str, str]]:
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "night.csv")))
    return {row["key"]: row for row in rows}


def _lines(
    asked: Asked,
    pieces: Sequence[PieceResult],
    night: _Night,
    alarms: Sequence[Alarm],
    fires: Mapping[str, FuelResult],
    pits: Mapping[str, PitState],
) -> Iterator[IfThen]:
    """Five lines, the likeliest trouble first, with this night's numbers."""
    system = asked.record.book.units
    lit = [fires[letter] for letter in pits if letter in fires]
    keys = ["pit_low", "pit_high", "core_high", "fire_out", "rain"]
    if not lit:
        keys = ["pit_low", "pit_high", "core_high", "switched_off", "probe"]
    if not night.planned:
        keys = ["core_low", "switched_off", "probe"]
    elif night.held:
        keys = [*keys[:-1], "core_low"]
    first = (night.planned or night.held)[0]
    # Lines about a fire have the numbers of the fire, not those of an oven beside it.
    ranked = sorted(
        alarms, key=lambda alarm: bool(lit) and alarm.letter in pits.keys() - fires.keys()
    )
    by_kind = {alarm.kind: alarm for alarm in reversed(ranked)}
    piece = next(one for one in pieces if one.piece == first.piece.letter)
    said = {
        "low": _set(by_kind.get("pit_low"), system, -1.0),
        "high": _set(by_kind.get("pit_high"), system, 1.0),
        "reads": _reads(alarms, system),
        "line": units.format_temperature(parameter("hold.line").value, system),
        "step": units.format_temperature_difference(parameter("night.nudge").value, system),
        "hold": _hold(piece, system),
        "feed": units_words(lit[0], lit[0].each) if lit else "nothing",
        "start": hours(lit[0].start_h.p50) if lit else "",
        "rain": _rain(lit),
    }
    for key in keys[:_LINES]:
        row = _rows()[key]
        if key == "core_high" and "core_high" not in by_kind:
            row = _rows()["probe"]
        yield IfThen(row["when"].format(**said), row["then"].format(**said), f"night.{row['key']}")


def _set(alarm: Alarm | None, system: str, way: float) -> str:
    """Write the number to set, in whole steps of a thermometer, rounded outwards."""
    if alarm is None:
        return ""
    return units.format_temperature(alarm_c(alarm.temperature_c, system, way), system)


def alarm_c(temperature_c: float, system: str, way: float) -> float:
    """Round a number to set to the steps of a thermometer, 5 °F or 2 °C; down where `way` is below 0."""
    zero = -32.0 / 1.8 if system == "us" else 0.0
    steps = (temperature_c - zero) / _STEP_K[system]
    return (math.floor(steps) if way < 0.0 else math.ceil(steps)) * _STEP_K[system] + zero


def _reads(alarms: Sequence[Alarm], system: str) -> str:
    cores = [alarm for alarm in alarms if alarm.kind == "core_high"]
    if len(cores) == 1:
        return f"The meat reads {_set(cores[0], system, -1.0)}"
    return ", ".join(f"{one.letter} reads {_set(one, system, -1.0)}" for one in cores)


def _hold(piece: PieceResult, system: str) -> str:
    """Where it waits, and how long it is hot there on most days."""
    held = piece.serving
    if held is None or held.place == "counter" or held.below_line_h.p10 is None:
        return "into a box with towels"
    where = {"box": "into the box with towels", "oven": "into the warm oven"}[held.place]
    line = units.format_temperature(held.line_c, system)
    return f"{where}: above {line} for {hours(held.below_line_h.p10, minutes=15)} at least"


def _rain(lit: Sequence[FuelResult]) -> str:
    if not lit or lit[0].rate_kg_h.p50 is None:
        return ""
    share = parameter("weather.rain").value - 1.0
    return f"A wet pit takes up to a {_SHARES[round(share * 10)]} more fuel."


_SHARES = {1: "tenth", 2: "fifth", 3: "third", 4: "half", 5: "half"}
