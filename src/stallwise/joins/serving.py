"""Rest, hold and serving of a piece: how hot it is when it is cut, and how far past its finish."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stallwise.ground import units
from stallwise.ground.ensemble import quantiles, share_reached
from stallwise.ground.errors import CookWarning
from stallwise.joins.plan import Planned
from stallwise.joins.result import PROBABILITIES, PieceResult, ServingResult, Spread
from stallwise.joins.words import odds_text
from stallwise.models.forecast import PieceForecast
from stallwise.tables.parameters import parameter

__all__ = ["holding", "serving", "spread"]

_HOUR_S = 3600.0
_PLACES = {"counter": "on the counter", "box": "in the box", "oven": "in the oven"}
_TO_DO = {
    "counter": "Hold it wrapped in a box with towels or in a warm oven, or serve it earlier",
    "box": "Hold it in a warm oven, or serve it earlier",
    "oven": "Set the oven higher, or serve it earlier",
}


def spread(values: NDArray[np.float64], weights: NDArray[np.float64], scale: float = 1.0) -> Spread:
    """Quantiles of member values over `scale`; None where a quantile is not reached."""
    found = [float(value) / scale for value in quantiles(values, PROBABILITIES, weights)]
    names = (f"p{round(probability * 100):02d}" for probability in PROBABILITIES)
    shown = {
        name: value if np.isfinite(value) else None
        for name, value in zip(names, found, strict=True)
    }
    return Spread(**shown, reached=float(share_reached(values, weights)))


def serving(
    planned: Planned,
    forecast: PieceForecast,
    *,
    on_at: dt.datetime,
    serve_at: dt.datetime | None,
    zone: ZoneInfo,
) -> ServingResult | None:
    """Follow a piece from its finish to the knife.

    It is cut when it is to be served, less the carving, and never before it has rested; without a
    serving time, when it has rested.

    Parameters
    ----------
    planned, forecast : Planned, PieceForecast
        What was asked of the models and what they gave.
    on_at, serve_at : datetime
        Meat on and serving, aware.
    zone : ZoneInfo
        For clock times.

    Returns
    -------
    ServingResult or None
        None where it is not finished on any of the possible days.
    """
    tender_s = forecast.stages["tender"]
    reached = np.isfinite(tender_s) & (forecast.weights > 0.0)
    if not reached.any():
        return None
    weights, tender_s, held = forecast.weights[reached], tender_s[reached], forecast.held
    wait_s = np.full(len(tender_s), planned.rest_s)
    if serve_at is not None:
        ahead_s = (serve_at.astimezone(dt.UTC) - on_at.astimezone(dt.UTC)).total_seconds()
        wait_s = np.maximum(wait_s, ahead_s - planned.carve_s - planned.table.after_s - tender_s)
    every_s = np.zeros(len(reached))
    every_s[reached] = wait_s
    line_c = parameter("hold.line").value
    core_c = held.core_at_c(every_s)[reached]
    below_s = held.core_below_s(line_c)[reached]
    past, rested = held.past_it_at(every_s), held.past_it_at(planned.rest_s)
    peak_c = held.peak_c()[reached]
    to_c = planned.serve_core_c
    down_s = None if to_c is None else held.core_below_s(to_c)[reached]
    past_it = None
    if past is not None and rested is not None:
        past_it = spread((past / rested)[reached], weights)
    return ServingResult(
        place=planned.plan.hold.place,
        place_c=planned.plan.hold.temperature_c,
        wait_h=spread(wait_s, weights, _HOUR_S),
        core_c=spread(core_c, weights),
        peak_c=spread(peak_c, weights),
        carry_over_k=spread(peak_c - held.core_c[reached, 0], weights),
        line_c=line_c,
        below_line_h=spread(below_s, weights, _HOUR_S),
        colder_share=float(np.sum(weights[below_s < wait_s]) / np.sum(weights)),
        past_it=past_it,
        past_words="" if past_it is None else _past_words(planned, past_it),
        serve_core_c=to_c,
        serve_core_h=None if down_s is None else spread(down_s, weights, _HOUR_S),
        serve_core_clock=None
        if down_s is None
        else _clocks(spread(tender_s + down_s, weights), on_at, zone),
    )


def _past_words(planned: Planned, past_it: Spread) -> str:
    """How much softer than wanted it is when cut, in a cook's words."""
    finish = planned.cut.finish(planned.finish)
    over = past_it.p50 or 1.0
    if over <= parameter("past.same").value:
        return f"as wanted: {finish.words}"
    softer = [
        other.words
        for other in planned.cut.finishes
        if other.target.kind == finish.target.kind
        and finish.target.value < other.target.value <= finish.target.value * over
    ]
    if softer:
        return f"past it: as soft as “{softer[-1]}”"
    if over <= parameter("past.little").value:
        return f"a little softer than “{finish.words}”"
    return f"past it: well softer than “{finish.words}”"


def _clocks(seconds: Spread, on_at: dt.datetime, zone: ZoneInfo) -> dict[str, dt.datetime | None]:
    start = on_at.astimezone(dt.UTC)
    return {
        name: None
        if (value := getattr(seconds, name)) is None
        else (start + dt.timedelta(seconds=value)).astimezone(zone)
        for name in ("p10", "p50", "p90")
    }


def holding(pieces: Sequence[PieceResult], system: str) -> list[CookWarning]:
    """Say where the wait before the knife is longer than the piece stays hot, and what to do.

    Parameters
    ----------
    pieces : sequence of PieceResult
    system : str
        Units of the cookbook.
    """
    found = []
    for piece in pieces:
        held = piece.serving
        if held is None or held.colder_share < parameter("hold.warn").value:
            continue
        if held.peak_c.p50 is None or held.peak_c.p50 <= held.line_c:
            continue  # it was never meant to be so hot
        line = units.format_temperature(held.line_c, system)
        text = (
            f"Held {_PLACES[held.place]} it is colder than {line} before it is served, "
            f"{odds_text(held.colder_share)}. {_TO_DO[held.place]}; "
            "measure it in the meat."
        )
        found.append(CookWarning("hold-cold", text, piece.piece))
    return found
