"""Forecast of a cook with its starts: what is asked, and plans, forecast and starts that agree."""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import units
from stallwise.ground.errors import OutOfRangeError
from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece, chances, start_up_s
from stallwise.joins.fire.firebreak import put_off, tried_trouble, with_fire_out
from stallwise.joins.fire.fuelling import day_of, fire_of, has_fire, of_pit
from stallwise.joins.fire.holdplace import with_hold_places
from stallwise.joins.fire.pitplan import PitState, pit_states
from stallwise.joins.learn.knowledge import knowledge_before
from stallwise.joins.learn.widening import drawn_out
from stallwise.joins.limit.limitpiece import is_poultry
from stallwise.joins.parameters import resolve, run_settings
from stallwise.joins.plan import Planned, piece_cut, plan_piece
from stallwise.joins.result import Chance
from stallwise.joins.sheet.chilling import chill_s
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.sheet.tablework import Cutting, table_work
from stallwise.joins.sheet.thawing import thawed_at
from stallwise.joins.words import ODDS
from stallwise.models.fire import usual_start_s
from stallwise.models.forecast import Forecast, PieceForecast, forecast_pieces
from stallwise.models.pit import PIT_RANGE
from stallwise.models.plan import Knowledge
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook, Piece
from stallwise.tables.parameters import parameter

__all__ = [
    "Asked",
    "Foreseen",
    "foresee",
    "pit_start_s",
    "plan_pieces",
    "question",
    "sheet_pieces",
]

_SEED, _MEMBERS = 1, 200
_FIVE_S = 300
#: A running cook whose last line is older than this was not written to its end.
_STALE = dt.timedelta(hours=24)

#: Hour at which meat goes on when neither a start nor a serving time is known.
_NOMINAL_START = dt.time(9, 0)
#: Starts and forecast agree after one or two rounds; more would chase five minutes.
_AGREE = 4


@dataclass(frozen=True)
class Asked:
    """What is asked: the cook with changes laid over it, and what was logged by then."""

    record: CookRecord
    cook: Cook
    zone: ZoneInfo
    as_of: dt.datetime
    made_at: dt.datetime
    lines: tuple[LogLine, ...]
    knowledge: Knowledge
    seed: int
    members: int


@dataclass(frozen=True)
class Foreseen:
    """Plans, forecast and starts that belong together."""

    planned: tuple[Planned, ...]
    forecast: Forecast
    on: Mapping[str, dt.datetime]
    pits: Mapping[str, PitState]
    chances: Mapping[str, tuple[Chance, ...]]


def question(
    record: CookRecord,
    *,
    made_at: dt.datetime,
    as_of: dt.datetime | None = None,
    changes: Mapping[str, Any] | None = None,
    knowledge: Knowledge | None = None,
    seed: int = _SEED,
) -> Asked:
    """Put a question together: the cook as changed, the moment, and what was logged by then.

    Parameters
    ----------
    record, made_at, as_of, changes, knowledge, seed
        As for `answer.answer`.
    """
    run = run_settings(changes or {})
    if as_of is None:
        finished = record.state == "finished" or _is_stale(record, made_at)
        as_of = (timing.hour_zero_logged(record) if finished else None) or made_at
    lines = (*timing.seen(record, as_of), *tried_trouble(changes or {}, as_of))
    return Asked(
        record,
        put_off(with_hold_places(resolve(record.cook, changes), record.pits), lines, record.zone),
        record.zone,
        as_of,
        made_at,
        lines,
        knowledge or knowledge_before(record),
        run.get("seed", seed),
        run.get("members", _MEMBERS),
    )


def _is_stale(record: CookRecord, made_at: dt.datetime) -> bool:
    last = max((line.at for line in record.log), default=made_at)
    return made_at - last > _STALE


def foresee(asked: Asked) -> Foreseen:
    """Forecast, with starts that are computed where neither log nor plan gives one.

    A start that is computed moves a climbing pit's plan and a move's clock time in that piece's
    own hours, so starts and forecast are brought to agree, a few times at most.
    """
    fixed = {
        piece.letter: timing.logged_on(asked.lines, piece)
        or timing.planned_on(asked.cook, piece, asked.zone)
        for piece in asked.cook.pieces
    }
    known = [on for on in fixed.values() if on is not None]
    guess = min(known) if known else _nominal(asked)
    seen = _forecast(asked, {letter: was or guess for letter, was in fixed.items()})
    for _ in range(_AGREE):
        on = {
            letter: was or _not_past(asked, seen, letter, _chosen(seen.chances[letter]) or guess)
            for letter, was in fixed.items()
        }
        if on == seen.on:
            return seen
        if not _depends_on_starts(asked, seen, on):
            return dataclasses.replace(seen, on=on)
        seen = _forecast(asked, on)
    return seen


