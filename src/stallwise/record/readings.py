"""Readings of a probe: temperatures over time, as kept in ``readings/*.csv``.

A kept file has one row a reading: time (UTC, RFC 3339), piece, pit, place, channel, celsius
and, where a value was left out, its text and why. A row with a reason is not counted, whatever
its celsius; to clear the reason is to bring the reading back. The file as it came lies beside.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from operator import itemgetter

from stallwise.record.clocks import rfc3339
from stallwise.record.problems import Problem, RecordError

__all__ = [
    "COLUMNS",
    "GAP_S",
    "Channel",
    "Dropped",
    "Gap",
    "Readings",
    "as_csv",
    "from_csv",
    "gaps",
    "joined",
    "of_letter",
]

COLUMNS = ("time", "piece", "pit", "place", "channel", "celsius", "dropped")

#: A probe that says nothing for longer than this [s] has a gap; see data/record_limits.csv.
GAP_S = 1200.0

Gap = tuple[dt.datetime, dt.datetime]


@dataclass(frozen=True)
class Dropped:
    """One value that was left out, and why.

    Attributes
    ----------
    at : datetime
        Instant (UTC).
    value : str
        As it stood in the file.
    reason : str
        In words.
    celsius : float, optional
        The same [°C], where it is a number.
    """

    at: dt.datetime
    value: str
    reason: str
    celsius: float | None = None


@dataclass(frozen=True)
class Readings:
    """One probe's temperatures over time.

    Attributes
    ----------
    file, channel : str
        File under ``readings`` and name of the channel in it.
    piece, pit : str
        Letter of what it measures; the other one is empty.
    place : str
        Where: ``grate``, ``lid``, a spot in the meat; may be empty.
    at : tuple of datetime
        Instants (UTC), ascending.
    temperature_c : tuple of float or None
        Temperatures [°C]; None where a value was left out.
    dropped : tuple of Dropped
        The values left out, by time, each with its reason.
    clock_said : bool
        The cook has said how its clock stood.
    """

    file: str
    channel: str
    piece: str
    pit: str
    place: str
    at: tuple[dt.datetime, ...]
    temperature_c: tuple[float | None, ...]
    dropped: tuple[Dropped, ...] = ()
    clock_said: bool = False

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Stretches of more than `GAP_S` without a value: nothing is known within."""
        return gaps(self.at, self.temperature_c)

    def kept(self, until: dt.datetime | None = None) -> tuple[tuple[dt.datetime, float], ...]:
        """Instants (UTC) and temperatures [°C] that were not left out, up to a moment."""
        return tuple(
            (when, value)
            for when, value in zip(self.at, self.temperature_c, strict=True)
            if value is not None and (until is None or when <= until)
        )

    def elapsed(
        self, zero: dt.datetime, until: dt.datetime | None = None
    ) -> tuple[array[float], array[float]]:
        """Kept readings as numbers, for models.

        Parameters
        ----------
        zero : datetime
            Instant from which time is counted.
        until : datetime, optional
            Only what was known then.

        Returns
        -------
        (array of float, array of float)
            Time since `zero` [s], ascending, and temperature [°C]; ``numpy.asarray`` takes them
            without a copy. Several readings may share a time.
        """
        start = zero.timestamp()
        last = math.inf if until is None else until.timestamp()
        kept = [
            (second - start, value)
            for second, value in zip(self._second, self.temperature_c, strict=True)
            if value is not None and second <= last
        ]
        return array("d", [second for second, _ in kept]), array("d", [value for _, value in kept])

    @cached_property
    def _second(self) -> array[float]:
        """Instants as seconds since 1970: asked for again and again."""
        return array("d", [when.timestamp() for when in self.at])


def of_letter(readings: Iterable[Readings], letter: str, place: str = "") -> tuple[Readings, ...]:
    """Take the readings of one piece or pit, longest first.

    Parameters
    ----------
    readings : iterable of Readings
    letter : str
        Of a piece or pit.
    place : str, optional
        Only those measured there.

    Returns
    -------
    tuple of Readings
        A probe's imports (same channel and place) are one, in order of time.
    """
    found: dict[tuple[str, str], Readings] = {}
    for one in readings:
        if letter not in {one.piece, one.pit} or (place and one.place != place):
            continue
        key = (one.channel, spot_of(one))
        found[key] = joined(found[key], one) if key in found else one
    return tuple(sorted(found.values(), key=lambda one: -len(one.at)))


def spot_of(one: Readings | Channel) -> str:
    """Where a probe sits, to tell probes apart: one in a piece is in its core unless it says else."""
    return one.place or ("core" if one.piece else "")


def joined(one: Readings, other: Readings) -> Readings:
    """Two readings of one probe as one, by time."""
    rows = [
        *zip(one.at, one.temperature_c, strict=True),
        *zip(other.at, other.temperature_c, strict=True),
    ]
    rows.sort(key=itemgetter(0))
    dropped = sorted((*one.dropped, *other.dropped), key=lambda each: each.at)
    return replace(
        one,
        at=tuple(when for when, _ in rows),
        temperature_c=tuple(value for _, value in rows),
        dropped=tuple(dropped),
    )


