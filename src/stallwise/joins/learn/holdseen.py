"""Holds of a finished cook as they were read: the core when it came off the fire and later, in its box."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from stallwise.joins import timing
from stallwise.joins.foresight import Asked
from stallwise.joins.learn.probed import core_probes
from stallwise.joins.plan import Planned
from stallwise.models.holdlesson import HoldSeen
from stallwise.record.schema import Piece
from stallwise.tables.parameters import parameter

__all__ = ["holds_seen"]

_OPENED = frozenset({"served", "sliced", "pulled", "chilled", "reheating"})


def holds_seen(
    asked: Asked, planned: Sequence[Planned], on: Mapping[str, dt.datetime]
) -> tuple[HoldSeen, ...]:
    """Find the first and the last reading of each piece that lay in a box or an oven.

    Parameters
    ----------
    asked : Asked
        A finished cook.
    planned, on
        Its pieces, and when each went on.
    """
    found = []
    for one in planned:
        if one.plan.hold.place == "counter":
            continue
        began = _when(asked, one.piece, {"rest_start"}) or _when(asked, one.piece, {"off"})
        if began is None or began <= on[one.piece.letter]:
            continue
        until = _when(asked, one.piece, _OPENED)
        read = [
            ((at - began).total_seconds(), core_c)
            for at, core_c in _cores(asked, one.piece)
            if at >= began + dt.timedelta(seconds=parameter("learn.hold.settles").value)
            and (until is None or at <= until)
        ]
        if len(read) < 2:
            continue
        (first_s, first_c), (last_s, last_c) = min(read), max(read)
        if last_s - first_s >= parameter("learn.hold.span").value * 3600.0:
            found.append(HoldSeen(one.plan, (first_s, last_s), (first_c, last_c)))
    return tuple(found)


def _when(asked: Asked, piece: Piece, whats: frozenset[str] | set[str]) -> dt.datetime | None:
    at = [line.at for line in asked.lines if line.what in whats and timing.concerns(line, piece)]
    return min(at, default=None)


def _cores(asked: Asked, piece: Piece) -> list[tuple[dt.datetime, float]]:
    """Core readings of a piece, by hand and by its longest probe."""
    found = [
        (line.at, float(line.data["temperature_c"]))
        for line in asked.lines
        if line.what == "core_reading" and timing.concerns(line, piece)
    ]
    for probe in core_probes(asked.record.readings, piece.letter)[:1]:
        found += [(at, core) for at, core in probe.kept(asked.as_of)]
    return sorted(found)
