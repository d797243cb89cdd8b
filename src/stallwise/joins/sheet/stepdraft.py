"""What steps of a day sheet are made of: the day's plan, clock times of stages, one step."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from stallwise.ground.ensemble import quantiles
from stallwise.joins.chances import SheetPiece
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.result import Step
from stallwise.joins.sheet.steptable import step_row
from stallwise.record import clocks
from stallwise.record.schema import Cook

__all__ = [
    "FORECAST",
    "Clocks",
    "SheetDay",
    "after",
    "clocks_of",
    "make_step",
    "moves_of",
    "pit_of",
    "tender_of",
    "utc",
]

#: Source key of a step whose time comes from the forecast.
FORECAST = "forecast"


@dataclass(frozen=True)
class SheetDay:
    """What all steps of a cook share."""

    cook: Cook
    pits: Mapping[str, PitState]
    start_s: Mapping[str, float]
    hour_zero: dt.datetime
    units: str
    mixes: Sequence[MixResult]
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    fuel: Sequence[FuelResult] = ()


@dataclass(frozen=True)
class Clocks:
    """Early, middle and late time of a stage on the clock."""

    low: dt.datetime
    middle: dt.datetime
    high: dt.datetime


def make_step(
    key: str,
    whose: str,
    at: dt.datetime,
    span: tuple[dt.datetime, dt.datetime] | None = None,
    *,
    piece: str = "",
    pit: str = "",
    what: str = "",
    until: str = "",
    detail: str = "",
    source: str = "",
    hands_s: float = 0.0,
) -> Step:
    """Make a step of a kind of the table; what is not given is the table's."""
    row = step_row(key)
    low, high = span or (at, at)
    return Step(
        id=f"{key}-{whose}" if whose else key,
        what=what or row.what,
        piece=piece,
        pit=pit,
        at=at,
        earliest=min(low, at),
        latest=max(high, at),
        until_sign=until or row.until_sign,
        detail=detail,
        caution="",
        done_at=None,
        source=source or row.source,
        hands_s=hands_s,
    )


def after(when: dt.datetime, by_s: float) -> dt.datetime:
    """Instant so many seconds later, by the instant and not by the wall clock."""
    return when + dt.timedelta(seconds=by_s)


def utc(when: dt.datetime) -> dt.datetime:
    """Take a time to UTC, where sums are right."""
    return when.astimezone(dt.UTC)


def clocks_of(piece: SheetPiece, seconds: Any) -> Clocks | None:
    """Early, middle and late clock times of a stage; None where it never comes."""
    reached = np.asarray(seconds)[np.isfinite(seconds)]
    if not len(reached):
        return None
    # A quantile that is not reached stands at the last day that is.
    found = [
        min(float(value), float(np.max(reached)))
        for value in quantiles(seconds, (0.1, 0.5, 0.9), piece.weights)
    ]
    return Clocks(*(after(utc(piece.on_at), value) for value in found))


def tender_of(piece: SheetPiece) -> Clocks | None:
    """Clock times at which a piece is tender."""
    return clocks_of(piece, piece.tender_s)


def pit_of(piece: SheetPiece, day: SheetDay) -> str:
    """Letter of the pit that a piece goes on in."""
    return piece.piece.pit or next(iter(day.pits), "")


def moves_of(piece: SheetPiece, day: SheetDay) -> Iterator[tuple[str, dt.datetime]]:
    """Pits that a piece is moved to, and when."""
    for move in piece.piece.moves:
        yield move.to, clocks.moment(move.at, day.cook.date, day.zone)
