"""Thawing: how long by mass, when it begins, and whether a frozen piece can reach the pit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError, NotFoundError
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.bedtime import clock_of, sleep
from stallwise.joins.sheet.stepdraft import SheetDay, after, make_step, utc
from stallwise.joins.sheet.steptable import step_row
from stallwise.record import clocks
from stallwise.record.schema import Cook, Piece
from stallwise.tables.parameters import parameter

__all__ = ["Thaw", "frozen_still", "thaw_span_s", "thaw_step", "thawed_at"]

#: Kind of step of each way, as rows of ``data/steps.csv``.
_STEPS: Mapping[str, str] = {"fridge": "thaw", "cold water": "thaw_cold"}
_WORDS: Mapping[str, str] = {"fridge": "in the fridge", "cold water": "in cold water"}


@dataclass(frozen=True)
class Thaw:
    """Time to thaw one piece [s]: usual, shortest and longest."""

    usual_s: float
    low_s: float
    high_s: float


def thaw_span_s(mass_kg: float, way: str = "fridge") -> Thaw:
    """Time in which a frozen piece thaws all through; several thaw side by side.

    Parameters
    ----------
    mass_kg : float
        One piece [kg].
    way : {"fridge", "cold water"}
        In a fridge at 40 °F (4 °C) or below; bagged in cold water that is changed every 30 min.

    References
    ----------
    [fsis-thaw]_
    """
    if way not in _STEPS:
        raise NotFoundError("way to thaw", way, _STEPS)
    row = step_row(_STEPS[way])
    return Thaw(row.usual_s * mass_kg, row.low_s * mass_kg, row.high_s * mass_kg)


def thaw_step(piece: SheetPiece, day: SheetDay, board: dt.datetime) -> Iterator[Step]:
    """Lay out thawing, so that it is over before the board; nothing where the cook says it is not frozen.

    Parameters
    ----------
    piece : SheetPiece
    day : SheetDay
    board : datetime
        When the piece is wanted thawed.
    """
    way = piece.piece.thaw
    span = thaw_span_s(piece.mass_kg, way)
    begin = after(board, -span.usual_s)
    row = step_row(_STEPS[way])
    frozen = piece.piece.frozen
    since = _since(day.cook, piece.piece, day.zone)
    told = f"{units.format_mass(piece.mass_kg, day.units)}: {_rule(way)}"
    yield make_step(
        row.key,
        piece.letter,
        since or _by_day(begin, day.cook, day.zone),
        (after(board, -span.high_s), after(board, -span.low_s)),
        piece=piece.letter,
        what=row.what.removesuffix(", if frozen") if frozen else "",
        detail=told,
    )


def _rule(way: str) -> str:
    return "24 h for each 4.5 lb (2 kg)" if way == "fridge" else "30 min for each pound (0.45 kg)"


def _by_day(when: dt.datetime, cook: Cook, zone: ZoneInfo) -> dt.datetime:
    """At an hour when people are up: a night's start is the evening before."""
    local, (to_bed, up) = when.astimezone(zone), sleep(cook)
    clock = local.time()
    asleep = clock >= to_bed or clock < up if to_bed > up else to_bed <= clock < up
    if not asleep:
        return when
    evening = local.date() - dt.timedelta(days=1 if clock < up else 0)
    hour = clock_of(parameter("thaw.evening").value)
    return utc(dt.datetime.combine(evening, hour, zone))


def _since(cook: Cook, piece: Piece, zone: ZoneInfo) -> dt.datetime | None:
    """Moment at which it was taken out of the freezer, where the cook says so."""
    return utc(clocks.moment(piece.thaw_from, cook.date, zone)) if piece.thaw_from else None


def thawed_at(
    cook: Cook, piece: Piece, mass_kg: float, *, as_of: dt.datetime, zone: ZoneInfo
) -> dt.datetime | None:
    """When a frozen piece is usually thawed, begun now or as noted; None where it is not frozen."""
    if not piece.frozen:
        return None
    begin = _since(cook, piece, zone) or utc(as_of)
    return after(begin, thaw_span_s(mass_kg, piece.thaw).usual_s)


def frozen_still(
    piece: SheetPiece,
    cook: Cook,
    *,
    as_of: dt.datetime,
    zone: ZoneInfo,
    wanted: dt.datetime | None,
    ready: str,
    system: str,
) -> tuple[CookWarning, ...]:
    """Say that a piece is frozen when it is wanted on the pit, and what can be done.

    Parameters
    ----------
    piece : SheetPiece
        Not on the pit yet.
    cook : Cook
    as_of : datetime
        Now: thawing begins no earlier, unless the cook noted when it began.
    zone : ZoneInfo
        Of the cook.
    wanted : datetime or None
        When it is to go on for the odds that were asked for; None where nothing is promised.
    ready : str
        By when it can be eaten, as words to add.
    system : {"us", "metric"}

    Raises
    ------
    InputError
        It is to go on, at a time that the cook set, while it is frozen.
    """
    thawed_by = thawed_at(cook, piece.piece, piece.mass_kg, as_of=as_of, zone=zone)
    if thawed_by is None:
        return ()
    takes = units.format_duration(thaw_span_s(piece.mass_kg, piece.piece.thaw).usual_s)
    said = f"{units.format_mass(piece.mass_kg, system)} take {takes} {_WORDS[piece.piece.thaw]}"
    thawed = f"{thawed_by.astimezone(zone):%A %H:%M}"
    if piece.piece.on and utc(piece.on_at) < thawed_by:
        raise InputError(
            f"piece {piece.letter} is frozen and goes on on {piece.on_at:%A at %H:%M}: {said}",
            f"meat on after {thawed}",
            f"Change on or serve, or take a piece that is thawed{_sooner(piece, as_of, zone)}",
        )
    if wanted is None or utc(wanted) >= thawed_by:
        return ()
    text = (
        f"It is frozen, and frozen meat does not go on the pit: {said}, so it is at the board on "
        f"{thawed} at the earliest, and is wanted on the pit on {wanted.astimezone(zone):%A at %H:%M}"
        f"{_sooner(piece, as_of, zone)}. Serve it later, or take a piece that is thawed.{ready}"
    )
    return (CookWarning("frozen", text, piece.letter),)


def _sooner(piece: SheetPiece, as_of: dt.datetime, zone: ZoneInfo) -> str:
    """Offer cold water where it is thawed in a fridge."""
    if piece.piece.thaw == "cold water" or piece.piece.thaw_from:
        return ""
    cold = after(utc(as_of), thaw_span_s(piece.mass_kg, "cold water").usual_s)
    at = cold.astimezone(zone)
    return f" (in cold water, begun now, it is thawed by {at:%A %H:%M})"