def _not_past(asked: Asked, seen: Foreseen, letter: str, start: dt.datetime) -> dt.datetime:
    """Start that has passed, or that finds it frozen: as soon as a fire and thawed meat can be had."""
    planned = next(one for one in seen.planned if one.piece.letter == letter)
    serve = timing.serve_at(asked.cook, planned.piece, asked.zone)
    if serve is not None and asked.as_of >= serve:
        return start
    soonest = start
    if start < asked.as_of and (serve is not None or _today(asked)):
        soonest = dt.datetime.fromtimestamp(
            asked.as_of.timestamp() + _fire_s(asked, seen, planned.piece), asked.zone
        )
    # Of a cook that is over nobody begins to thaw: what was on the pit had thawed.
    thawed = (
        None
        if asked.record.state == "finished"
        else thawed_at(
            asked.cook, planned.piece, planned.mass_kg, as_of=asked.as_of, zone=asked.zone
        )
    )
    if thawed is not None:
        board_s = sum(step_row(kind).usual_s for kind in ("trim", "rub"))
        soonest = max(soonest, thawed + dt.timedelta(seconds=board_s))
    if soonest == start:
        return start
    return dt.datetime.fromtimestamp(math.ceil(soonest.timestamp() / _FIVE_S) * _FIVE_S, asked.zone)


def _today(asked: Asked) -> bool:
    """Whether a plan without a serving time is for now, and not an old one looked at again."""
    return asked.record.state == "planned" and asked.as_of.astimezone(asked.zone).date() == (
        asked.cook.date
    )


def _fire_s(asked: Asked, seen: Foreseen, piece: Piece) -> float:
    """Time until there is a fire [s], from now on."""
    if any(line.what in {"fire_lit", "pit_steady"} for line in asked.lines):
        return 0.0
    pit = seen.pits[piece.pit] if piece.pit else next(iter(seen.pits.values()))
    names = {each.letter: each.name for each in seen.pits.values()}
    return start_up_s(pit.letter, pit_start_s(asked, seen.pits), names)


def _depends_on_starts(asked: Asked, seen: Foreseen, on: Mapping[str, dt.datetime]) -> bool:
    """Whether other starts would be another forecast: clock times, or a shifting pit plan."""
    if any(piece.moves for piece in asked.cook.pieces) or asked.lines:
        return True
    steady = all(len({temp for _, temp in pit.points}) == 1 for pit in seen.pits.values())
    return not steady and _apart(on) != _apart(seen.on)


def _apart(on: Mapping[str, dt.datetime]) -> dict[str, dt.timedelta]:
    first = min(on.values())
    return {letter: at - first for letter, at in on.items()}


def plan_pieces(
    asked: Asked, on: Mapping[str, dt.datetime]
) -> tuple[tuple[Planned, ...], Mapping[str, PitState]]:
    """Plan every piece for its start, in the order of the cook; with the pits they stand in.

    Parameters
    ----------
    asked : Asked
        What is asked.
    on : mapping of letter to datetime
        When each piece goes on.
    """
    hour_zero = min(on.values())
    first_cut = piece_cut(asked.record, asked.cook.pieces[0])
    pits = pit_states(
        asked.cook.pits,
        asked.record.pits,
        asked.lines,
        hour_zero=hour_zero,
        usual_c=first_cut.pit_c,
    )
    _possible(pits, asked.record.book.units)  # before its fire is reckoned
    start_s = pit_start_s(asked, pits)
    pits = {
        letter: with_fire_out(pit, asked.cook, asked.lines, hour_zero, asked.as_of, start_s)
        for letter, pit in pits.items()
    }
    made = tuple(
        plan_piece(
            asked.record,
            asked.cook,
            piece,
            pits=pits,
            lines=asked.lines,
            on_at=on[piece.letter],
            hour_zero=hour_zero,
            as_of=asked.as_of,
            zone=asked.zone,
        )
        for piece in asked.cook.pieces
    )
    return _with_table_work(asked, made), pits


def _possible(pits: Mapping[str, PitState], system: str) -> None:
    """Refuse a pit that no cooker can be, in the cook's units."""
    for pit in pits.values():
        for _, pit_c in pit.points:
            if not PIT_RANGE.holds(pit_c):
                came, low, high = (
                    units.format_temperature(each, system)
                    for each in (pit_c, PIT_RANGE.lowest, PIT_RANGE.highest)
                )
                raise OutOfRangeError(
                    f"pit {pit.name} at {came}",
                    f"{low} to {high}, {PIT_RANGE.because}",
                    "Look at its temperatures and their units",
                )


