"""Everything that is known of one cook, read from its folder: plain, frozen, no files behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground.errors import CookWarning
from stallwise.record.clocks import moment
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Book, Cook, Pit

__all__ = ["CookRecord", "state_of", "zero_of"]

#: Log words after which a piece is out of the fire's hands.
_SERVED = frozenset({"served", "sliced", "pulled"})


@dataclass(frozen=True)
class CookRecord:
    """One cook as read.

    Attributes
    ----------
    name : str
        Of its folder.
    cook : Cook
        The plan and the facts.
    book : Book
        Settings of the cookbook.
    pits : mapping of str to Pit
        What a person wrote of the pits, by name.
    log : tuple of LogLine
        In force: corrections in their place, by time.
    readings : tuple of Readings
    cuts, ingredients, mixes : mapping of str to dict
        The cook's own, to be laid over the shipped tables; mixes as used in this cook win.
    learned : mapping or None
        What the logged cooks taught.
    forecasts : tuple of dict
        Forecasts kept, in the order of the file.
    warnings : tuple of CookWarning
        What could not be read, in words.
    """

    name: str
    cook: Cook
    book: Book
    pits: Mapping[str, Pit]
    log: tuple[LogLine, ...]
    readings: tuple[Readings, ...]
    cuts: Mapping[str, dict[str, Any]]
    ingredients: Mapping[str, dict[str, Any]]
    mixes: Mapping[str, dict[str, Any]]
    learned: Mapping[str, Any] | None
    forecasts: tuple[dict[str, Any], ...]
    warnings: tuple[CookWarning, ...] = ()

    @property
    def zone(self) -> ZoneInfo:
        """Zone of the cook, or else of the book."""
        return ZoneInfo(self.cook.time_zone or self.book.time_zone)

    @property
    def state(self) -> str:
        """``planned``, ``running`` or ``finished``; told by what is written, not by the clock."""
        return state_of(self.cook, self.log)


def state_of(cook: Cook, log: tuple[LogLine, ...]) -> str:
    """State of a cook: ``planned``, ``running`` or ``finished``; see `CookRecord.state`."""
    served = {line.piece for line in log if line.what in _SERVED}
    every = "" in served or all(piece.letter in served for piece in cook.pieces)
    if every or cook.outcome or cook.tasting or cook.next_time or cook.number:
        return "finished"
    return "running" if any(line.what == "meat_on" for line in log) else "planned"


def zero_of(cook: Cook, log: tuple[LogLine, ...], zone: ZoneInfo) -> dt.datetime | None:
    """Hour zero (UTC): the first piece on as logged, or else as planned; None when neither is known."""
    logged = [line.at for line in log if line.what == "meat_on"]
    planned = [moment(piece.on, cook.date, zone) for piece in cook.pieces if piece.on]
    return min(logged or planned, default=None)
