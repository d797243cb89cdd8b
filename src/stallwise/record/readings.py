"""Readings of a probe: temperatures over time, as kept in ``readings/*.csv``.

A kept file has one row a reading: time (UTC, RFC 3339), piece, pit, place, channel, celsius
and, where a value was left out on import, why. The file as it came lies beside it.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.record.clocks import rfc3339
from stallwise.record.problems import Problem, RecordError

__all__ = [
    "COLUMNS",
    "GAP_S",
    "Channel",
    "Dropped",
    "Gap",
    "Readings",
    "ReadingsReport",
    "as_csv",
    "describe",
    "from_csv",
    "gaps",
]

COLUMNS = ("time", "piece", "pit", "place", "channel", "celsius", "dropped")

#: A probe that says nothing for longer than this [s] has a gap; see data/record_limits.csv.
GAP_S = 1200.0

Gap = tuple[dt.datetime, dt.datetime]


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
        Temperatures [°C]; None where a value was left out on import.
    """

    file: str
    channel: str
    piece: str
    pit: str
    place: str
    at: tuple[dt.datetime, ...]
    temperature_c: tuple[float | None, ...]

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Stretches of more than `GAP_S` without a value: nothing is known within."""
        return gaps(self.at, self.temperature_c)


@dataclass(frozen=True)
class Dropped:
    """One value that was left out, and why."""

    at: dt.datetime
    value: str
    reason: str


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
    """

    name: str
    unit: str | None
    piece: str = ""
    pit: str = ""
    place: str = ""
    at: tuple[dt.datetime, ...] = ()
    temperature_c: tuple[float, ...] = ()
    dropped: tuple[Dropped, ...] = ()

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Stretches of more than `GAP_S` without a value."""
        return gaps(self.at, self.temperature_c)


@dataclass(frozen=True)
class ReadingsReport:
    """What an import understood, and what it wrote.

    Attributes
    ----------
    file : str
        Name of the file that came.
    zone : str
        Zone of times without an offset.
    channels : tuple of Channel
    questions : tuple of str
        What has to be said before anything is written.
    notes : tuple of str
        What was taken for granted, in words.
    written : tuple of str
        Files written now.
    already : str
        Name of the earlier import that holds the same; empty if there is none.
    """

    file: str
    zone: str
    channels: tuple[Channel, ...]
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    written: tuple[str, ...] = field(default=())
    already: str = ""

    def plain(self) -> dict[str, Any]:
        """Answer for JSON; times as RFC 3339 with the offset of the zone."""
        return {
            "file": self.file,
            "channels": [_plain_channel(channel, ZoneInfo(self.zone)) for channel in self.channels],
            "zone": self.zone,
            "questions": list(self.questions),
            "notes": list(self.notes),
            "written": list(self.written),
            "already": self.already,
        }


def _plain_channel(channel: Channel, where: ZoneInfo) -> dict[str, Any]:
    def local(when: dt.datetime) -> str:
        return when.astimezone(where).isoformat()

    return {
        "name": channel.name,
        "unit": channel.unit,
        "count": len(channel.at),
        "first": local(channel.at[0]) if channel.at else None,
        "last": local(channel.at[-1]) if channel.at else None,
        "gaps": [
            {"from": local(start), "to": local(end), "minutes": (end - start).total_seconds() / 60}
            for start, end in channel.gaps
        ],
        "dropped": [
            {"at": local(one.at), "value": one.value, "reason": one.reason}
            for one in channel.dropped
        ],
        "piece": channel.piece,
        "pit": channel.pit,
        "place": channel.place,
    }


def describe(report: ReadingsReport) -> str:
    """Say a report in lines for a cook."""
    where = ZoneInfo(report.zone)
    lines = []
    for channel in report.channels:
        measures = f"piece {channel.piece}" if channel.piece else f"pit {channel.pit}"
        what = measures if channel.piece or channel.pit else "unknown"
        span = ""
        if channel.at:
            first, last = (when.astimezone(where) for when in (channel.at[0], channel.at[-1]))
            span = f", {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"
        unit = f"°{channel.unit}" if channel.unit else "unit unknown"
        lines.append(f"{channel.name}: {what}, {unit}, {len(channel.at)} readings{span}")
        for start, end in channel.gaps:
            minutes = (end - start).total_seconds() / 60
            lines.append(f"  nothing for {minutes:.0f} min from {start.astimezone(where):%H:%M}")
        lines += [
            f"  {count} left out: {reason}" for reason, count in _counted(channel.dropped).items()
        ]
    lines += [f"Times are read in the zone {report.zone}.", *(f"{note}." for note in report.notes)]
    if report.already:
        lines.append(f"These readings are there already ({report.already}); nothing was added.")
    lines += [f"Wrote readings/{name}" for name in report.written]
    return "\n".join(lines)


def _counted(dropped: Iterable[Dropped]) -> Mapping[str, int]:
    counts: dict[str, int] = {}
    for one in dropped:
        counts[one.reason] = counts.get(one.reason, 0) + 1
    return counts


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
    write = csv.writer(out, lineterminator="\n").writerow
    write(COLUMNS)
    for channel in channels:
        head = (channel.piece, channel.pit, channel.place, channel.name)
        rows = [
            (when, f"{value:.3f}", "")
            for when, value in zip(channel.at, channel.temperature_c, strict=True)
        ]
        rows += [(one.at, "", f"{one.value}: {one.reason}") for one in channel.dropped]
        for when, value, why in sorted(rows):
            write((rfc3339(when), *head, value, why))
    return out.getvalue()


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
        raise RecordError(
            [
                Problem(
                    file,
                    1,
                    "",
                    came,
                    f"{','.join(COLUMNS)!r}",
                    "Import the file with `readings` instead",
                )
            ]
        )
    found: dict[tuple[str, str, str, str], tuple[list[dt.datetime], list[float | None]]] = {}
    for row in rows:
        try:
            time, piece, pit, place, channel, celsius, _ = row
            when = dt.datetime.fromisoformat(time)
            value = _celsius(celsius)
            if when.tzinfo is None:
                raise ValueError(time)  # noqa: TRY301 - one message for all that is wrong with a row
        except ValueError:
            allowed = "2026-09-26T10:00:00Z,A,,core,meat,63.5,"
            came = f"{','.join(row)[:80]!r} is no reading"
            raise RecordError([Problem(file, rows.line_num, "", came, allowed)]) from None
        at, values = found.setdefault((channel, piece, pit, place), ([], []))
        at.append(when)
        values.append(value)
    return tuple(
        _sorted_readings(Readings(file, *key, at=tuple(at), temperature_c=tuple(values)))
        for key, (at, values) in found.items()
    )


def _celsius(text: str) -> float | None:
    value = float(text) if text else None
    if value is not None and not math.isfinite(value):
        raise ValueError(text)
    return value


def _sorted_readings(one: Readings) -> Readings:
    if all(before <= after for before, after in pairwise(one.at)):
        return one
    order = sorted(range(len(one.at)), key=one.at.__getitem__)
    return Readings(
        one.file,
        one.channel,
        one.piece,
        one.pit,
        one.place,
        tuple(one.at[row] for row in order),
        tuple(one.temperature_c[row] for row in order),
    )
