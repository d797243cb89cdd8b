"""When people sleep, as the cook says or as is usual."""

from __future__ import annotations

import datetime as dt

from stallwise.record import clocks
from stallwise.record.schema import Cook
from stallwise.tables.parameters import parameter

__all__ = ["clock_of", "sleep"]


def sleep(cook: Cook) -> tuple[dt.time, dt.time]:
    """Clock times from and until which people sleep."""
    begins, ends = (
        clocks.split_clock(text)[1] if text else clock_of(parameter(key).value)
        for text, key in ((cook.asleep, "night.begins"), (cook.awake, "night.ends"))
    )
    return begins, ends


def clock_of(hours: float) -> dt.time:
    """Clock time of a row that gives it in hours after midnight."""
    hour, part = divmod(hours, 1.0)
    return dt.time(int(hour) % 24, round(part * 60.0))
