"""The fires of a cook: what they will take, and what a logged one tells of its pit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.joins import timing
from stallwise.joins.fire.fuelling import (
    Burnt,
    burnt,
    day_of,
    dryness,
    feeds,
    fire_of,
    fuel_name,
    has_fire,
    left_kg,
    of_pit,
    unit_kg,
)
from stallwise.joins.fire.fuelresult import ColderNight, FuelResult
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.fire.vents import vents_before, vents_now
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.plan import Planned
from stallwise.joins.serving import spread
from stallwise.joins.ways.levers import lever_rows
from stallwise.models.combustion import dry_basis
from stallwise.models.fire import Day, Fire, FuelForecast, fuel_forecast, usual_start_s
from stallwise.models.firelesson import FireSeen
from stallwise.record.log import LogLine
from stallwise.record.schema import Piece
from stallwise.tables.parameters import parameter

__all__ = ["fire_logged", "fires", "fires_seen"]

_HOUR_S = 3600.0
#: Counted in these a fire is fed bit by bit; in others the pit is filled.
_FED = frozenset({"split", "chunk"})
_SHORTEST_S = 60.0


def fires(asked: Asked, seen: Foreseen) -> tuple[FuelResult, ...]:
    """Forecast every fire of a cook, by pit.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        What is asked, and its forecast.
    """
    found = []
    for letter, pit in seen.pits.items():
        stays = [(one, *_stay(asked, seen, one, letter)) for one in seen.planned]
        those = [(one, begins, until) for one, begins, until in stays if begins is not None]
        day, _ = day_of(asked.cook, asked.lines)
        if has_fire(pit) and those and pit.points[0][1] > _warmest(day):
            found.append(_fire(asked, seen, pit, those, day))
    return tuple(found)


def _warmest(day: Day) -> float:
    return max(day.ambient_c, parameter("wood.usual").value)


def _stay(
    asked: Asked, seen: Foreseen, one: Planned, letter: str
) -> tuple[dt.datetime | None, NDArray[np.float64]]:
    """When a piece goes into a pit, and how long after that it leaves it [s], on each day."""
    on = seen.on[one.piece.letter]
    moves = timing.moves(asked.cook, one.piece, asked.lines, asked.zone, seen.pits)
    goes = [(on, one.piece.pit or next(iter(seen.pits))), *((at, to) for at, to, _ in moves)]
    done_s = np.array(seen.forecast.pieces[one.piece.letter].stages["tender"], dtype=np.float64)
    off = [line.at for line in asked.lines if _is_gone(line, one.piece, seen.pits)]
    if off:
        done_s = np.minimum(done_s, (min(off) - on).total_seconds())
    for (at, pit), (until, _) in zip(goes, [*goes[1:], (None, "")], strict=True):
        if pit == letter:
            begins_s = (at - on).total_seconds()
            ends_s = done_s if until is None else np.minimum(done_s, (until - on).total_seconds())
            return at, np.maximum(ends_s - begins_s, _SHORTEST_S)
    return None, done_s


def _is_gone(line: LogLine, piece: Piece, pits: Collection[str]) -> bool:
    """Whether a piece is off, or in an oven that is no pit of the cook."""
    to = line.data.get("to") if line.what == "moved" and timing.concerns(line, piece) else None
    return timing.ends(line, piece) or (bool(to) and to not in pits)


def _fire(
    asked: Asked,
    seen: Foreseen,
    pit: PitState,
    those: Sequence[tuple[Planned, dt.datetime, NDArray[np.float64]]],
    day: Day,
) -> FuelResult:
    book, lines = asked.record.book, of_pit(asked.lines, asked.cook, pit.letter)
    fire = fire_of(asked.cook, pit, book, asked.record.pits, lines)
    first = min(begins for _, begins, _ in those)
    ends_s = np.max(
        [until + (begins - first).total_seconds() for _, begins, until in those], axis=0
    )
    learned = asked.knowledge.pits.get(pit.name, {})
    curve = curve_from(pit.points, (first - min(seen.on.values())).total_seconds())
    kilos = sum(one.mass_kg * one.piece.count for one, _, _ in those)

    def burn(weather: Day) -> FuelForecast:
        return fuel_forecast(
            fire, weather, curve, ends_s,
            meat_kg=kilos, seed=asked.seed, members=asked.members, learned=learned,
        )  # fmt: skip

    made, weights = burn(day), seen.forecast.pieces[those[0][0].piece.letter].weights
    by_k = lever_rows()["fuel.colder"].step(book.units)
    cold = burn(Day(day.ambient_c - by_k, day.wind_m_s, rain=day.rain))
    one_kg = unit_kg(fire.unit, book)
    each, interval_s = _visit(fire, made, one_kg)
    all_kg = made.warm_up_kg + made.cook_kg
    visits = _visits(first, ends_s, float(np.median(interval_s)), weights, asked)
    fed = fire.unit in _FED
    before, day_before = vents_before(asked.record, pit.name, pit.points[0][1])
    return FuelResult(
        pit=pit.letter,
        name=asked.record.pits[pit.name].name if pit.name in asked.record.pits else pit.name,
        kind=pit.kind,
        fuel=fuel_name(asked.cook, pit, fire),
        dryness=dryness(asked.cook, pit),
        meter=_meter(fire),
        unit=fire.unit,
        unit_kg=one_kg,
        unit_weighed=fire.unit_kg is not None,
        learned=f"pit.loss.{fire.row}" in learned,
        start_learned=f"pit.start.{fire.row}" in learned,
        outside_c=day.ambient_c,
        start_h=spread(made.start_s, weights, _HOUR_S),
        warm_up_kg=spread(made.warm_up_kg, weights),
        cook_kg=spread(made.cook_kg, weights),
        all_kg=spread(all_kg, weights),
        rate_kg_h=spread(made.rate_kg_s * _HOUR_S, weights),
        interval_h=spread(interval_s, weights, _HOUR_S),
        each=each,
        first_visit=visits[0] if visits else None,
        last_visit=visits[-1] if visits else None,
        visits=visits,
        swing_k=spread(made.swing_k, weights) if fed else None,
        half_swing_k=spread(made.half_swing_k, weights) if fed else None,
        buy_kg=_enough(all_kg, weights),
        **fire_logged(asked, those[0][0], seen.on, pit),
        colder=ColderNight(
            by_k,
            spread(cold.warm_up_kg + cold.cook_kg - all_kg, weights),
            spread(cold.start_s - made.start_s, weights, _HOUR_S),
        ),
        vents_before=before,
        vents_date=day_before,
    )


def fire_logged(
    asked: Asked, one: Planned, on: Mapping[str, dt.datetime], pit: PitState
) -> dict[str, Any]:
    """Tell what was written down of a fire until as-of: fields of a `FuelResult` by name.

    Parameters
    ----------
    asked : Asked
        What is asked: the cook with its lines.
    one : Planned
        A piece in the pit.
    on : mapping of letter to datetime
        When each piece goes on.
    pit : PitState
    """
    book, lines = asked.record.book, of_pit(asked.lines, asked.cook, pit.letter)
    fire = fire_of(asked.cook, pit, book, asked.record.pits, lines)
    used = sum(feed.kg for feed in feeds(lines, fire, book))
    left = [line for line in lines if line.what == "fuel_left"]
    rate, every_h, mean_c = _fed(asked, on, fire, one, pit)
    return {
        "used_kg": used,
        "burnt_kg": used - left_kg(left[-1], used, fire, book) if left else None,
        "logged_rate_kg_h": rate,
        "logged_interval_h": every_h,
        "logged_pit_c": mean_c,
        "smoke": {
            kind: sum(line.data.get("smoke") == kind for line in lines if line.what == "smoke")
            for kind in ("white", "thin", "none")
        },
        "vents": vents_now(lines),
    }


def _fed(
    asked: Asked, on: Mapping[str, dt.datetime], fire: Fire, one: Planned, pit: PitState
) -> tuple[float | None, float | None, float | None]:
    """Tell how the fire was fed so far: kilograms an hour, time between feedings [h], the pit [°C]."""
    span = burnt(of_pit(asked.lines, asked.cook, pit.letter), fire, asked.record.book, asked.as_of)
    if span is None or span.ends <= span.begins:
        return None, None, None
    long_h = (span.ends - span.begins).total_seconds() / _HOUR_S
    every_h = long_h / span.feedings if span.feedings else None
    return span.kg / long_h, every_h, _mean_c(one, on, span, pit, min(on.values()))


def _meter(fire: Fire) -> float | None:
    """Say what a meter would read of its wood; of seasoned wood where nothing is said."""
    if fire.fuel != "hardwood":
        return None
    usual = parameter("fuel.hardwood.moisture").value
    return float(dry_basis(usual if fire.moisture is None else fire.moisture))


def _enough(all_kg: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    """Fuel that is enough on most days; on a day without an end, of the days that have one."""
    finite = np.isfinite(all_kg)
    share = parameter("fuel.buy").value
    if not np.any(finite):
        return 0.0
    return float(quantiles(all_kg[finite], (share,), weights[finite] / np.sum(weights[finite]))[0])


def _visit(fire: Fire, made: FuelForecast, one_kg: float) -> tuple[float, NDArray[np.float64]]:
    """How many units go on at a visit, and the time between two visits [s] on each day."""
    if fire.unit in _FED or f"pit.holds.{fire.row}" not in _HOLDS:
        return float(made.together), made.split_interval_s
    filled = parameter(f"pit.holds.{fire.row}").value * parameter("fuel.top_up").value
    count = max(round(filled / one_kg * 2.0) / 2.0, 0.5)
    return count, count * one_kg / made.rate_kg_s


_HOLDS = frozenset({"pit.holds.closed", "pit.holds.water-pan", "pit.holds.fan"})


def _visits(
    first: dt.datetime,
    ends_s: NDArray[np.float64],
    every_s: float,
    weights: NDArray[np.float64],
    asked: Asked,
) -> tuple[dt.datetime, ...]:
    """When fuel goes on, until so shortly before the usual end that what is in still lasts."""
    finite = np.isfinite(ends_s)
    if not np.any(finite):
        return ()
    end_s = float(quantiles(ends_s[finite], (0.5,), weights[finite])[0])
    lasts = 1.0 - parameter("fuel.top_up").value
    count = int(max(end_s - lasts * every_s, 0.0) // every_s)
    start = first.astimezone(dt.UTC)
    return tuple(
        (start + dt.timedelta(seconds=number * every_s)).astimezone(asked.zone)
        for number in range(1, count + 1)
    )


def fires_seen(
    asked: Asked,
    planned: Sequence[Planned],
    on: Mapping[str, dt.datetime],
    pits: Mapping[str, PitState],
) -> Iterator[FireSeen]:
    """Look at every fire of a finished cook as it was logged; for `firelesson.fire_lesson`.

    Parameters
    ----------
    asked : Asked
        What is asked: the cook with its lines.
    planned, on, pits
        As `foresight.plan_pieces` takes and gives them.
    """
    hour_zero = min(on.values())
    for letter, pit in pits.items():
        lines = of_pit(asked.lines, asked.cook, letter)
        there = [one for one in planned if (one.piece.pit or next(iter(pits))) == letter]
        if not has_fire(pit) or not there or not lines:
            continue
        fire = fire_of(asked.cook, pit, asked.record.book, asked.record.pits, lines)
        day, known = day_of(asked.cook, lines)
        ends = [line.at for line in asked.lines for one in there if timing.ends(line, one.piece)]
        last = max(ends, default=max(line.at for line in lines))
        span = burnt(lines, fire, asked.record.book, last)
        lit = min((line.at for line in lines if line.what == "fire_lit"), default=None)
        steady = min((line.at for line in lines if line.what == "pit_steady"), default=None)
        start_s = (steady - lit).total_seconds() if lit and steady and steady > lit else None
        start_c = pit.points[0][1]
        mean = start_c if span is None else _mean_c(there[0], on, span, pit, hour_zero)
        if span is not None and span.from_cold and start_c > _warmest(day):
            # On its way up it was half as hot as it came to be.
            rising_s = start_s or usual_start_s(fire, day, start_c)
            rise = (1.0 - parameter("fuel.warm_up_rise").value) * (start_c - day.ambient_c)
            mean -= rise * min(rising_s / (span.ends - span.begins).total_seconds(), 1.0)
        yield FireSeen(
            fire,
            day,
            known,
            0.0 if span is None else span.kg,
            0.0 if span is None else span.doubt,
            0.0 if span is None else (span.ends - span.begins).total_seconds(),
            mean,
            sum(one.mass_kg * one.piece.count for one in there),
            span is not None and span.from_cold,
            start_s,
            start_c,
        )


def _mean_c(
    one: Planned,
    on: Mapping[str, dt.datetime],
    span: Burnt,
    pit: PitState,
    hour_zero: dt.datetime,
) -> float:
    """Mean of the pit over a span: as read, else as planned and set."""
    facts = one.plan.facts
    zero = hour_zero if facts is None or facts.pit is None else on[one.piece.letter]
    curve = curve_from(pit.points, 0.0) if facts is None or facts.pit is None else facts.pit
    begins_s, ends_s = ((at - zero).total_seconds() for at in (span.begins, span.ends))
    return float(curve.integral(ends_s) - curve.integral(begins_s)) / (ends_s - begins_s)
