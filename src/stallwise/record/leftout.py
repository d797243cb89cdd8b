"""Readings left out and brought back after an import: the kept file says why, and loses nothing."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.readings import Dropped, Readings, from_csv
from stallwise.record.readingsreport import stretches
from stallwise.record.store import READINGS_BYTES

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["BY_HAND", "LeftOut", "bring_back", "leave_out", "left_out"]

BY_HAND = "left out by hand"
_CELSIUS, _WHY = 5, 6


@dataclass(frozen=True)
class LeftOut:
    """One stretch of readings that do not count.

    Attributes
    ----------
    number : int
        From 1, as listed.
    readings : Readings
        The probe they are of.
    dropped : sequence of Dropped
        By time, of one reason.
    """

    number: int
    readings: Readings
    dropped: Sequence[Dropped]

    @property
    def reason(self) -> str:
        """Why they do not count."""
        return self.dropped[0].reason

    @property
    def can_return(self) -> bool:
        """Whether there are numbers to bring back."""
        return any(one.celsius is not None for one in self.dropped)


def left_out(readings: Sequence[Readings]) -> tuple[LeftOut, ...]:
    """Stretches that do not count, numbered as listed."""
    runs = [(one, run) for one in readings for run in stretches(one.dropped)]
    return tuple(LeftOut(number, one, run) for number, (one, run) in enumerate(runs, 1))


def bring_back(folder: CookFolder, numbers: Sequence[int]) -> tuple[LeftOut, ...]:
    """Let stretches count again; their files are replaced whole.

    Parameters
    ----------
    folder : CookFolder
    numbers : sequence of int
        As listed by `left_out`; none means all that have numbers.

    Returns
    -------
    tuple of LeftOut
        What was brought back.

    Raises
    ------
    NotFoundError
        No such number.
    InputError
        There is no number to bring back.
    """
    there = {each.number: each for each in left_out(folder.own_readings())}
    wanted = numbers or [number for number, each in there.items() if each.can_return]
    for number in wanted:
        if number not in there:
            raise NotFoundError("stretch", str(number), map(str, there))
        if not there[number].can_return:
            came = f"stretch {number} holds no numbers ({there[number].dropped[0].value!r})"
            raise InputError(came, "a stretch with numbers")
    found = tuple(there[number] for number in wanted)
    back = {
        (each.readings.file, *_key(each.readings), one.at, one.reason)
        for each in found
        for one in each.dropped
    }

    def change(file: str, row: list[str]) -> None:
        why = row[_WHY].partition(": ")
        reason = why[2] or why[0]
        if row[_WHY] and row[_CELSIUS] and (file, *_row_key(row), _moment(row), reason) in back:
            row[_WHY] = ""

    _rewrite(folder, {each.readings.file for each in found}, change)
    return found


def leave_out(folder: CookFolder, channel: str, start: dt.datetime, end: dt.datetime) -> int:
    """Leave out the readings of a channel over a stretch; they stay in the file.

    Parameters
    ----------
    folder : CookFolder
    channel : str
        Name, as listed.
    start, end : datetime
        First and last instant that do not count.

    Returns
    -------
    int
        How many readings it was.
    """
    readings = folder.own_readings()
    if channel not in {one.channel for one in readings}:
        raise NotFoundError("channel", channel, {one.channel for one in readings})
    count = 0

    def change(file: str, row: list[str]) -> None:
        nonlocal count
        del file
        if row[4] == channel and not row[_WHY] and row[_CELSIUS] and start <= _moment(row) <= end:
            row[_WHY] = f"{row[_CELSIUS]} C: {BY_HAND}"
            count += 1

    _rewrite(folder, {one.file for one in readings if one.channel == channel}, change)
    return count


def _key(one: Readings) -> tuple[str, str, str, str]:
    return one.piece, one.pit, one.place, one.channel


def _row_key(row: Sequence[str]) -> tuple[str, ...]:
    return tuple(row[1:5])


def _moment(row: Sequence[str]) -> dt.datetime:
    return dt.datetime.fromisoformat(row[0])


def _rewrite(folder: CookFolder, files: set[str], change: Callable[[str, list[str]], None]) -> None:
    """Change rows of kept files, each file whole and only if it is still what was read."""
    for name in sorted(files):
        path = Path(name)
        was = folder.store.read_bytes(path, READINGS_BYTES)
        rows = list(csv.reader(io.StringIO(was.decode(), newline="")))
        for row in rows[1:]:
            change(name, row)
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(rows)
        new = out.getvalue()
        from_csv(new, file=name)
        if new.encode() != was:
            folder.store.cut(path, was, new.encode())
