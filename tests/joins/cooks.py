"""Small cooks for tests of the joins: plain records without a folder behind them."""

from __future__ import annotations

import datetime as dt
from typing import Any

from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Book, Cook, MixUse, Piece, PitUse

DATE = dt.date(2026, 5, 16)
NOW = dt.datetime(2026, 5, 10, 12, tzinfo=dt.UTC)


def ribs(**changes: Any) -> Piece:
    """One trimmed rack in foil."""
    return Piece(
        **{"letter": "A", "cut": "pork-spare-ribs-trimmed", "mass": "3 lb", "wrap": "foil"}
        | changes
    )


def record(
    *pieces: Piece, log: tuple[LogLine, ...] = (), mixes: tuple[str, ...] = (), **cook: Any
) -> CookRecord:
    """Record of a cook in UTC, served at 16:00 unless said otherwise."""
    given = {
        "title": "test cook",
        "date": DATE,
        "serve": "16:00",
        "pits": [PitUse(letter="P", start="225 F", climb_to="275 F")],
        "pieces": list(pieces) or [ribs()],
        "mixes": [MixUse(mix=name) for name in mixes],
    }
    return CookRecord(
        "test-cook",
        Cook(**given | cook),
        Book(title="test book"),
        {},
        log,
        (),
        {},
        {},
        {},
        None,
        (),
    )


def line(clock: str, what: str, piece: str = "", **data: Any) -> LogLine:
    """Log line at a clock time of the cook's date, UTC."""
    hour, minute = map(int, clock.split(":"))
    at = dt.datetime(DATE.year, DATE.month, DATE.day, hour, minute, tzinfo=dt.UTC)
    return LogLine(f"{clock}-{what}-{piece}", at, what, made=at, piece=piece, data=data)
