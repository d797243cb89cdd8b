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
from stallwise.record.places import place_key
from stallwise.record.schema import Pit, PitUse
from stallwise.tables.parameters import parameter

if TYPE_CHECKING:
    from stallwise.models.plan import PitCurve

__all__ = [
    "Climb",
    "PitState",
    "PlaceTest",
    "Where",
    "curve_from",
    "pit_states",
    "pit_title",
    "settle_s",
    "usual_climb",
]


@dataclass(frozen=True)
class Climb:
    """A climb of a pit: to what [°C], from when after meat on and over how long [s]."""

    to_c: float
    from_s: float
    over_s: float


@dataclass(frozen=True)
class Where:
    """Where a pit's number is read: ``grate``, ``lid``, ``oven``, ``guess``; by which place on it."""

    at: str
    by: str = ""


@dataclass(frozen=True)
class PlaceTest:
    """What a test of a pit's places found.

    Attributes
    ----------
    known : {"thermometer", "toast"}
    levels_k : mapping of place to float
        How hot each place is against the others [K].
    number_k : float or None
        The pit's own number meanwhile, on the same scale [K].
    """

    known: str
    levels_k: Mapping[str, float]
    number_k: float | None = None


@dataclass(frozen=True)
class PitState:
    """One pit of a cook.

    Attributes
    ----------
    letter, name, kind : str
        Its letter in this cook, its file, what it is.
    where : Where
        Where its number is read.
    points : tuple of (float, float)
        Its curve, seconds since hour zero and °C.
    told : tuple of (float, Where)
        From when on [s] it was set by a number read elsewhere.
    test : PlaceTest or None
        What is known of its places.
    out : tuple of (float, float)
        From when to when its fire was out, or is [s].
    """

    letter: str
    name: str
    kind: str
    where: Where
    points: tuple[tuple[float, float], ...]
    told: tuple[tuple[float, Where], ...] = ()
    test: PlaceTest | None = None
    out: tuple[tuple[float, float], ...] = ()


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
        where = _where(use, pit)
        told = []
        for line in lines:
            set_c = line.data.get("temperature_c")
            if line.what == "pit_set" and set_c is not None and line.pit in {"", use.letter}:
                at_s = (line.at - hour_zero).total_seconds()
                points = _set(points, at_s, float(set_c))
                place = str(line.data.get("place") or where.at)
                told.append((at_s, where if place == where.at else Where(place)))
        states[use.letter] = PitState(
            use.letter, use.pit, _kind(use, pit), where, tuple(points), tuple(told), _test(pit)
        )
    return states


def pit_title(pit: PitState, written: Mapping[str, Pit]) -> str:
    """Name a pit as its file does; an oven or a box that has no name is called what it is."""
    if pit.name in written:
        return written[pit.name].name
    return pit.kind if pit.kind in {"oven", "box"} and pit.name == _UNNAMED else pit.name


#: What a pit is called that the cook gave no name.
_UNNAMED = PitUse().pit


def _where(use: PitUse, pit: Pit | None) -> Where:
    """Where a pit's number is read: as this cook says, else as its file says."""
    at = use.number_at if "number_at" in use.model_fields_set or not pit else pit.number_at
    usual = pit.number_by if pit and pit.number_at == at else None
    return Where(at, place_key(use.number_by or usual) if at == "grate" else "")


def _test(pit: Pit | None) -> PlaceTest | None:
    """Take what a test of a pit's places found; a shade of toast stands for a few kelvin."""
    if pit is None or not pit.places:
        return None
    if pit.places[0].toast is not None:
        shade = parameter("pit.place.shade").value
        return PlaceTest(
            "toast", {place_key(one.name): shade * (one.toast or 0) for one in pit.places}
        )
    levels = {
        place_key(one.name): units.parse("temperature", one.temperature or "", key="temperature")
        for one in pit.places
    }
    if pit.tested_at is None:
        return PlaceTest("thermometer", levels)
    number = units.parse("temperature", pit.tested_at, key="tested_at")
    return PlaceTest("thermometer", levels, number)


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


def usual_climb(start_c: float) -> Climb:
    """Climb of a pit held at `start_c` [°C], where nobody says otherwise (rows ``pit.climb.*``)."""
    more_k, from_s, over_s = (
        parameter(f"pit.climb.{name}").value for name in ("more", "from", "over")
    )
    return Climb(start_c + more_k, from_s, over_s)


def settle_s() -> float:
    """Time until a pit is where its fire was set anew [s]."""
    return parameter("pit.settle").value


def _planned(use: PitUse, usual_c: float) -> list[tuple[float, float]]:
    if use.schedule:
        return _schedule(use)
    start_c = units.parse("temperature", use.start, key="pit_start") if use.start else usual_c
    if not use.climb_to:
        return [(0.0, start_c)]
    usual = usual_climb(start_c)
    begin_s = _duration(use.climb_from, "pit_climb_from", usual.from_s)
    over_s = _duration(use.climb_over, "pit_climb_over", usual.over_s)
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
    return [*kept, (at_s, _at(points, at_s)), (at_s + settle_s(), set_c)]


def _at(points: Sequence[tuple[float, float]], at_s: float) -> float:
    if at_s <= points[0][0]:
        return points[0][1]
    for (t0, c0), (t1, c1) in pairwise(points):
        if at_s <= t1:
            return c0 if t1 == t0 else c0 + (c1 - c0) * (at_s - t0) / (t1 - t0)
    return points[-1][1]
