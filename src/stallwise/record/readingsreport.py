"""What an import of readings understood, and how it is said to a cook."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from stallwise.record.readings import Channel, Dropped, Readings

if TYPE_CHECKING:
    from stallwise.record.leftout import LeftOut

__all__ = [
    "ReadingsReport",
    "channel_lines",
    "channel_of",
    "describe",
    "left_out_words",
    "plain_channel",
    "plain_readings",
    "readings_lines",
    "stretches",
]


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
        What has to be said before anything is written, each with the option that says it.
    notes : tuple of str
        What was taken for granted, in words.
    written : tuple of str
        Files written now.
    already : str
        Name of the earlier import that holds the same; empty if there is none.
    home : str
        Zone in which times are shown: the cook's.
    """

    file: str
    zone: str
    channels: tuple[Channel, ...]
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    written: tuple[str, ...] = field(default=())
    already: str = ""
    home: str = ""

    @property
    def shown_in(self) -> ZoneInfo:
        """Zone in which times are shown."""
        return ZoneInfo(self.home or self.zone)

    def plain(self) -> dict[str, Any]:
        """Answer for JSON; times as RFC 3339 with the offset of the cook's zone."""
        return {
            "file": self.file,
            "channels": [plain_channel(channel, self.shown_in) for channel in self.channels],
            "zone": self.zone,
            "questions": list(self.questions),
            "notes": list(self.notes),
            "written": list(self.written),
            "already": self.already,
        }


def plain_channel(channel: Channel, where: ZoneInfo) -> dict[str, Any]:
    """One channel for JSON, times in a zone."""

    def local(when: dt.datetime) -> str:
        return when.astimezone(where).isoformat()

    return {
        "name": channel.name,
        "unit": channel.unit,
        "unit_guess": channel.guess,
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
    where = report.shown_in
    lines = [line for channel in report.channels for line in channel_lines(channel, where)]
    zone = f"Times are read in the zone {report.zone}"
    zone += f" and shown in {where.key}." if where.key != report.zone else "."
    lines += [zone, *(f"{note}." for note in report.notes)]
    if report.already:
        lines.append(f"These readings are there already ({report.already}); nothing was added.")
    lines += [f"Wrote readings/{name}" for name in report.written]
    return "\n".join(lines)


def channel_lines(channel: Channel, where: ZoneInfo) -> Iterator[str]:
    """One channel in lines for a cook."""
    measures = f"piece {channel.piece}" if channel.piece else f"pit {channel.pit}"
    what = measures if channel.piece or channel.pit else "unknown"
    if channel.place:
        what += f" ({channel.place})"
    span = ""
    if channel.at:
        first, last = (when.astimezone(where) for when in (channel.at[0], channel.at[-1]))
        span = f", {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"
    unit = f"°{channel.unit}" if channel.unit else "unit asked"
    count = "1 reading" if len(channel.at) == 1 else f"{len(channel.at)} readings"
    yield f"{channel.name}: {what}, {unit}, {count}{span}"
    for start, end in channel.gaps:
        minutes = (end - start).total_seconds() / 60
        yield f"  nothing for {minutes:.0f} min from {start.astimezone(where):%H:%M}"
    for said in left_out_words(channel.dropped, where):
        yield f"  {said.replace(': ', ' left out: ', 1)}"


def left_out_words(dropped: Iterable[Dropped], where: ZoneInfo) -> Iterator[str]:
    """Say what was left out, once for each reason: how many, why, and when."""
    for reason, runs in _by_reason(dropped).items():
        yield f"{sum(len(run) for run in runs)}: {reason} ({_when(runs, where)})"


def _by_reason(dropped: Iterable[Dropped]) -> dict[str, list[Sequence[Dropped]]]:
    found: dict[str, list[Sequence[Dropped]]] = {}
    for run in stretches(dropped):
        found.setdefault(run[0].reason, []).append(run)
    return found


def _when(runs: Sequence[Sequence[Dropped]], where: ZoneInfo) -> str:
    shown = []
    for run in runs[:4]:
        first, last = (one.at.astimezone(where) for one in (run[0], run[-1]))
        value = f"{run[0].value} at " if len(run) == 1 else ""
        shown.append(f"{value}{first:%H:%M}" + (f" to {last:%H:%M}" if len(run) > 1 else ""))
    return ", ".join([*shown, *(["…"] if len(runs) > 4 else [])])


def channel_of(one: Readings, unit: str | None = None) -> Channel:
    """Take readings as a channel: what counts, and what does not."""
    kept = one.kept()
    return Channel(
        one.channel,
        unit,
        one.piece,
        one.pit,
        one.place,
        tuple(when for when, _ in kept),
        tuple(value for _, value in kept),
        one.dropped,
    )


def plain_readings(one: Readings, where: ZoneInfo) -> dict[str, Any]:
    """Put readings as kept in JSON; they are in °C."""
    return {"file": one.file, **plain_channel(channel_of(one, "C"), where)}


def readings_lines(
    there: Sequence[Readings], out: Sequence[LeftOut], where: ZoneInfo
) -> Iterator[str]:
    """Say the readings of a cook in lines, what does not count numbered."""
    for one in there:
        name = one.file.rpartition("/")[2]
        first = next(channel_lines(replace(channel_of(one, "C"), dropped=()), where))
        yield f"{first}  ({name})"
        for start, end in one.gaps:
            minutes = (end - start).total_seconds() / 60
            yield f"     nothing for {minutes:.0f} min from {start.astimezone(where):%H:%M}"
        mine = [
            each
            for each in out
            if (each.readings.file, each.readings.channel) == (one.file, one.channel)
        ]
        for each in mine:
            yield f"  {each.number:3}  {len(each.dropped)} left out: {each.reason} ({_when([each.dropped], where)})"
        later = [run for run in stretches(one.dropped) if run[0].reason.startswith("replaced by ")]
        for run in later:
            yield f"       {len(run)} {run[0].reason} ({_when([run], where)})"


def stretches(dropped: Iterable[Dropped]) -> list[Sequence[Dropped]]:
    """Split what was left out into runs of one reason that follow each other within ten minutes."""
    found: list[list[Dropped]] = []
    for _, group in groupby(dropped, key=lambda one: one.reason):
        for one in group:
            last = found[-1][-1] if found else None
            near = last and last.reason == one.reason and one.at - last.at <= _NEAR
            if near:
                found[-1].append(one)
            else:
                found.append([one])
    return list(found)


_NEAR = dt.timedelta(minutes=10)
