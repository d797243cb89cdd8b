"""A piece's forecast as a Result carries it: quantiles, clock times, bands."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import units
from stallwise.ground.ensemble import quantiles
from stallwise.joins.mix.yields import OwnYield
from stallwise.joins.plan import Planned
from stallwise.joins.result import (
    Chance,
    FinishSeen,
    PieceResult,
    RuleResult,
    Spread,
    StageResult,
    Trace,
)
from stallwise.joins.serving import serving, spread
from stallwise.models.forecast import STAGES, PieceForecast
from stallwise.models.rules import piece_rule

__all__ = ["edible_kg", "mirrored", "piece_result", "spread", "stage_result"]

_HOUR_S = 3600.0
#: Days that differ by less than this share in what they leave are one day.
_LEAST = 1e-4
#: The early end of one is the late end of the other.
_MIRROR = dict(
    zip(
        ("p05", "p10", "p25", "p50", "p75", "p90", "p95"),
        ("p95", "p90", "p75", "p50", "p25", "p10", "p05"),
        strict=True,
    )
)


def mirrored(late: Spread) -> Spread:
    """Turn how much later into how much sooner: each quantile negative, from the other end."""
    turned = {
        name: None if (value := getattr(late, mirror)) is None else -value
        for name, mirror in _MIRROR.items()
    }
    return Spread(**turned, reached=late.reached)


def edible_kg(
    planned: Planned, forecast: PieceForecast, own: OwnYield | None = None
) -> NDArray[np.float64]:
    """Meat that can be eaten, bone and loss off, of all alike pieces [kg] per member.

    As weighed, or else as the cook's own scales said of the cut: a day on which it loses more than usual
    then falls as far below their middle as such days did.
    """
    raw_kg = planned.mass_kg * planned.piece.count
    if planned.piece.mass_edible:
        weighed = units.parse("mass", planned.piece.mass_edible, key="mass_edible")
        return np.full_like(forecast.loss_fraction, weighed)
    kept = 1.0 - forecast.loss_fraction - planned.cut.bone_fraction
    band = own.of_on if own else None
    if band is not None:
        low, middle, high = quantiles(kept, (0.1, 0.5, 0.9), forecast.weights)
        down = (band.middle - band.low) / max(middle - low, _LEAST)
        up = (band.high - band.middle) / max(high - middle, _LEAST)
        off = kept - middle
        kept = np.minimum(band.middle + off * np.where(off < 0.0, down, up), 1.0)
    return np.maximum(kept, 0.05) * raw_kg


def piece_result(
    planned: Planned,
    forecast: PieceForecast,
    eaten_kg: NDArray[np.float64],
    *,
    on_at: dt.datetime,
    serve_at: dt.datetime | None,
    chances: Sequence[Chance],
    odds_in_time: float | None,
    ready_at: Mapping[str, dt.datetime | None],
    is_on: bool,
    seen: FinishSeen | None,
    zone: ZoneInfo,
) -> PieceResult:
    """Gather all that a Result holds of one piece.

    Parameters
    ----------
    planned, forecast : Planned, PieceForecast
        What was asked of the models and what they gave.
    eaten_kg : array
        Meat to eat of all alike ones [kg], by member.
    on_at, serve_at : datetime
        Meat on and serving, aware.
    chances : sequence of Chance
        Odds in words with their start and hold.
    odds_in_time : float or None
        Share of days on which it is tender, rested and carved by serving.
    ready_at : mapping of str to datetime or None
        When it and all that is served with it can be eaten, by the odds in words.
    is_on : bool
        It is on the pit as logged.
    seen : FinishSeen or None
        When it was seen to have its finish.
    zone : ZoneInfo
        For clock times.
    """
    facts = planned.plan.facts
    known = {
        "wrapped": facts is not None and facts.wrapped_s is not None,
        "tender": facts is not None and facts.tender_s is not None,
    }
    stages = {
        stage: stage_result(
            stage,
            forecast.stages[stage],
            forecast.weights,
            on_at,
            zone,
            known=known.get(stage, False),
        )
        for stage in STAGES
    }
    coated_s = planned.glaze.coated_s
    if coated_s is not None:
        set_s = np.full_like(forecast.stages["tender"], coated_s)
        now_s = facts.as_of_s if facts is not None else -np.inf
        done = planned.glaze.coats_s[-1] <= now_s
        stages["glazed"] = stage_result("glazed", set_s, forecast.weights, on_at, zone, known=done)
        rested_s = np.maximum(forecast.stages["rested"], coated_s + planned.rest_s)
        stages["rested"] = stage_result(
            "rested", rested_s, forecast.weights, on_at, zone, known=False
        )
    window = planned.wrap_window_s
    return PieceResult(
        piece=planned.piece.letter,
        cut=planned.cut.key,
        name=planned.cut.name,
        count=planned.piece.count,
        finish=planned.finish,
        pit=planned.piece.pit or "",
        mass_kg=planned.mass_kg,
        on_at=on_at.astimezone(zone),
        stages=stages,
        core_c=_trace(forecast.time_s, forecast.probe_c, forecast.weights),
        pit_c=_trace(forecast.time_s, forecast.pit_c, forecast.weights),
        loss_fraction=spread(forecast.loss_fraction, forecast.weights),
        edible_kg=spread(eaten_kg, forecast.weights),
        rest_h=planned.rest_s / _HOUR_S,
        carve_h=planned.carve_s / _HOUR_S,
        serve_at=serve_at.astimezone(zone) if serve_at else None,
        odds_in_time=odds_in_time,
        chances=tuple(chances),
        wrap=planned.plan.wrap.kind,
        wrap_window_h=(window[0] / _HOUR_S, window[1] / _HOUR_S) if window else None,
        hold_h=_hold(planned, forecast, on_at, serve_at),
        ready_at=ready_at,
        is_on=is_on,
        serving=serving(
            planned,
            forecast,
            on_at=on_at,
            # What is chilled is followed to the end of its rest.
            serve_at=None if planned.piece.reheat else serve_at,
            zone=zone,
        ),
        rule=_rule(planned),
        finish_seen=seen,
    )


def _rule(planned: Planned) -> RuleResult | None:
    found = piece_rule(planned.plan)
    if found is None:
        return None
    row = found.rule
    source = f"hours_per_pound.{row.family}"
    return RuleResult(
        found.low_h, found.middle_h, found.high_h, row.by_mass, source=source, grade=row.grade
    )


def _hold(
    planned: Planned, forecast: PieceForecast, on_at: dt.datetime, serve_at: dt.datetime | None
) -> Spread | None:
    if serve_at is None:
        return None
    table_s = planned.rest_s + planned.carve_s + planned.table.after_s
    left_s = (serve_at - on_at).total_seconds() - table_s
    # A day that never gets there has no hold: it counts as late without end.
    off_s = np.maximum(forecast.stages["tender"], planned.glaze.coated_s or 0.0)
    return mirrored(spread(off_s - left_s, forecast.weights, _HOUR_S))


def stage_result(
    stage: str,
    seconds: NDArray[np.float64],
    weights: NDArray[np.float64],
    on_at: dt.datetime,
    zone: ZoneInfo,
    *,
    known: bool,
) -> StageResult:
    """When a stage comes, elapsed and on the clock, from the seconds after meat on of each day."""
    hours = spread(seconds, weights, _HOUR_S)
    start = on_at.astimezone(dt.UTC)
    clock = {
        name: None
        if (value := getattr(hours, name)) is None
        else (start + dt.timedelta(hours=value)).astimezone(zone)
        for name in ("p10", "p50", "p90")
    }
    return StageResult(stage, hours, clock, known)


def _trace(
    time_s: NDArray[np.float64], values: NDArray[np.float64], weights: NDArray[np.float64]
) -> Trace:
    low, mid, high = quantiles(values, (0.1, 0.5, 0.9), weights)
    return Trace(
        tuple((time_s / _HOUR_S).tolist()),
        tuple(low.tolist()),
        tuple(mid.tolist()),
        tuple(high.tolist()),
    )
