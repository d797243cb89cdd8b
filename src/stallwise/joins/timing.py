"""Wall clock and instants of one cook: its zone, when each piece went on, when it is eaten."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from zoneinfo import ZoneInfo

from stallwise.ground.errors import InputError
from stallwise.record import clocks
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine, effective
from stallwise.record.schema import Cook, Piece

__all__ = [
    "came_off",
    "concerns",
    "ends",
    "first_on",
    "hour_zero_logged",
    "logged_on",
    "moves",
    "planned_on",
    "seen",
    "serve_at",
]


#: Log words after which nothing is done to a piece on the pit.
_ENDS = frozenset({"off", "rest_start", "sliced", "pulled", "served"})
#: And those that bring it back to a heat.
_BACK = frozenset({"meat_on", "moved", "reheating"})


def serve_at(cook: Cook, piece: Piece, zone: ZoneInfo) -> dt.datetime | None:
    """When a piece is eaten or handed in; None where no serving time is set."""
    text = piece.serve or _handed_in(cook, piece) or cook.serve
    if not text:
        return None
    moment = clocks.moment(text, cook.date, zone).astimezone(zone)
    if moment.date() < cook.date:
        raise InputError(
            f"serving time {text!r} of piece {piece.letter} is in the past: the cook's date is "
            f"{cook.date}",
            f"a clock time on {cook.date}, or a later day",
            "Change serve or date in cook.toml, or give another --set serve=…",
        )
    return moment


def _handed_in(cook: Cook, piece: Piece) -> str | None:
    hand_ins = cook.contest.hand_ins if cook.contest else []
    return next((one.at for one in hand_ins if piece.letter in one.pieces), None)


def planned_on(cook: Cook, piece: Piece, zone: ZoneInfo) -> dt.datetime | None:
    """When a piece is planned to go on; a bare clock is the last such time before serving."""
    if not piece.on:
        return None
    moment = clocks.moment(piece.on, cook.date, zone).astimezone(zone)
    serve = serve_at(cook, piece, zone)
    if serve is None:
        return moment
    if moment >= serve and clocks.split_clock(piece.on)[0] is None:
        moment -= dt.timedelta(days=1)
    if moment >= serve:
        raise InputError(
            f"piece {piece.letter} goes on at {piece.on} and is served at {serve:%Y-%m-%d %H:%M}, "
            "which is in the past by then",
            "a serving time after meat on",
            "Change on or serve",
        )
    return moment


def seen(record: CookRecord, until: dt.datetime | None) -> tuple[LogLine, ...]:
    """Log lines in force, in order of time, up to and including `until`."""
    lines = (line for line in effective(record.log) if until is None or line.at <= until)
    return tuple(sorted(lines, key=lambda line: line.at))


def concerns(line: LogLine, piece: Piece) -> bool:
    """Whether a line is about this piece: its letter, its pit's, or everything."""
    if line.piece:
        return line.piece == piece.letter
    return not line.pit or line.pit == piece.pit


def came_off(lines: Iterable[LogLine], piece: Piece) -> dt.datetime | None:
    """When a piece came off and did not go back on; None while it is on the pit."""
    off = None
    for line in sorted(lines, key=lambda each: each.at):
        if concerns(line, piece):
            if line.what in _ENDS:
                off = off or line.at
            elif line.what in _BACK:
                off = None
    return off


def ends(line: LogLine, piece: Piece) -> bool:
    """Whether a line says that a piece is tender, off or past that."""
    if not concerns(line, piece):
        return False
    return line.what in _ENDS or line.data.get("verdict") in {"tender", "past it"}


def logged_on(lines: Iterable[LogLine], piece: Piece) -> dt.datetime | None:
    """When this piece went on, as logged."""
    on = [line.at for line in lines if line.what == "meat_on" and concerns(line, piece)]
    return min(on) if on else None


def moves(
    cook: Cook, piece: Piece, lines: Iterable[LogLine], zone: ZoneInfo, pits: Collection[str]
) -> list[tuple[dt.datetime, str, str | None]]:
    """When a piece goes into which other pit, and where in it: as logged, else as planned.

    A move within its pit, or to what is no pit of the cook, is none.
    """
    found = [(clocks.moment(move.at, cook.date, zone), move.to, move.place) for move in piece.moves]
    for line in lines:
        to = str(line.data.get("to", ""))
        if line.what == "moved" and concerns(line, piece) and to in pits:
            place = next((each[2] for each in found if each[1] == to), None)
            found = [each for each in found if each[1] != to]
            found.append((line.at, to, place))
    return sorted(found, key=lambda each: each[0])


def hour_zero_logged(record: CookRecord) -> dt.datetime | None:
    """Hour zero of the cook by its log: the first piece on."""
    return first_on(seen(record, None))


def first_on(lines: Iterable[LogLine]) -> dt.datetime | None:
    """Earliest meat-on among log lines."""
    on = [line.at for line in lines if line.what == "meat_on"]
    return min(on) if on else None
