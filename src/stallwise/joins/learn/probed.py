"""What probes have read of a piece, as the models take it."""

from __future__ import annotations

import datetime as dt
import statistics
from collections.abc import Iterable, Sequence

from stallwise.joins import timing
from stallwise.models.plan import ProbeTrace
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings, of_letter
from stallwise.record.schema import Piece

__all__ = [
    "NOT_CORE",
    "Points",
    "core_probes",
    "each_once",
    "probe_traces",
    "read_points",
    "seconds",
    "together",
]

#: Places of a piece that say nothing of its core, and what the limits call them.
NOT_CORE = {"surface": "surface", "skin": "surface", "stuffing": "stuffing"}
#: Readings are taken together over this time: nearer ones tell the same.
_TOGETHER_S = 300.0

Points = list[tuple[float, float]]


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
    for one in core_probes(readings, piece.letter):  # its imports joined: one probe, one trace
        points = together(read_points(one, on_at, until))
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
        traces.append(_trace(sorted(seconds(by_hand, on_at)), by_hand=True))
    return tuple(traces)


def each_once(readings: Iterable[Readings]) -> tuple[Readings, ...]:
    """Join the imports of each probe of a piece or pit; one that is nobody's is left out."""
    some = tuple(readings)
    letters = dict.fromkeys(letter for one in some if (letter := one.piece or one.pit))
    return tuple(joined for letter in letters for joined in of_letter(some, letter))


def core_probes(readings: Iterable[Readings], letter: str) -> tuple[Readings, ...]:
    """Take the probes in the core of a piece, the longest first; one on its surface is not."""
    return tuple(
        one
        for one in of_letter(readings, letter)
        if one.piece and one.place.casefold() not in NOT_CORE
    )


def read_points(one: Readings, on_at: dt.datetime, until: dt.datetime) -> Points:
    """Take readings that count as seconds and °C, from a moment on and up to another."""
    return [point for point in zip(*one.elapsed(on_at, until), strict=True) if point[0] >= 0.0]


def seconds(pairs: Iterable[tuple[dt.datetime, float]], on_at: dt.datetime) -> Points:
    """Put instants as seconds after one of them, with their values."""
    return [((at - on_at).total_seconds(), value) for at, value in pairs]


def together(points: Points) -> Points:
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
