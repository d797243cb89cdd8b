"""Tables round the day sheet: what is laid out before, who lies on which shelf when."""

from __future__ import annotations

from stallwise.joins import words
from stallwise.joins.result import Result
from stallwise.joins.tables import Table

__all__ = ["gear_table", "load_table"]


def gear_table(result: Result) -> Table:
    """List what the day needs laid out, and how much of it."""
    rows = tuple((line.what, line.text) for line in result.gear)
    return Table("Laid out before", ("what", "how much"), rows, "gear")


def load_table(result: Result) -> Table:
    """Who lies on which shelf of which pit, from each change to the next."""
    rows = [
        (
            load.pit,
            words.day_clock(words.round_clock(load.since, result.as_of), result.date),
            words.day_clock(words.round_clock(load.until, result.as_of), result.date),
            shelf.name,
            words.joined([f"{many} of {letter}" for letter, many in shelf.pieces]),
            words.percent(shelf.share),
        )
        for load in result.loads
        for shelf in load.shelves
        if shelf.pieces
    ]
    return Table(
        "On the shelves", ("pit", "from", "to", "shelf", "pieces", "taken"), tuple(rows), "shelves"
    )
