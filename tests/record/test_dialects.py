"""Readings written in any dialect come back as they were."""

import csv
import datetime as dt
import io
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.units import fahrenheit_of_celsius
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.logtext import text_of
from stallwise.record.readings import as_csv, from_csv

DAY = dt.date(2027, 9, 25)
ZERO = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
FRAME = Frame("Etc/UTC", DAY, ZERO, ("A",), ("P",))

#: How a time is written, and how exact that is [s].
TIMES = {
    "iso": ("time", lambda at: f"{at:%Y-%m-%d %H:%M:%S}"),
    "offset": ("timestamp", lambda at: at.astimezone(ZoneInfo("Etc/GMT-9")).isoformat()),
    "utc": ("Time (UTC)", lambda at: f"{at:%Y-%m-%dT%H:%M:%S}"),
    "day first": ("Date", lambda at: f"{at:%d/%m/%Y %H:%M:%S}"),
    "month first": ("Date", lambda at: f"{at:%m/%d/%y %I:%M:%S %p}"),
    "named": ("when", lambda at: f"{at:%d %b %Y %H:%M:%S}"),
    "clock": ("Zeit", lambda at: f"{at:%H:%M:%S}"),
    "half days": ("clock", lambda at: f"{at:%I:%M:%S %p}".lstrip("0")),
    "elapsed": ("elapsed_min", lambda at: f"{(at - ZERO).total_seconds() / 60:.4f}"),
    "epoch": ("timestamp", lambda at: f"{at.timestamp():.0f}"),
}


@st.composite
def logs(draw):
    """Steps under 11 h, pit and core in steps that fire and meat can make."""
    count = draw(st.integers(4, 25))
    step = draw(st.sampled_from([1, 20, 60, 600]))
    at = [ZERO + dt.timedelta(seconds=step * row) for row in range(count)]
    start = draw(st.floats(90, 140))
    pit = [start + draw(st.floats(-4, 4)) for _ in at]
    core = [3.3 + draw(st.floats(0, 3))]
    for _ in at[1:]:
        core.append(core[-1] + draw(st.floats(-0.5, 2)))
    return at, pit, core


@given(
    log=logs(),
    how=st.sampled_from(sorted(TIMES)),
    mark=st.sampled_from([",", ";", "\t", "|"]),
    unit=st.sampled_from(["C", "F"]),
    comma=st.booleans(),
    quoted=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    code=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"]),
    newest_first=st.booleans(),
    again=st.booleans(),
    long=st.booleans(),
)
def test_there_and_back(log, how, mark, unit, comma, quoted, end, code, newest_first, again, long):
    at, pit, core = log
    header, write_time = TIMES[how]

    def write(value):
        text = f"{fahrenheit_of_celsius(value) if unit == 'F' else value:.2f}"
        return text.replace(".", ",") if comma else text

    if long:
        names = [header, "probe", f"temperature (°{unit})"]
        rows = [
            [write_time(when), name, write(value)]
            for when, *both in zip(at, pit, core, strict=True)
            for name, value in zip(("pit", "core"), both, strict=True)
        ]
    else:
        names = [header, f"pit (°{unit})", f"core (°{unit})"]
        rows = [
            [write_time(when), write(p), write(c)] for when, p, c in zip(at, pit, core, strict=True)
        ]
    rows = rows[::-1] if newest_first else rows
    if again:
        rows.insert(len(rows) // 2, names)
    out = io.StringIO()
    csv.writer(out, delimiter=mark, quoting=quoted, lineterminator=end).writerows([names, *rows])
    report = understand(text_of(out.getvalue().encode(code), "x.csv"), FRAME, file="x.csv")
    assert report.questions == ()
    channels = {channel.name.split()[0]: channel for channel in report.channels}
    assert list(channels) == ["pit", "core"] or newest_first
    for name, values in (("pit", pit), ("core", core)):
        channel = channels[name]
        assert channel.unit == unit
        assert channel.dropped == ()
        # Elapsed minutes of four decimals are good to hundredths of a second.
        assert [when.timestamp() for when in channel.at] == pytest.approx(
            [when.timestamp() for when in at], abs=0.01
        )
        assert channel.temperature_c == pytest.approx(values, abs=0.0051)
    kept = from_csv(as_csv(report.channels), file="x.csv")
    for one, channel in zip(kept, report.channels, strict=True):
        assert [when.timestamp() for when in one.at] == [when.timestamp() for when in channel.at]
        assert one.temperature_c == pytest.approx(channel.temperature_c, abs=0.0006)


@given(values=st.lists(st.floats(0, 110), min_size=3, max_size=20))
def test_short_lines_there_and_back(values):
    at = [ZERO + dt.timedelta(minutes=10 * row) for row in range(len(values))]
    text = "\n".join(
        f"{when:%H:%M} pit 110 meat {v:.1f}" for when, v in zip(at, values, strict=True)
    )
    report = understand(text, FRAME, Answers(unit="C", columns={"meat": "P lid"}), file="x.txt")
    meat = report.channels[1]
    every = dict(zip(meat.at, meat.temperature_c, strict=True))
    every |= {one.at: one.celsius for one in meat.dropped}
    assert [every[when] for when in at] == pytest.approx(values, abs=0.051)


@given(data=st.data())
def test_a_kept_file_holds_what_was_left_out(data):
    rows = data.draw(
        st.lists(st.sampled_from(["63.1", "85.0", "-127", "wet", "n/a", "63.4"]), min_size=2)
    )
    text = "time,core (C)\n" + "".join(
        f"{6 + n // 60:02d}:{n % 60:02d},{value}\n"
        for n, value in enumerate([*["63.1"] * len(rows), *rows])
    )
    (channel,) = understand(text, FRAME, file="x.csv").channels
    kept = from_csv(as_csv([channel]), file="x.csv")
    assert sum(len(one.dropped) for one in kept) == len(channel.dropped)
    assert [d.reason for one in kept for d in one.dropped] == [d.reason for d in channel.dropped]
    assert sum(len(one.kept()) for one in kept) == len(channel.at)
