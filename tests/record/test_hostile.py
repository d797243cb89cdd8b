"""Whatever a file of somebody else holds: an answer or one of our own errors, never a crash."""

import contextlib
import datetime as dt
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import StallwiseError
from stallwise.record import lines, log, toml
from stallwise.record.folder import Cookbook
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.problems import RecordError
from stallwise.record.readings import as_csv, from_csv
from stallwise.record.readingsreport import describe
from stallwise.record.schema import Cook
from stallwise.record.store import Store

DEEP = "[" * 20_000

PLAN = """\
title = "x"
date = 2026-09-26
[[pits]]
letter = "P"
[[pieces]]
letter = "A"
cut = "c"
mass = "2 lb"
moves = [{to = "P", at = "04:30"}]
[number]
name = "n"
value = 3
"""

PARTS = st.sampled_from(
    [
        *'-"[]{}=.,:# \n\\\0\x7fü\u2028',
        *("'''", "[[", "0", "9999999999", "9" * 5000, "2026-02-30", "inf", "nan", "true", "1e999"),
    ]
)
CELLS = st.sampled_from(
    [
        *("", "225", "-127", "85.0", "1,5", "1.155", "1e400", "9" * 400, "n/a", '"', "\0", "LONG"),
        *("21:30", "9:30 PM", "25:99", "2027-09-25 21:30", "2027-13-45 21:30", "31/02/2027 06:00"),
        *("9999-12-31 23:59:59-14:00", "0001-01-01 00:00:00+14:00", "12/06/2027 06:00"),
    ]
)
HEADERS = st.sampled_from(
    [
        "time",
        "date",
        "minutes",
        "elapsed",
        "hours",
        "core (F)",
        "A",
        "pit_C",
        "P",
        "",
        "note",
        "set",
    ]
)


@given(data=st.data())
def test_a_spoilt_plan(data):
    text = PLAN
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 12))
        text = text[:at] + data.draw(PARTS) + text[at + cut :]
    with contextlib.suppress(StallwiseError):
        cook = toml.parse(text, Cook, file="cook.toml")
        toml.unknown_keys(text, cook)


@pytest.mark.parametrize("depth", [50, 150, 250, 300, 320, 330, 400])
def test_a_plan_as_deep_as_its_reader_goes(depth):
    text = f"x_deep = {'[' * depth}{']' * depth}\nservee = 1\n{PLAN}"
    with pytest.raises(RecordError, match=r"cook\.toml"):
        toml.parse(text, Cook, file="cook.toml")


@pytest.mark.parametrize(
    "text", [f"a = {DEEP}", f"a = {'{a=' * 5000}", "a = " + "1" * 5000, "a = 1979-00-01"]
)
def test_a_plan_made_to_break_readers(text):
    with pytest.raises(RecordError, match=r"cook\.toml"):
        toml.parse(text, Cook, file="cook.toml")


@given(
    header=st.lists(HEADERS, min_size=1, max_size=4),
    rows=st.lists(st.lists(CELLS, max_size=5), max_size=6),
    mark=st.sampled_from([",", ";", "\t"]),
    zero=st.booleans(),
    unit=st.sampled_from([None, "C", "F"]),
)
def test_a_spoilt_probe_file(header, rows, mark, zero, unit):
    text = "\n".join(mark.join(row) for row in [header, *rows]).replace("LONG", "x" * 200_000)
    start = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
    frame = Frame("Etc/UTC", start.date(), start if zero else None, ("A",), ("P",))
    with contextlib.suppress(StallwiseError):
        report = understand(text, frame, Answers(unit), file="x.csv")
        describe(report)
        json.dumps(report.plain(), allow_nan=False)
        if not report.questions:
            from_csv(as_csv(report.channels), file="x.csv")


@given(raw=st.binary(max_size=60), text=st.text(max_size=60))
def test_a_spoilt_log(raw, text, tmp_path_factory):
    root = tmp_path_factory.mktemp("log")
    (root / "log.jsonl").write_bytes(raw + text.encode("utf-8", "replace") + f"\n{DEEP}\n".encode())
    with contextlib.suppress(StallwiseError):
        log.read(Store(root), root / "log.jsonl")
    assert lines.read_text(raw, file="x") is not None


def test_spoilt_derived_files(tmp_path):
    book = Cookbook.start(tmp_path / "book", "x")
    for text in ("", "[]", "{", DEEP, '{"schema": 99}', '{"schema": "x"}'):
        (book.path / "learned.json").write_text(text)
        with pytest.raises(StallwiseError, match=r"learned\.json"):
            book.learned()
