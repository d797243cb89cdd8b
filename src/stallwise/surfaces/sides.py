"""What does not fit one side of paper: where a plan is best broken."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.joins.instants import apart

__all__ = ["Row", "broken"]

#: A break may stand so far from an even share of the room to fall into a longer pause.
_SLACK = 0.2


@dataclass(frozen=True)
class Row:
    """A row's height [mm] and its time."""

    height_mm: float
    at: dt.datetime


def broken(rows: Sequence[Row], first_mm: float, other_mm: float) -> list[int]:
    """Break rows into sides, about evenly full, in the longest pause near by.

    Parameters
    ----------
    rows : sequence of Row
        In order of time.
    first_mm, other_mm : float
        Room on the first side and on each later one.

    Returns
    -------
    list of int
        Index of the first row of each side.
    """
    count = len(_greedy(rows, first_mm, other_mm, 1.0))
    # As full as need be and no fuller, so that no side is left with two rows.
    share = next(
        step / 20.0
        for step in range(8, 21)
        if len(_greedy(rows, first_mm, other_mm, step / 20.0)) <= count
    )
    starts, index = [0], 0
    while len(starts) < count:
        room = first_mm if len(starts) == 1 else other_mm
        index = _pause(rows, index, room, share, left=count - len(starts), other_mm=other_mm)
        starts.append(index)
    return starts


def _greedy(rows: Sequence[Row], first_mm: float, other_mm: float, share: float) -> list[int]:
    starts, used = [0], 0.0
    for index, row in enumerate(rows):
        room = (first_mm if len(starts) == 1 else other_mm) * share
        if used and used + row.height_mm > room:
            starts.append(index)
            used = 0.0
        used += row.height_mm
    return starts


def _pause(
    rows: Sequence[Row], start: int, room: float, share: float, *, left: int, other_mm: float
) -> int:
    """Row after the longest pause, between too empty and too full."""
    used, found, longest = 0.0, start + 1, dt.timedelta(-1)
    for index in range(start, len(rows) - 1):
        used += rows[index].height_mm
        if used > room:
            break
        rest = len(_greedy(rows[index + 1 :], other_mm, other_mm, 1.0))
        pause = apart(rows[index + 1].at, rows[index].at)
        near = used >= (share - _SLACK) * room and rest <= left
        if not near:
            found = index + 1 if longest < dt.timedelta(0) else found
        elif pause > longest:
            found, longest = index + 1, pause
    return found
