"""The pit as it was read: one number after another, each with its place, nearest to the meat first."""

from __future__ import annotations

import datetime as dt
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stallwise.joins.fire.pitplaces import Stay, lies, read_at
from stallwise.joins.fire.pitplan import PitState, Where
from stallwise.joins.learn.probed import Points, read_points, seconds, together
from stallwise.models.pit import place_owner
from stallwise.models.plan import OtherNumber, PitCurve
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings, of_letter
from stallwise.tables.parameters import parameter

__all__ = ["PitSeen", "pit_probes", "pit_seen"]

#: A stretch without a reading of the pit that is longer is taken as planned.
_UNSEEN_S = 2700.0
#: Two numbers are compared where they were read no further apart, and so often at least.
_BESIDE_S, _ENOUGH = 600.0, 3
#: Less than this of a pit is no more than a look at it [h].
_LOOK_H = 0.25
#: Order in which numbers are believed; a place in the cook's words lies on the grate.
_NEAR = {"grate": 0, "lid": 2, "oven": 3, "guess": 4, "": 5}
_ON_GRATE = 1


@dataclass(frozen=True)
class PitSeen:
    """The pit as it was read, with the plan where nothing was read.

    Attributes
    ----------
    curve : PitCurve
        In the piece's own seconds, until the as-of instant.
    plan : PitCurve
        The plan, as the number would show it that is believed.
    stays : tuple of Stay
        The planned ones, each with where its number was read.
    others : tuple of OtherNumber
        What numbers have told that were read beside the believed one.
    """

    curve: PitCurve
    plan: PitCurve
    stays: tuple[Stay, ...]
    others: tuple[OtherNumber, ...]


@dataclass(frozen=True)
class _Number:
    """What one number of a pit has shown during a stay."""

    where: Where
    points: Points


#: A reading and where it was read, or would have been.
_Read = tuple[float, float, Where]


def pit_probes(readings: Sequence[Readings], letter: str) -> list[Readings]:
    """Probes of a pit, the one nearest to the meat first."""
    mine = [one for one in of_letter(readings, letter) if not one.piece]
    return sorted(mine, key=lambda one: _NEAR.get(one.place, _ON_GRATE))


