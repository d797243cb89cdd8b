"""What a logged hold tells of its box or oven: how fast what lies in it cools, over the usual."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from stallwise.models.forecast import forecast_pieces
from stallwise.models.learning import Key, Told
from stallwise.models.plan import Knowledge, PiecePlan
from stallwise.tables.parameters import parameter

__all__ = ["HoldSeen", "hold_lesson"]

_HOUR_S = 3600.0


@dataclass(frozen=True)
class HoldSeen:
    """A piece in its hold as it was read: two moments since it came off [s] and its core then [°C]."""

    plan: PiecePlan
    times_s: tuple[float, float]
    core_c: tuple[float, float]


def hold_lesson(
    holds: Iterable[HoldSeen], *, seed: int, members: int, knowledge: Knowledge
) -> dict[Key, tuple[Told, ...]]:
    """Tell how holds cooled against how the forecast has them cool; for `learning.fold`.

    Parameters
    ----------
    holds : iterable of HoldSeen
        Of one cook.
    seed, members, knowledge
        As for a forecast.

    Returns
    -------
    dict of (box, parameter) to tuple of Told
        ``pit.keeps.box`` and ``pit.keeps.oven``, in logarithms.

    Notes
    -----
    Cooling goes as the distance to what is round the box, so two readings give a rate; the same two
    moments of the forecast give the one that was to be expected. Where the finish fell does not
    matter much: a hold counts from when it came off.
    """
    found: dict[Key, tuple[Told, ...]] = {}
    for one in holds:
        hold = one.plan.hold
        key = (hold.name, f"pit.keeps.{hold.place}")
        was = knowledge.pits.get(hold.name, {}).get(key[1])
        log_was = 0.0 if was is None else math.log(was.value)
        seen = _rate(one.times_s, one.core_c, hold.temperature_c)
        # As planned, before anything was read of it: only its hold is compared.
        plan = replace(one.plan, facts=None)
        made = forecast_pieces([plan], seed=seed, members=members, knowledge=knowledge)
        held = made.pieces[plan.key].held
        cores = [np.nanmedian(held.core_at_c(time)) for time in one.times_s]
        usual = _rate(one.times_s, (float(cores[0]), float(cores[1])), hold.temperature_c)
        if seen is None or usual is None:
            continue
        told = Told(log_was + math.log(seen / usual), parameter("learn.hold").value ** 2)
        found[key] = (*found.get(key, ()), told)
    return found


def _rate(
    times_s: tuple[float, float], core_c: tuple[float, float], around_c: float
) -> float | None:
    """Rate of cooling [1/s]; None where it did not cool, or is as cold as what is round it."""
    first, last = (core - around_c for core in core_c)
    apart_s = times_s[1] - times_s[0]
    near_k = parameter("learn.hold.near").value
    if last < near_k or first <= last or apart_s < parameter("learn.hold.span").value * _HOUR_S:
        return None
    return math.log(first / last) / apart_s