def _with_table_work(asked: Asked, made: Sequence[Planned]) -> tuple[Planned, ...]:
    """Lay over what people have to do between rest and plate: shared, one thing at a time."""
    work = table_work(
        asked.cook,
        [
            Cutting(
                one.piece,
                one.mass_kg,
                one.carve_s if one.piece.carve else one.cut.carve_s,
                bool(one.piece.carve),
                timing.serve_at(asked.cook, one.piece, asked.zone),
                one.finish == "pull",
            )
            for one in made
        ],
    )
    return tuple(
        dataclasses.replace(one, carve_s=table.carve_s, table=table)
        for one in made
        for table in [work[one.piece.letter]]
    )


def _forecast(asked: Asked, on: Mapping[str, dt.datetime]) -> Foreseen:
    planned, pits = plan_pieces(asked, on)
    forecast = forecast_pieces(
        [each.plan for each in planned],
        seed=asked.seed,
        members=asked.members,
        knowledge=asked.knowledge,
    )
    forecast = drawn_out(forecast, [each.plan for each in planned], factor=asked.knowledge.widening)
    seen = Foreseen(planned, forecast, on, pits, {})
    found = chances(
        sheet_pieces(asked, seen),
        chosen=asked.cook.odds,
        odds=ODDS,
        pit_start_s=pit_start_s(asked, pits),
        pit_names={letter: pit.name for letter, pit in pits.items()},
    )
    return dataclasses.replace(seen, chances=found)


def sheet_pieces(asked: Asked, seen: Foreseen) -> tuple[SheetPiece, ...]:
    """Gather what odds and day sheet need of each piece."""
    return tuple(
        SheetPiece(
            piece=planned.piece,
            name=planned.cut.name,
            finish=planned.finish,
            sign=planned.cut.finish(planned.finish).sign,
            on_at=seen.on[planned.piece.letter],
            tender_s=seen.forecast.pieces[planned.piece.letter].stages["tender"],
            bark_s=seen.forecast.pieces[planned.piece.letter].stages["bark_set"],
            wrapped_s=seen.forecast.pieces[planned.piece.letter].stages["wrapped"],
            weights=seen.forecast.pieces[planned.piece.letter].weights,
            rest_s=planned.rest_s,
            carve_s=planned.carve_s,
            table=planned.table,
            cold_s=_cold_s(planned, seen.forecast.pieces[planned.piece.letter]),
            length_m=2.0 * planned.plan.body.half_length_m,
            width_m=2.0 * planned.plan.body.half_width_m,
            thickness_m=2.0 * planned.plan.body.half_thickness_m,
            serve_at=timing.serve_at(asked.cook, planned.piece, asked.zone),
            wrap_kind=planned.plan.wrap.kind,
            wrap_window_s=planned.wrap_window_s,
            unwrap_s=planned.plan.wrap.unwrap_s,
            spritz_s=planned.spritz_window_s,
            glaze=planned.glaze,
            mass_kg=planned.mass_kg,
            is_bird=is_poultry(planned.cut),
            chill_s=chill_s(planned.piece),
        )
        for planned in seen.planned
    )


def _cold_s(planned: Planned, forecast: PieceForecast) -> NDArray[np.float64] | None:
    """When each day's core is below what hot food is kept at [s]; None where it was never that hot, or is chilled."""
    if planned.piece.reheat:
        return None
    line_c = parameter("hold.line").value
    peak_c = forecast.held.peak_c()
    peak_c = peak_c[np.isfinite(peak_c)]
    meant_c = planned.serve_core_c
    if not len(peak_c) or np.median(peak_c) <= line_c or (meant_c is not None and meant_c < line_c):
        return None
    return forecast.held.core_below_s(line_c)


def _chosen(offered: Sequence[Chance]) -> dt.datetime | None:
    return next((chance.on_at for chance in offered if chance.chosen), None)


def _nominal(asked: Asked) -> dt.datetime:
    return dt.datetime.combine(asked.cook.date, _NOMINAL_START, asked.zone)


def pit_start_s(asked: Asked, pits: Mapping[str, PitState]) -> dict[str, float | None]:
    """Time each pit takes from match to steady on this day, by name [s].

    Learned from logs, from what its file says, else the usual of its kind; colder and windier days
    make it longer. None for what is not lit, unless its file says.
    """
    found: dict[str, float | None] = {}
    day, _ = day_of(asked.cook, asked.lines)
    for pit in pits.values():
        told = asked.record.pits.get(pit.name)
        start_c = pit.points[0][1]
        if has_fire(pit) and start_c > max(day.ambient_c, parameter("wood.usual").value):
            lines = of_pit(asked.lines, asked.cook, pit.letter)
            fire = fire_of(asked.cook, pit, asked.record.book, asked.record.pits, lines)
            learned = asked.knowledge.pits.get(pit.name)
            found[pit.name] = usual_start_s(fire, day, start_c, learned)
        else:
            minutes = None if told is None else told.start_minutes
            found[pit.name] = None if minutes is None else minutes * 60.0
    return found