def pit_seen(
    readings: Sequence[Readings],
    lines: Sequence[LogLine],
    plan: PitCurve,
    stays: Sequence[Stay],
    *,
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> PitSeen | None:
    """Pits a piece has stood in, as they were read.

    The number nearest to the meat is believed. Where it is silent another one stands in: set over
    by the gap between the two where both were read for a while, else as what it is, a number read
    elsewhere. The plan is set over likewise.

    Parameters
    ----------
    readings, lines, on_at, as_of
        As for `probed.probe_traces`.
    plan : PitCurve
        The pit as planned, in the piece's own seconds.
    stays : sequence of Stay
        Where it stands as planned, the first from 0.

    Returns
    -------
    PitSeen or None
        None where no pit was read.
    """
    now_s = (as_of - on_at).total_seconds()
    read: list[_Read] = []
    found: list[Stay] = []
    others: dict[tuple[str, str], OtherNumber] = {}
    for number, stay in enumerate(stays):
        end_s = stays[number + 1].from_s if number + 1 < len(stays) else float("inf")
        numbers = _numbers(readings, lines, stay, min(end_s, now_s), on_at=on_at, as_of=as_of)
        if not numbers:
            found.append(stay)
            continue
        gaps = _gaps(numbers)
        here = _joined(numbers, gaps, stay.from_s, min(end_s, now_s))
        read += here
        found += _by_where(stay, here)
        last = here[-1][2]
        plan = _lifted(
            plan, stay.from_s, end_s, _lift_k(plan, stay, here, last, (numbers[0].where, gaps))
        )
        told = (_told(stay.pit, numbers[0].where, where, gap) for where, gap in gaps.items())
        others |= {(one.owner, one.key): one for one in told if one is not None}
    if not read:
        return None
    filled = _filled([(time_s, value) for time_s, value, _ in read], plan, now_s)
    curve = PitCurve(tuple(time for time, _ in filled), tuple(value for _, value in filled))
    return PitSeen(curve, plan, tuple(found), tuple(others.values()))


def _numbers(
    readings: Sequence[Readings],
    lines: Sequence[LogLine],
    stay: Stay,
    end_s: float,
    *,
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> list[_Number]:
    """Numbers of a pit during a stay, the one nearest to the meat first, a probe before a note."""
    pit = stay.pit
    found: dict[tuple[Where, bool], Points] = {}
    for one in pit_probes(readings, pit.letter):
        points = together(read_points(one, on_at, as_of))
        if points:
            found.setdefault((read_at(one.place, pit), False), points)
    for line in lines:
        value = line.data.get("temperature_c")
        if line.what == "pit_reading" and line.pit in {"", pit.letter} and value is not None:
            key = (read_at(str(line.data.get("place") or ""), pit), True)
            found.setdefault(key, []).extend(seconds([(line.at, float(value))], on_at))
    cut = {
        key: sorted(point for point in points if stay.from_s <= point[0] <= end_s)
        for key, points in found.items()
    }
    order = sorted(cut, key=lambda key: (_nearness(key[0], stay.spot), key[1]))
    return [_Number(key[0], cut[key]) for key in order if cut[key]]


def _nearness(where: Where, spot: str) -> int:
    if where.at == "grate" and where.by and where.by != spot:
        return _ON_GRATE
    return -1 if where.by else _NEAR[where.at]


def _gaps(numbers: Sequence[_Number]) -> dict[Where, float]:
    """How far the believed number was above each other one, where both were read [K]."""
    first = numbers[0]
    found = {}
    for other in numbers[1:]:
        apart = [
            value - more
            for time_s, more in other.points
            for value in [_near(first.points, time_s)]
            if value is not None
        ]
        if other.where != first.where and len(apart) >= _ENOUGH:
            found[other.where] = statistics.median(apart)
    return found


def _told(pit: PitState, first: Where, other: Where, gap_k: float) -> OtherNumber | None:
    """Say what the gap between two numbers tells of the pit: another gauge, or another place."""
    usual = pit.where
    if first.at == "grate" != other.at and first.by in {"", usual.by}:
        return OtherNumber(pit.name, f"pit.gap.{other.at}", gap_k)
    if usual not in {first, other} or first.at != other.at:
        return None
    spot, above = (first.by, gap_k) if other == usual else (other.by, -gap_k)
    place = lies(pit, usual, spot)
    if place is None:
        return None
    owner = place_owner(pit.name, place.name)
    return OtherNumber(owner, f"pit.place.{place.known}", above - place.offset_k)


def _near(points: Points, time_s: float) -> float | None:
    close = [(abs(at - time_s), value) for at, value in points if abs(at - time_s) <= _BESIDE_S]
    return min(close)[1] if close else None


def _joined(
    numbers: Sequence[_Number], gaps: dict[Where, float], from_s: float, end_s: float
) -> list[_Read]:
    """Take the believed number; where it is silent, the next."""
    first = numbers[0]
    read: list[_Read] = [(time_s, value, first.where) for time_s, value in first.points]
    for other in numbers[1:]:
        edges = [from_s, *(time_s for time_s, _, _ in read), end_s]
        holes = [(a, b) for a, b in pairwise(edges) if b - a > _UNSEEN_S]
        gap = 0.0 if other.where == first.where else gaps.get(other.where)
        where = other.where if gap is None else first.where
        for a, b in holes:
            read += [(t, value + (gap or 0.0), where) for t, value in other.points if a < t < b]
        read.sort(key=lambda one: one[0])
    return read


def _by_where(stay: Stay, read: Sequence[_Read]) -> list[Stay]:
    """Split a stay where its number begins to be read elsewhere."""
    found = [replace(stay, where=read[0][2])]
    for time_s, _, where in read:
        if where != found[-1].where:
            found.append(replace(stay, from_s=time_s, where=where))
    return found


def _lift_k(
    plan: PitCurve,
    stay: Stay,
    read: Sequence[_Read],
    where: Where,
    measured: tuple[Where, dict[Where, float]],
) -> float:
    """How far the number read at `where` stands above the one the pit is set by [K].

    Measured where both were read. Else what the readings lie above the plan is shared out between
    the two places and a fire that is not where it should be, the longer it lasts the less to that.
    """
    if where == stay.where:
        return 0.0
    mine = [(time_s, value) for time_s, value, at in read if at == where]
    first, gaps = measured
    if stay.where in gaps and where == first:
        return gaps[stay.where]
    above = statistics.fmean(value - float(plan.at(time_s)) for time_s, value in mine)
    places = (
        [parameter("pit.place.unknown")]
        if where.at == stay.where.at
        else [parameter(f"pit.offset.{at}") for at in (where.at, stay.where.at)]
    )
    theirs = sum(one.spread**2 for one in places)
    hours = max((mine[-1][0] - mine[0][0]) / 3600.0, _LOOK_H)
    fire = parameter("pit.wander").value ** 2 / hours
    return above * theirs / (theirs + fire)


def _lifted(curve: PitCurve, from_s: float, until_s: float, by_k: float) -> PitCurve:
    """Set a stretch of a curve over; what lies before and behind it stays."""
    if not by_k:
        return curve
    points = list(zip(curve.time_s, curve.temperature_c, strict=True))
    first, last = float(curve.at(from_s)), float(curve.at(until_s, before=True))
    lifted = [(from_s, float(curve.at(from_s, before=True))), (from_s, first + by_k)]
    lifted += [(time_s, value + by_k) for time_s, value in points if from_s < time_s < until_s]
    if until_s < float("inf"):
        lifted += [(until_s, last + by_k), (until_s, float(curve.at(until_s)))]
    before = [point for point in points if point[0] < from_s]
    behind = [point for point in points if point[0] > until_s]
    every = [*before, *lifted, *behind]
    return PitCurve(tuple(time for time, _ in every), tuple(value for _, value in every))


def _filled(points: Points, plan: PitCurve, now_s: float) -> Points:
    """Lay the plan into stretches without a reading; a short one is bridged."""
    filled: Points = []
    before_s = 0.0
    for time_s, value in [*points, (now_s, None)]:
        if time_s - before_s > _UNSEEN_S:
            inner = [t for t in plan.time_s if before_s < t < time_s]
            edges = sorted({before_s + 1.0, *inner, time_s - 1.0})
            filled += [(t, float(plan.at(t))) for t in edges]
        if value is not None:
            filled.append((time_s, value))
        before_s = time_s
    return filled