@dataclass(frozen=True)
class Channel:
    """What was understood of one column of temperatures.

    Attributes
    ----------
    name : str
        As in the header.
    unit : {"C", "F"} or None
        None while it is a question.
    piece, pit, place : str
        What it measures; all empty while it is a question.
    at, temperature_c : tuple
        Instants (UTC) and temperatures [°C] that are kept.
    dropped : tuple of Dropped
        Values that cannot be.
    guess : {"C", "F"}, optional
        What the unit looks like while it is a question.
    """

    name: str
    unit: str | None
    piece: str = ""
    pit: str = ""
    place: str = ""
    at: tuple[dt.datetime, ...] = ()
    temperature_c: tuple[float, ...] = ()
    dropped: tuple[Dropped, ...] = ()
    guess: str | None = None

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Stretches of more than `GAP_S` without a value."""
        return gaps(self.at, self.temperature_c)


def gaps(at: Sequence[dt.datetime], temperature_c: Sequence[float | None]) -> tuple[Gap, ...]:
    """Stretches of more than `GAP_S` between one value and the next; counted in time, not rows."""
    known = [when for when, value in zip(at, temperature_c, strict=True) if value is not None]
    return tuple(
        (before, after)
        for before, after in pairwise(known)
        if (after - before).total_seconds() > GAP_S
    )


def as_csv(channels: Iterable[Channel]) -> str:
    """Write channels as a kept file, a channel after the other, each by time."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    write.writerow(COLUMNS)
    stamp: dict[dt.datetime, str] = {}
    shown: dict[float, str] = {}
    for channel in channels:
        head = (channel.piece, channel.pit, channel.place, channel.name)
        # Times and values come again and again; each is put in words once.
        stamp |= {when: rfc3339(when) for when in channel.at if when not in stamp}
        shown |= {value: f"{value:.3f}" for value in set(channel.temperature_c)}
        if channel.dropped:
            write.writerows(_merged(channel, head, shown))
        else:
            # What is the same in all rows is put in quotes, where it needs them, once.
            between = _one_line(head)
            out.writelines(
                f"{stamp[when]},{between},{shown[value]},\n"
                for when, value in zip(channel.at, channel.temperature_c, strict=True)
            )
    return out.getvalue()


def _one_line(cells: Iterable[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def _merged(
    channel: Channel, head: tuple[str, ...], shown: dict[float, str]
) -> list[tuple[str, ...]]:
    """Rows of a channel, what was left out in its place."""
    rows = [
        (when, shown[value], "")
        for when, value in zip(channel.at, channel.temperature_c, strict=True)
    ]
    rows += [
        (one.at, "" if one.celsius is None else f"{one.celsius:.3f}", f"{one.value}: {one.reason}")
        for one in channel.dropped
    ]
    # Stable, so that two readings of one minute stay in the order of the file.
    rows.sort(key=itemgetter(0))
    return [(rfc3339(when), *head, value, why) for when, value, why in rows]


def from_csv(text: str, *, file: str) -> tuple[Readings, ...]:
    """Read a kept file.

    Raises
    ------
    RecordError
        Another header, or a row that is no reading.
    """
    rows = csv.reader(io.StringIO(text, newline=""))
    header = next(rows, [])
    if tuple(header) != COLUMNS:
        came = f"the header is {','.join(header)!r}"
        allowed = f"{','.join(COLUMNS)!r}"
        todo = "Import the file with `readings` instead"
        raise RecordError([Problem(file, 1, "", came, allowed, todo)])
    found: dict[tuple[str, str, str, str], _Rows] = {}
    moment, row = dt.datetime.fromisoformat, header
    try:
        for row in rows:
            time, piece, pit, place, channel, celsius, why = row
            when = moment(time)
            value = float(celsius) if celsius else None
            if when.tzinfo is None or (value is not None and not math.isfinite(value)):
                raise ValueError(time)  # noqa: TRY301 - one message for all that is wrong with a row
            key = (channel, piece, pit, place)
            if key not in found:
                found[key] = _Rows([], [], [])
            mine = found[key]
            mine.at.append(when)
            mine.celsius.append(None if why else value)
            if why:
                mine.dropped.append(_dropped(when, why, value))
    except (ValueError, csv.Error):
        allowed = "2026-09-26T10:00:00Z,A,,core,meat,63.5,"
        came = f"{','.join(row)[:80]!r} is no reading"
        raise RecordError([Problem(file, rows.line_num, "", came, allowed)]) from None
    return tuple(
        _sorted_readings(
            Readings(file, *key, tuple(one.at), tuple(one.celsius), tuple(one.dropped))
        )
        for key, one in found.items()
    )


@dataclass(frozen=True)
class _Rows:
    """Rows of one channel while they are read."""

    at: list[dt.datetime]
    celsius: list[float | None]
    dropped: list[Dropped]


def _dropped(when: dt.datetime, why: str, celsius: float | None) -> Dropped:
    value, mark, reason = why.partition(": ")
    return Dropped(when, value if mark else "", reason or value, celsius)


def _sorted_readings(one: Readings) -> Readings:
    if all(before <= after for before, after in pairwise(one.at)):
        return one
    order = sorted(range(len(one.at)), key=one.at.__getitem__)
    return replace(
        one,
        at=tuple(one.at[row] for row in order),
        temperature_c=tuple(one.temperature_c[row] for row in order),
        dropped=tuple(sorted(one.dropped, key=lambda each: each.at)),
    )
