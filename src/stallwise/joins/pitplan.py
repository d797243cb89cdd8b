"""The pit as planned and as set during the cook: (seconds since hour zero, °C) curves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.record.log import LogLine
from stallwise.record.schema import Pit, PitUse

if TYPE_CHECKING:
    from stallwise.models.plan import PitCurve

__all__ = ["PitState", "curve_from", "pit_states"]

#: A climb without its own times begins an hour in and takes about an hour: practice row
#: "225 to 275 F with meat on, 30 to 100 min".
CLIMB_FROM_S = 3600.0
CLIMB_OVER_S = 3600.0
#: After the fire is set to another temperature the pit gets there in about so long.
SETTLE_S = 1200.0


@dataclass(frozen=True)
class PitState:
    """One pit of a cook: its letter, file, kind, and curve in seconds since hour zero."""

    letter: str
    name: str
    kind: str
    number_place: str
    points: tuple[tuple[float, float], ...]


def pit_states(
    uses: Sequence[PitUse],
    pits: Mapping[str, Pit],
    lines: Sequence[LogLine],
    *,
    hour_zero: dt.datetime,
    usual_c: float,
) -> dict[str, PitState]:
    """Curves of every pit of a cook, the plan overtaken by what was set.

    Parameters
    ----------
    uses : sequence of PitUse
        Pits of the cook; with none, one offset at `usual_c`.
    pits : mapping of str to Pit
        What a person wrote of each pit.
    lines : sequence of LogLine
        Log lines seen, in order of time.
    hour_zero : datetime
        First piece on.
    usual_c : float
        Pit temperature where none is given [°C]: the cut's usual.
    """
    states = {}
    for use in uses or (PitUse(),):
        pit = pits.get(use.pit)
        points = _planned(use, usual_c)
        for line in lines:
            set_c = line.data.get("temperature_c")
            if line.what == "pit_set" and set_c is not None and line.pit in {"", use.letter}:
                at_s = (line.at - hour_zero).total_seconds()
                points = _set(points, at_s, float(set_c))
        states[use.letter] = PitState(
            use.letter,
            use.pit,
            _kind(use, pit),
            use.number_at if "number_at" in use.model_fields_set or not pit else pit.number_at,
            tuple(points),
        )
    return states


def _kind(use: PitUse, pit: Pit | None) -> str:
    """Kind of a pit: as this cook says, as its file says, as its number's place tells."""
    if use.kind or pit:  # a pan in it makes the air damper and no other pit of it
        return use.kind or (pit.kind if pit else "offset")
    if use.water_pan:
        return "water pan"
    return "oven" if use.number_at == "oven" else "offset"


def curve_from(points: Sequence[tuple[float, float]], start_s: float) -> PitCurve:
    """Curve in a piece's own seconds: zero when it goes on, `start_s` after hour zero."""
    from stallwise.models.plan import PitCurve

    return PitCurve(
        tuple(time_s - start_s for time_s, _ in points), tuple(temp for _, temp in points)
    )


def _planned(use: PitUse, usual_c: float) -> list[tuple[float, float]]:
    if use.schedule:
        return _schedule(use)
    start_c = units.parse("temperature", use.start, key="pit_start") if use.start else usual_c
    if not use.climb_to:
        return [(0.0, start_c)]
    begin_s = _duration(use.climb_from, "pit_climb_from", CLIMB_FROM_S)
    over_s = _duration(use.climb_over, "pit_climb_over", CLIMB_OVER_S)
    end_c = units.parse("temperature", use.climb_to, key="pit_climb_to")
    return [(begin_s, start_c), (begin_s + over_s, end_c)]


def _schedule(use: PitUse) -> list[tuple[float, float]]:
    points = [
        (
            units.parse("duration", at, key="schedule"),
            units.parse("temperature", temp, key="schedule"),
        )
        for at, temp in use.schedule or ()
    ]
    times = [at for at, _ in points]
    if times != sorted(times):
        raise InputError(f"schedule of pit {use.letter} runs backwards", "rising elapsed times")
    return points


def _duration(text: str | None, key: str, default_s: float) -> float:
    return units.parse("duration", text, key=key) if text else default_s


def _set(points: list[tuple[float, float]], at_s: float, set_c: float) -> list[tuple[float, float]]:
    """Keep the curve until `at_s`, then go to the set temperature and hold it."""
    kept = [(time_s, temp) for time_s, temp in points if time_s < at_s]
    return [*kept, (at_s, _at(points, at_s)), (at_s + SETTLE_S, set_c)]


def _at(points: Sequence[tuple[float, float]], at_s: float) -> float:
    if at_s <= points[0][0]:
        return points[0][1]
    for (t0, c0), (t1, c1) in pairwise(points):
        if at_s <= t1:
            return c0 if t1 == t0 else c0 + (c1 - c0) * (at_s - t0) / (t1 - t0)
    return points[-1][1]
