"""Everything that is known of one cook, read from its folder: plain, frozen, no files behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground.errors import CookWarning
from stallwise.record.clocks import moment, split_clock
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Book, Cook, Piece, Pit
from stallwise.record.trial import TrialRecord
from stallwise.record.weighins import WeighIn

__all__ = ["CookRecord", "state_of", "zero_of"]

#: Log words after which a piece is out of the fire's hands.
_ENDS = frozenset({"off", "rest_start", "served", "sliced", "pulled"})


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
    freezer : mapping of str to float
        Trimmings of earlier cooks that this one names, and how much is left of them [kg].
    printed : mapping
        What stands on the sheet as it was last printed; see `stallwise.record.handouts`.
    weighed : tuple of WeighIn
        Of earlier cooks that weighed what was eaten of one of its cuts, oldest first.
    trials : tuple of TrialRecord
        Side-by-sides that it takes part in, with the answers of all their cooks.
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
    freezer: Mapping[str, float] = field(default_factory=dict)
    printed: Mapping[str, Any] = field(default_factory=dict)
    weighed: tuple[WeighIn, ...] = ()
    trials: tuple[TrialRecord, ...] = ()

    @property
    def zone(self) -> ZoneInfo:
        """Zone of the cook, or else of the book."""
        return ZoneInfo(self.cook.time_zone or self.book.time_zone)

    @property
    def state(self) -> str:
        """``planned``, ``running`` or ``finished``; told by the log, not by the clock."""
        return state_of(self.cook, self.log)


def state_of(cook: Cook, log: tuple[LogLine, ...]) -> str:
    """Tell the state of a cook by its log: ``planned``, ``running`` or ``finished``."""
    if not any(line.what == "meat_on" for line in log):
        return "planned"
    ended = {line.piece for line in log if line.what in _ENDS}
    every = "" in ended or all(piece.letter in ended for piece in cook.pieces)
    return "finished" if every else "running"


def zero_of(cook: Cook, log: tuple[LogLine, ...], zone: ZoneInfo) -> dt.datetime | None:
    """Tell hour zero (UTC): the first piece on as logged, or else as planned; or None.

    A bare clock time is the last such time before serving.
    """
    logged = [line.at for line in log if line.what == "meat_on"]
    planned = [_planned(cook, piece, zone) for piece in cook.pieces if piece.on]
    return min(logged or [when for when in planned if when], default=None)


def _planned(cook: Cook, piece: Piece, zone: ZoneInfo) -> dt.datetime | None:
    if not piece.on:
        return None
    said, _ = split_clock(piece.on)
    on = moment(piece.on, cook.date, zone)
    serve = piece.serve or cook.serve
    if said is None and serve and on >= moment(serve, cook.date, zone):
        return moment(piece.on, cook.date - dt.timedelta(days=1), zone)
    return on
