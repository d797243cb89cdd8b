"""When a piece is fit to be handed in: ready, not softer than wanted, and hot; over the possible days."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stallwise.joins.foresight import Foreseen
from stallwise.joins.plan import Planned
from stallwise.models.showing import Showable
from stallwise.tables.contests import contest_value
from stallwise.tables.parameters import parameter

__all__ = ["fit_span", "is_softest"]

_STEP_S, _MINUTE_S, _HOUR_S = 300.0, 60.0, 3600.0


def fit_span(seen: Foreseen, letter: str) -> Showable:
    """From when to when after meat on a piece can be on the plate as wanted, by possible day.

    It begins when it is tender, rested and carved. It ends when one that waited longer would be more
    than a little softer than wanted (``past.little``; the softest finish of a cut ``fit.softest``), its
    skin soft (``fit.crisp``), colder than hot food is kept at where it was hot, or held longer than
    anybody holds.
    """
    planned = next(one for one in seen.planned if one.piece.letter == letter)
    forecast = seen.forecast.pieces[letter]
    tender_s = forecast.stages["tender"]
    table_s = planned.carve_s + planned.table.after_s
    wait_s = _longest_wait(seen, letter, planned)
    since_s = tender_s + planned.rest_s + table_s
    return Showable(
        since_s, np.where(np.isfinite(tender_s), tender_s + wait_s + table_s + 1.0, -np.inf)
    )


def _longest_wait(seen: Foreseen, letter: str, planned: Planned) -> NDArray[np.float64]:
    """Longest wait from tender to the knife that leaves it as wanted [s]; the rest at the least."""
    forecast = seen.forecast.pieces[letter]
    held, count = forecast.held, len(forecast.weights)
    found = np.full(count, planned.rest_s)
    rested, most = held.past_it_at(planned.rest_s), _softest(planned)
    below_s = _cold_s(held.core_below_s(parameter("hold.line").value), held.peak_c(), planned)
    going = np.ones(count, dtype=bool)
    for wait_s in np.arange(planned.rest_s + _STEP_S, _kept_s(planned) + _STEP_S, _STEP_S):
        past = held.past_it_at(float(wait_s))
        if past is not None and rested is not None:
            going &= past <= rested * most
        going &= below_s >= wait_s
        if not going.any():
            break
        found[going] = wait_s
    return found


def _cold_s(
    below_s: NDArray[np.float64], peak_c: NDArray[np.float64], planned: Planned
) -> NDArray[np.float64]:
    """When it is too cold [s]; never where it was not meant to be hot."""
    line_c, meant_c = parameter("hold.line").value, planned.serve_core_c
    hot = np.nan_to_num(peak_c, nan=0.0) > line_c
    if meant_c is not None and meant_c < line_c:
        hot[:] = False
    return np.where(hot, below_s, np.inf)


def is_softest(planned: Planned) -> bool:
    """Whether the cut has no softer finish than the wanted one."""
    finish = planned.cut.finish(planned.finish)
    return not any(
        other.target.kind == finish.target.kind and other.target.value > finish.target.value
        for other in planned.cut.finishes
    )


def _softest(planned: Planned) -> float:
    """How much softer than wanted it may be: what cannot be called too soft keeps longer."""
    if is_softest(planned):
        return contest_value("fit.softest")
    return parameter("past.little").value


def _kept_s(planned: Planned) -> float:
    """Longest wait that is looked at [s]: crisp skin and a core keep less long than what is felt."""
    if "crisp" in planned.finish:
        return planned.rest_s + contest_value("fit.crisp") * _MINUTE_S
    if planned.cut.finish(planned.finish).target.kind == "core":
        return contest_value("fit.core") * _MINUTE_S
    return parameter("hold.most").value * _HOUR_S
