"""Tables round the day sheet: what is laid out before, who lies on which shelf when."""

from __future__ import annotations

import datetime as dt

from stallwise.joins import words
from stallwise.joins.dayresult import ShelfLoad
from stallwise.joins.result import Result
from stallwise.joins.tables import Table

__all__ = ["gear_table", "load_table"]


def gear_table(result: Result) -> Table:
    """List what the day needs laid out, and how much of it."""
    rows = tuple((line.what, line.text) for line in result.gear)
    return Table("Laid out before", ("what", "how much"), rows, "gear")


def load_table(result: Result) -> Table:
    """Who lies on which shelf of which pit, from each change to the next that shows on a clock."""
    rows = [
        (load.pit, *span, shelf.name, words.joined(_each(shelf)), words.percent(shelf.share))
        for load in result.loads
        for span in [tuple(_clock(at, result) for at in (load.since, load.until))]
        for shelf in load.shelves
        if shelf.pieces and span[0] != span[1]
    ]
    columns = ("pit", "from", "to", "shelf", "pieces", "taken")
    return Table("On the shelves", columns, tuple(rows), "shelves")


def _clock(at: dt.datetime, result: Result) -> str:
    return words.day_clock(words.round_clock(at, result.as_of), result.date)


def _each(shelf: ShelfLoad) -> list[str]:
    return [f"{many} of {letter}" for letter, many in shelf.pieces]
