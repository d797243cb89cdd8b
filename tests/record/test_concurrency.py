"""Two programs at once, and some that are killed: nothing acknowledged is lost, nothing is torn apart."""

import datetime as dt
import json
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from stallwise.record import log
from stallwise.record.check import check
from stallwise.record.folder import Cookbook
from stallwise.record.store import Store

WRITER = """
import datetime as dt, pathlib, sys
from stallwise.record import log
from stallwise.record.store import Store
store, name, count = Store(pathlib.Path(sys.argv[1])), sys.argv[2], int(sys.argv[3])
at = dt.datetime(2027, 9, 25, tzinfo=dt.UTC)
for number in range(count):
    line = log.LogLine(id=f"{name}{number}", at=at, what="note", made=at, note="n" * (number % 300))
    log.append(store, pathlib.Path("log.jsonl"), [line])
    print(number, flush=True)
"""
#: Lines and a number in the plan, each said once it is written.
DAY = """
import datetime as dt, pathlib, sys
from stallwise.record.folder import Cookbook
from stallwise.record.log import LogLine
folder, name = Cookbook.open(pathlib.Path(sys.argv[1])).cook("day"), sys.argv[2]
at = dt.datetime(2027, 9, 25, tzinfo=dt.UTC)
for number in range(100_000):
    made = f"{name}-{number}"
    if number % 4:
        folder.append([LogLine(id=made, at=at, what="note", made=at, note="ü" * (number % 90))])
    else:
        folder.save({f"x_{name}": number})
    print(made, flush=True)
"""
PLAN = 'schema = 1\ntitle = "Day"\ndate = 2027-09-25\n[[pieces]]\nletter = "A"\ncut = "c"\n'


def _start(program: str, root: Path, *words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", program, str(root), *words]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_two_processes_of_two_hundred_lines_lose_nothing(tmp_path):
    writers = [_start(WRITER, tmp_path, name, "200") for name in ("a", "b")]
    for writer in writers:
        writer.communicate(timeout=60)
        assert writer.returncode == 0
    read = log.read(Store(tmp_path), Path("log.jsonl"))
    assert not read.torn
    assert {line.id for line in read.lines} == {f"{n}{i}" for n in "ab" for i in range(200)}


def _killed(writer: subprocess.Popen[str], wait_s: float) -> list[str]:
    """Kill a writer some time after its first word; all it said."""
    assert writer.stdout is not None
    first = writer.stdout.readline()
    time.sleep(wait_s)
    writer.send_signal(signal.SIGKILL)
    said = [first, *writer.stdout.readlines()]
    writer.wait(timeout=10)
    writer.stdout.close()
    return [one.strip() for one in said if one.endswith("\n")]


@pytest.mark.parametrize("kills", [5, pytest.param(50, marks=pytest.mark.audit)])
def test_writers_that_are_killed_lose_nothing_they_said_was_written(tmp_path, kills):
    book = Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC")
    cook = book.new_cook("Day", dt.date(2027, 9, 25), PLAN)
    draw = random.Random(kills)
    beside = _start(DAY, book.path, "beside")
    said: list[str] = []
    for number in range(kills):
        said += _killed(_start(DAY, book.path, f"w{number}"), draw.uniform(0.0, 0.08))
    said += _killed(beside, 0.0)
    check(book.path, repair=True)
    # The lock died with its holders: the next writer does not wait.
    begun = time.monotonic()
    cook.save({"serve": "18:00"})
    assert time.monotonic() - begun < 2
    ids = Counter(
        json.loads(row)["id"] for row in (cook.path / "log.jsonl").read_text().splitlines()
    )
    lines = [one for one in said if int(one.rpartition("-")[2]) % 4]
    assert len(lines) > kills
    assert [one for one in lines if ids[one] != 1] == []
    assert max(ids.values()) == 1
    plan = cook.text()
    saved = {
        one.rpartition("-")[0]: int(one.rpartition("-")[2]) for one in said if one not in lines
    }
    for name, number in saved.items():
        kept = int(plan.partition(f"x_{name} = ")[2].partition("\n")[0])
        assert number <= kept <= number + 4, name  # the next one may have been written and not said
    left = [one.text for one in check(book.path).findings if "not a key of ours" not in one.text]
    assert left == []
