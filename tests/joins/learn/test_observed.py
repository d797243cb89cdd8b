"""What was read, as a Result carries it."""

from __future__ import annotations

import datetime as dt

from stallwise.joins.learn.observed import traces
from stallwise.record.readings import Readings

ZERO = dt.datetime(2026, 5, 2, 9, tzinfo=dt.UTC)


def probe(file: str, channel: str, since_h: int, *cores: float | None) -> Readings:
    at = tuple(ZERO + dt.timedelta(hours=since_h + i) for i in range(len(cores)))
    return Readings(file, channel, "A", "", "core", at, cores)


def test_a_probe_is_one_trace_however_often_its_file_was_read_in() -> None:
    read = (probe("meat-2.csv", "meat", 2, 60.0, None), probe("meat.csv", "meat", 0, 5.0, 30.0))
    (key, trace), *more = traces(read, ZERO, ZERO + dt.timedelta(hours=9)).items()
    assert not more
    assert key == "A core"
    assert trace.elapsed_h == (0.0, 1.0, 2.0)
    assert trace.p50 == (5.0, 30.0, 60.0)


def test_two_probes_in_one_piece_stay_two() -> None:
    read = (probe("a.csv", "flat", 0, 5.0), probe("a.csv", "point", 0, 6.0))
    assert len(traces(read, ZERO, ZERO)) == 2
