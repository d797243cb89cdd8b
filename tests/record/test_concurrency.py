"""Two programs at once, and one that is killed: nothing acknowledged is lost, nothing is torn apart."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stallwise.record import log
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


def _writer(root: Path, name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(root), name, str(count)],
        stdout=subprocess.PIPE,
        text=True,
    )


def test_two_processes_of_two_hundred_lines_lose_nothing(tmp_path):
    writers = [_writer(tmp_path, name, 200) for name in ("a", "b")]
    for writer in writers:
        writer.communicate(timeout=60)
        assert writer.returncode == 0
    read = log.read(Store(tmp_path), Path("log.jsonl"))
    assert not read.torn
    assert {line.id for line in read.lines} == {f"{n}{i}" for n in "ab" for i in range(200)}


@pytest.mark.parametrize("wait_s", [0.05, 0.15])
def test_a_writer_that_is_killed_loses_nothing_it_said_was_written(tmp_path, wait_s):
    writer = _writer(tmp_path, "k", 100_000)
    assert writer.stdout is not None
    writer.stdout.readline()
    time.sleep(wait_s)
    writer.send_signal(signal.SIGKILL)
    said = 1 + len(writer.stdout.read().splitlines())
    writer.wait(timeout=10)
    writer.stdout.close()
    store, path = Store(tmp_path), Path("log.jsonl")
    read = log.read(store, path)
    assert said <= len(read.lines) <= said + 1
    assert len(read.torn) <= 1
    # The lock died with its holder: the next writer does not wait.
    begun = time.monotonic()
    log.append(store, path, [read.lines[0], *read.lines[-1:]])
    assert time.monotonic() - begun < 2
