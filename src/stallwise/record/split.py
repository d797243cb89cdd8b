"""A probe that went from one piece to another: its column, read as one for each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from stallwise.ground.errors import InputError
from stallwise.record import cleaning
from stallwise.record.clocks import moment, split_clock
from stallwise.record.clocks import zone as zone_of
from stallwise.record.column import Column, Moved
from stallwise.record.frame import Frame
from stallwise.record.readings import Channel

__all__ = ["of_moves", "split"]

#: A probe that is out of the meat for longer may have gone into another piece [s].
_GONE_S = 1800.0


def split(
    columns: Sequence[Column], at: Sequence[dt.datetime | None], frame: Frame
) -> list[Column]:
    """Read a column that measured several things as one for each.

    Parameters
    ----------
    columns : sequence of Column
    at : sequence of datetime or None
        Instants of the rows, in the order of the file.
    frame : Frame

    Raises
    ------
    InputError
        It was moved at a time that is not in the file, or the times run backwards.
    """
    return [part for column in columns for part in _parts(column, at, frame)]


def _parts(column: Column, at: Sequence[dt.datetime | None], frame: Frame) -> list[Column]:
    found = []
    since: dt.datetime | None = None
    place = column.place
    while place.then is not None:
        until = _within(place.until, column.name, [when for when in at if when], frame)
        if since is not None and until <= since:
            raise InputError(
                f"--column {column.name!r} is moved at {place.until}, before it was moved last",
                "times one after another",
            )
        found.append(replace(column, place=place, cells=_cut(column, at, since, until)))
        since, place = until, place.then
    if since is None:
        return [column]
    return [*found, replace(column, place=place, cells=_cut(column, at, since, None))]


def _cut(
    column: Column,
    at: Sequence[dt.datetime | None],
    since: dt.datetime | None,
    until: dt.datetime | None,
) -> tuple[str, ...]:
    return tuple(
        cell
        if when and (since is None or when >= since) and (until is None or when < until)
        else ""
        for cell, when in zip(column.cells, at, strict=True)
    )


def _within(text: str, name: str, at: Sequence[dt.datetime], frame: Frame) -> dt.datetime:
    """Instant of a clock time inside a file, on the day on which it is there."""
    where = zone_of(frame.home or frame.zone)
    said, _ = split_clock(text)
    first, last = min(at, default=None), max(at, default=None)
    if first is None or last is None:
        return moment(text, frame.day, where)
    day = said or first.astimezone(where).date()
    days = (last.astimezone(where).date() - day).days if said is None else 0
    for number in range(days + 1):
        when = moment(text, day + dt.timedelta(days=number), where)
        if first <= when <= last:
            return when
    raise InputError(
        f"--column {name!r} is moved at {text}, and the file does not reach there",
        f"a time from {first.astimezone(where):%Y-%m-%d %H:%M} to {last.astimezone(where):%Y-%m-%d %H:%M}",
    )


def of_moves(
    columns: Sequence[Column], channels: Sequence[Channel], moved: Sequence[Moved], frame: Frame
) -> tuple[list[str], list[str]]:
    """Ask about a probe that may have gone to another piece; say where it was moved.

    Parameters
    ----------
    columns, channels : sequences
        As read, one for one.
    moved : sequence of Moved
        Leaps of probes in pieces.
    frame : Frame

    Returns
    -------
    (list of str, list of str)
        Questions, notes.
    """
    where = zone_of(frame.home or frame.zone)
    questions, notes = [], []
    asked: set[str] = set()
    for leap in moved:
        column, said = leap.column, leap.said(where)
        other = _other(column, frame)
        if not other:
            notes.append(
                f"{said}; both sides are kept. If the probe was out of the meat, "
                "leave that stretch out with --leave-out"
            )
            continue
        way = f"--column '{column.name}={column.place.piece} until {leap.when.astimezone(where):%H:%M} {other}'"
        if column.place.sure:
            notes.append(f"{said}; both sides are kept. If it went into another piece, say {way}")
        elif column.name not in asked:
            asked.add(column.name)
            questions.append(
                f"{said} and stays: was the probe put into another piece? Say {way} if so, or "
                f"--column '{column.name}={column.place.piece}' if it stayed in {column.place.piece}"
            )
    for column, channel in zip(columns, channels, strict=True):
        since, other = _gone_since(channel), _other(column, frame)
        if since is not None and other:
            clock = f"{since.astimezone(where):%H:%M}"
            notes.append(
                f"{column.name!r} is left out from {clock} on, as out of the meat. If it went into "
                f"another piece, say --column '{column.name}={channel.piece} until {clock} {other}'"
            )
    return questions, notes


def _other(column: Column, frame: Frame) -> str:
    """Name another piece of the cook, where there is one and the column is of a piece."""
    piece = column.place.piece
    return next((letter for letter in frame.pieces if letter != piece), "") if piece else ""


def _gone_since(channel: Channel) -> dt.datetime | None:
    """When a probe of a piece came out for good, long before the file ends."""
    last = channel.at[-1] if channel.at else None
    out = [
        one.at
        for one in channel.dropped
        if one.reason in cleaning.OUT_OF_MEAT and (last is None or one.at > last)
    ]
    return out[0] if out and (out[-1] - out[0]).total_seconds() >= _GONE_S else None
