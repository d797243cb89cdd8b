"""Long traces made fit for drawing: gaps stay gaps, and no peak is lost."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

__all__ = ["GAP_H", "Point", "segments", "thin"]

#: A probe that was silent for longer than this has a gap [h].
GAP_H = 20 / 60

Point = tuple[float, float]


def segments(
    hours: Sequence[float], values: Sequence[float | None], *, gap_h: float = GAP_H
) -> list[list[Point]]:
    """Split a trace where it was silent.

    Parameters
    ----------
    hours : sequence of float
        Elapsed time [h], rising.
    values : sequence of float or None
        Reading at each time; None or not-a-number is no reading.
    gap_h : float, default 1/3
        Longest silence that a line is drawn across [h].

    Returns
    -------
    list of list of (hour, value)
        One list a stretch without a gap.

    Examples
    --------
    >>> segments([0.0, 0.1, 1.0], [5.0, 6.0, 9.0])
    [[(0.0, 5.0), (0.1, 6.0)], [(1.0, 9.0)]]
    """
    parts: list[list[Point]] = []
    last = -math.inf
    for hour, value in zip(hours, values, strict=True):
        if value is None or not math.isfinite(value):
            continue
        if hour - last > gap_h:
            parts.append([])
        parts[-1].append((hour, value))
        last = hour
    return parts


def thin(points: Sequence[Point], bucket_h: float) -> list[Point]:
    """Keep the first, lowest, highest and last point of each bucket of time.

    Parameters
    ----------
    points : sequence of (hour, value)
        One stretch without a gap, in order of time.
    bucket_h : float
        Width of a bucket [h], above zero; buckets start at hour zero, so that a new reading
        at the end moves nothing before it.

    Returns
    -------
    list of (hour, value)
        In order of time, at most four a bucket.

    Examples
    --------
    >>> thin([(0.0, 5.0), (0.1, 9.0), (0.2, 1.0), (0.3, 4.0), (0.4, 4.5)], 1.0)
    [(0.0, 5.0), (0.1, 9.0), (0.2, 1.0), (0.4, 4.5)]
    """
    kept: list[Point] = []
    for bucket in _buckets(points, bucket_h):
        marks = {0, len(bucket) - 1}
        marks.add(min(range(len(bucket)), key=lambda i: bucket[i][1]))
        marks.add(max(range(len(bucket)), key=lambda i: bucket[i][1]))
        kept.extend(bucket[i] for i in sorted(marks))
    return kept


def _buckets(points: Sequence[Point], bucket_h: float) -> Iterable[list[Point]]:
    bucket: list[Point] = []
    number = None
    for point in points:
        here = math.floor(point[0] / bucket_h)
        if here != number and bucket:
            yield bucket
            bucket = []
        number = here
        bucket.append(point)
    if bucket:
        yield bucket
