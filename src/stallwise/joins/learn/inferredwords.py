"""Words and the table of what the readings suggest, the same on every surface."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from stallwise.joins import words
from stallwise.joins.result import Inferred, Result
from stallwise.joins.tables import Table

__all__ = ["inferred_table", "own", "said"]

_NAMES = {
    "meat_on": "meat on",
    "lid_open": "lid open",
    "stall": "stall",
    "wrapped": "wrapped",
    "probe_moved": "probe moved",
    "probe_suspect": "probe off the core",
    "pit_sag": "pit sagged",
    "feel_check": "time to feel it",
    "off": "off the fire",
}
#: Happens again and again: one row for all of it.
_REPEATED = frozenset({"lid_open"})


def said(item: Inferred, *, times: int = 1) -> str:
    """Say it with how sure it is: ``likely stall``, ``likely lid open, 3 times``."""
    text = f"{item.words} {_NAMES[item.kind]}"
    return f"{text}, {times} times" if times > 1 else text


def own(result: Result) -> tuple[Inferred, ...]:
    """Take what nobody has written down."""
    return tuple(item for item in result.inferred if not item.agrees_with)


def inferred_table(result: Result) -> Table:
    """Lay out what the readings suggest, with what the log says of it.

    Parameters
    ----------
    result : Result
        The day.

    Returns
    -------
    Table
        Without rows where there are no readings, or nothing is to be seen in them.
    """
    return Table(
        "What the readings look like",
        ("of", "what", "from", "to", "read", "logged", "because"),
        tuple(_row(items, result) for items in _groups(result)),
        "inferred",
    )


def _groups(result: Result) -> Iterator[list[Inferred]]:
    """One item a row; what happens again and again, of one pit and one sureness, in one."""

    def alike(item: Inferred) -> tuple[str, ...]:
        if item.kind not in _REPEATED:
            return ("", str(result.inferred.index(item)))
        return (item.kind, item.pit, item.words, "logged" if item.agrees_with else "")

    together = [list(items) for _, items in groupby(sorted(result.inferred, key=alike), key=alike)]
    together.sort(key=lambda items: items[0].elapsed_h)
    yield from together


def _row(items: list[Inferred], result: Result) -> tuple[str, ...]:
    first, last = items[0], items[-1]
    end = last.at if len(items) > 1 else last.until
    logged = sorted({item.agrees_with.replace("_", " ") for item in items} - {""})
    read = ""
    if len(items) == 1 and first.temperature_c is not None:
        read = words.temperature(first.temperature_c, result.units)
    return (
        first.piece or first.pit,
        said(first, times=len(items)),
        words.day_clock(first.at, result.date),
        "" if end is None else words.day_clock(end, result.date),
        read,
        ", ".join(logged),
        first.why,
    )
