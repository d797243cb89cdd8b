"""A cook as the limits see it: its lines and readings up to the moment that counts."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.learn.probed import each_once
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Cook
from stallwise.tables.limits import figure

__all__ = ["CookFacts", "cook_facts", "seconds"]


@dataclass(frozen=True)
class CookFacts:
    """A cook as the limits see it.

    Attributes
    ----------
    record, cook : CookRecord, Cook
        As read, and with changes laid over it.
    lines : tuple of LogLine
        In force, up to `until`.
    readings : tuple of Readings
        Each probe once.
    zero, until, asked : datetime
        Where seconds are counted from, as far as anything is known, and the moment of the asking.
    ended : bool
        The log has been still for a day: what is still open will not be written any more.
    """

    record: CookRecord
    cook: Cook
    lines: tuple[LogLine, ...]
    readings: tuple[Readings, ...]
    zero: dt.datetime
    until: dt.datetime
    asked: dt.datetime
    ended: bool

    @property
    def now_s(self) -> float:
        """As far as anything is known [s]."""
        return seconds(self, self.until)

    @property
    def elevation_m(self) -> float | None:
        """Of the cook, or else of the book [m]; None where nobody has written it."""
        book = self.record.book
        said = self.cook.elevation or (
            book.elevation if "elevation" in book.model_fields_set else None
        )
        return None if said is None else units.parse("elevation", said)

    @property
    def ambient_c(self) -> float | None:
        """Air as the cook wrote it [°C]."""
        said = self.cook.weather.ambient
        return None if said is None else units.parse("temperature", said)


def seconds(facts: CookFacts, when: dt.datetime) -> float:
    """Count seconds since the zero of the facts."""
    return (when - facts.zero).total_seconds()


def cook_facts(record: CookRecord, cook: Cook, until: dt.datetime) -> CookFacts:
    """Gather what is known of a cook up to a moment.

    Parameters
    ----------
    record, cook : CookRecord, Cook
        As read, and with changes laid over it.
    until : datetime
        Later lines and readings do not count. A log that has been still for a day has ended, and
        so have its clocks.
    """
    lines = timing.seen(record, until)
    readings = each_once(record.readings)
    last = [line.at for line in lines]
    last += [when for one in readings for when in one.at[-1:] if when <= until]
    ended = bool(last) and (until - max(last)).total_seconds() > figure("still").si
    begun = [line.at for line in lines if line.what == "meat_on"]
    zero = min(begun or last or [until])
    known = max(last) if ended else until
    return CookFacts(record, cook, lines, readings, zero, known, until, ended)
