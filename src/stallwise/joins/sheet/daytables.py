"""Tables round the day sheet: what is laid out before, who lies on which shelf when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from stallwise.joins import words
from stallwise.joins.result import Result
from stallwise.joins.sheet.dayresult import PitLoad, ShelfLoad
from stallwise.joins.tables import Table

__all__ = ["gear_table", "load_lines", "load_table"]


def gear_table(result: Result) -> Table:
    """List what the day needs laid out, and how much of it."""
    rows = tuple((line.what, line.text) for line in result.gear)
    return Table("Laid out before", ("what", "how much"), rows, "gear")


def load_table(result: Result) -> Table:
    """Who lies on which shelf of which pit, from each change to the next that shows on a clock."""
    rows = [
        (load.pit, *span, shelf.name, words.joined(_each(shelf)), words.percent(shelf.share))
        for load, span in _loads(result)
        for shelf in load.shelves
        if shelf.pieces
    ]
    columns = ("pit", "from", "to", "shelf", "pieces", "taken")
    return Table("On the shelves", columns, tuple(rows), "shelves")


def load_lines(result: Result, pit: str) -> list[str]:
    """Say who lies where in one pit, a sentence from each change to the next."""
    return [
        f"{since} to {until}: {', '.join(shelves)}."
        for load, (since, until) in _loads(result)
        if load.pit == pit
        for shelves in [[_on_it(shelf) for shelf in load.shelves if shelf.pieces]]
        if shelves
    ]


def _on_it(shelf: ShelfLoad) -> str:
    on_it = [letter if many == 1 else f"{many} {letter}" for letter, many in shelf.pieces]
    return f"{shelf.name} {' '.join(on_it)}"


def _loads(result: Result) -> Iterator[tuple[PitLoad, tuple[str, str]]]:
    """Give loads with their times; those too short to show on a clock are left out."""
    for load in result.loads:
        since, until = (_clock(at, result) for at in (load.since, load.until))
        if since != until:
            yield load, (since, until)


def _clock(at: dt.datetime, result: Result) -> str:
    return words.day_clock(words.round_clock(at, result.as_of), result.date)


def _each(shelf: ShelfLoad) -> list[str]:
    return [f"{many} of {letter}" for letter, many in shelf.pieces]
