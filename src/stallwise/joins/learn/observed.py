"""What was logged and read, as a Result carries it: events and probe traces on elapsed hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from stallwise.joins.learn.probed import each_once
from stallwise.joins.result import Observation, Trace
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings

__all__ = ["events", "traces"]


def events(
    lines: Iterable[LogLine], hour_zero: dt.datetime, zone: ZoneInfo
) -> tuple[Observation, ...]:
    """Log lines as events, in order of time.

    Parameters
    ----------
    lines : iterable of LogLine
        In force and seen.
    hour_zero : datetime
        First piece on.
    zone : ZoneInfo
        The cook's, for clock times.
    """
    return tuple(
        Observation(
            at=line.at.astimezone(zone),
            elapsed_h=(line.at - hour_zero).total_seconds() / 3600.0,
            what=line.what,
            piece=line.piece,
            pit=line.pit,
            text="; ".join(part for part in (line.text, line.note) if part),
            value_c=_value(line),
            about=line.about,
            verdict=str(line.data.get("verdict") or line.data.get("bark") or ""),
        )
        for line in lines
    )


def traces(
    readings: Sequence[Readings], hour_zero: dt.datetime, until: dt.datetime
) -> dict[str, Trace]:
    """Probe readings on elapsed hours since hour zero; left-out values stay out.

    A key is the letter of the piece or pit, with the place after it where there is one. A probe
    is one trace, however many times its file was read in.
    """
    found: dict[str, Trace] = {}
    for probe in each_once(readings):
        pairs = [
            ((at - hour_zero).total_seconds() / 3600.0, temp)
            for at, temp in zip(probe.at, probe.temperature_c, strict=True)
            if temp is not None and at <= until
        ]
        if not pairs:
            continue
        hours = tuple(hour for hour, _ in pairs)
        values = tuple(temp for _, temp in pairs)
        letter = probe.piece or probe.pit
        key = f"{letter} {probe.place}".strip()
        while key in found:
            key += "'"
        found[key] = Trace(hours, values, values, values)
    return found


def _value(line: LogLine) -> float | None:
    value = line.data.get("temperature_c")
    return None if value is None else float(value)
