"""What probes and gauges have read of a piece and its pits, as the models take it."""

from __future__ import annotations

import datetime as dt
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stallwise.joins import timing
from stallwise.models.plan import NUMBER_PLACES, PitCurve, ProbeTrace
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings, of_letter
from stallwise.record.schema import Piece

__all__ = ["PitSeen", "Stint", "pit_probes", "pit_seen", "probe_traces"]

#: Readings are taken together over this time: nearer ones tell the same.
_TOGETHER_S = 300.0
#: A stretch without a reading of the pit that is longer is taken as planned.
_UNSEEN_S = 2700.0

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class Stint:
    """A piece's stay in one pit, from a moment of its own on [s]."""

    pit: str
    from_s: float


@dataclass(frozen=True)
class PitSeen:
    """The pit as it was read, with the plan where nothing was read.

    Attributes
    ----------
    curve : PitCurve
        In the piece's own seconds, until the as-of instant.
    place : str
        Where the last of it was read; empty where that is not known.
    """

    curve: PitCurve
    place: str


def probe_traces(
    readings: Sequence[Readings],
    lines: Sequence[LogLine],
    piece: Piece,
    *,
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> tuple[ProbeTrace, ...]:
    """Gather readings meant for the core of one piece, a trace a probe; those by hand are one more.

    Parameters
    ----------
    readings : sequence of Readings
        As kept; values that were left out stay out.
    lines : sequence of LogLine
        What was logged until `as_of`.
    piece : Piece
        Whose readings.
    on_at, as_of : datetime
        When it went on, and now.
    """
    off = min((line.at for line in lines if timing.ends(line, piece)), default=as_of)
    until = min(as_of, off)
    traces = []
    for one in of_letter(readings, piece.letter):  # its imports joined: one probe, one trace
        points = _together(_read(one, on_at, until)) if one.piece else []
        if points:
            traces.append(_trace(points, by_hand=False))
    by_hand = [
        (line.at, float(line.data["temperature_c"]))
        for line in lines
        if line.what == "core_reading"
        and line.piece == piece.letter
        and line.data.get("temperature_c") is not None
        and on_at <= line.at <= until
    ]
    if by_hand:
        traces.append(_trace(sorted(_seconds(by_hand, on_at)), by_hand=True))
    return tuple(traces)


def pit_seen(
    readings: Sequence[Readings],
    lines: Sequence[LogLine],
    plan: PitCurve,
    stints: Sequence[Stint],
    *,
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> PitSeen | None:
    """Pits a piece has stood in, as they were read.

    Parameters
    ----------
    readings, lines, on_at, as_of
        As for `probe_traces`.
    plan : PitCurve
        The pit as planned, in the piece's own seconds.
    stints : sequence of Stint
        Which pit it stood in from when on, the first from 0.

    Returns
    -------
    PitSeen or None
        None where no pit was read.
    """
    now_s = (as_of - on_at).total_seconds()
    points: Points = []
    place = ""
    for number, stint in enumerate(stints):
        end_s = stints[number + 1].from_s if number + 1 < len(stints) else now_s
        found, spot = _of_pit(readings, lines, stint.pit, on_at, as_of)
        inside = [point for point in found if stint.from_s <= point[0] <= min(end_s, now_s)]
        if inside:
            points += inside
            place = spot
    if not points:
        return None
    filled = _filled(points, plan, now_s)
    curve = PitCurve(tuple(time for time, _ in filled), tuple(value for _, value in filled))
    return PitSeen(curve, place)


def _of_pit(
    readings: Sequence[Readings],
    lines: Sequence[LogLine],
    letter: str,
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> tuple[Points, str]:
    """Gather readings of one pit: of the probe nearest to the meat, else as written down."""
    for one in pit_probes(readings, letter):
        points = _together(_read(one, on_at, as_of))
        if points:
            return points, one.place if one.place in NUMBER_PLACES else ""
    written = [
        (line.at, float(line.data["temperature_c"]))
        for line in lines
        if line.what == "pit_reading"
        and line.pit in {"", letter}
        and line.data.get("temperature_c") is not None
        and line.at >= on_at
    ]
    return sorted(_seconds(written, on_at)), ""


def pit_probes(readings: Sequence[Readings], letter: str) -> list[Readings]:
    """Probes of a pit, the one nearest to the meat first."""

    def nearness(one: Readings) -> int:
        return (*NUMBER_PLACES, one.place).index(one.place)

    return sorted((one for one in of_letter(readings, letter) if not one.piece), key=nearness)


def _read(one: Readings, on_at: dt.datetime, until: dt.datetime) -> Points:
    return [point for point in zip(*one.elapsed(on_at, until), strict=True) if point[0] >= 0.0]


def _seconds(pairs: Iterable[tuple[dt.datetime, float]], on_at: dt.datetime) -> Points:
    return [((at - on_at).total_seconds(), value) for at, value in pairs]


def _together(points: Points) -> Points:
    """Medians over stretches of time, so that a stray value moves nothing."""
    stretches: dict[int, Points] = {}
    for point in points:
        stretches.setdefault(int(point[0] // _TOGETHER_S), []).append(point)
    return [
        (statistics.median(t for t, _ in some), statistics.median(c for _, c in some))
        for _, some in sorted(stretches.items())
    ]


def _trace(points: Points, *, by_hand: bool) -> ProbeTrace:
    return ProbeTrace(
        tuple(time for time, _ in points), tuple(value for _, value in points), by_hand
    )


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
