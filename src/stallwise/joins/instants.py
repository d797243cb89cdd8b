"""Sums with aware times, and the two nights a year on which the clock is no measure.

Two times of one zone are subtracted and compared by Python as the clock shows them, an hour off
over a clock change; everything here goes by the instant.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

__all__ = ["AGAIN", "apart", "clock_change", "is_second_hour", "later", "wall"]

#: Beside a time that the clock shows for the second time.
AGAIN = "again"


def later(when: dt.datetime, by: dt.timedelta) -> dt.datetime:
    """Instant so much later, in the zone of `when`."""
    return (when.astimezone(dt.UTC) + by).astimezone(when.tzinfo)


def apart(later_one: dt.datetime, earlier: dt.datetime) -> dt.timedelta:
    """How long it is from the earlier of two instants to the later; negative the other way."""
    return later_one.astimezone(dt.UTC) - earlier.astimezone(dt.UTC)


def is_second_hour(at: dt.datetime) -> bool:
    """Whether the clock showed the same an hour before, because it was put back."""
    return bool(at.fold) and at.utcoffset() != at.replace(fold=0).utcoffset()


def wall(at: dt.datetime) -> str:
    """Clock time ``14:15``; ``01:15 again`` when the clock shows it for the second time."""
    return f"{at:%H:%M} {AGAIN}" if is_second_hour(at) else f"{at:%H:%M}"


def clock_change(times: Sequence[dt.datetime]) -> str:
    """Say that the clocks change between the first and the last of some times; empty if not.

    Parameters
    ----------
    times : sequence of datetime
        Aware, of one zone, no more than some days apart.
    """
    ordered = sorted(at.astimezone(dt.UTC) for at in times)
    zone = times[0].tzinfo if times else None
    if not ordered or _offset(ordered[0], zone) == _offset(ordered[-1], zone):
        return ""
    low, high = ordered[0], ordered[-1]
    while high - low > dt.timedelta(seconds=1):
        middle = low + (high - low) / 2
        same = _offset(middle, zone) == _offset(low, zone)
        low, high = (middle, high) if same else (low, middle)
    at = high.replace(microsecond=0).astimezone(zone)
    was = at.replace(tzinfo=None) - _offset(high, zone) + _offset(low, zone)
    way = "forward" if was < at.replace(tzinfo=None) else "back"
    return f"The clocks go {way} on {at:%A}, from {was:%H:%M} to {at:%H:%M}; it is counted in."


def _offset(at: dt.datetime, zone: dt.tzinfo | None) -> dt.timedelta:
    return at.astimezone(zone).utcoffset() or dt.timedelta(0)
