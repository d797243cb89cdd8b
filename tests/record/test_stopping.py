"""Every writer, stopped before and within every call that changes the disk, and on a disk that refuses.

What is left opens, holds each acknowledged thing once, each file old or new as a whole; done again and
repaired, it comes out as if nothing had happened, and `check` is quiet. `faultydisk` is the disk, `writers`
are those who write, `stopsweep` forks a child for each stop.
"""

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from writers import WRITERS

from stallwise.cli.main import main

HERE = Path(__file__).parent
#: As in `writers.WRITERS`; each run of the tests takes the first, the audit all of them.
CORE = ("first line", "log that is torn", "plan", "new cook", "readings")
REST = (
    *(
        "log",
        "forecast",
        "first forecast",
        "old plan",
        "settings",
        "results",
        "pit and mix",
        "cookbook",
    ),
    *("readings left out", "photo", "tasting", "repair", "draft", "notebook", "print"),
)


def swept(place: Path, ways: str, *names: str) -> dict[str, dict]:
    done = subprocess.run(
        [sys.executable, HERE / "stopsweep.py", place, ways, *names],
        capture_output=True,
        text=True,
        check=False,
        timeout=900,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def faults(told: dict[str, dict]) -> str:
    return "\n".join(fault for one in told.values() for fault in one["faults"])


def test_a_writer_that_is_stopped_at_any_call_loses_nothing_it_said_was_written(tmp_path):
    told = swept(tmp_path, "stops", *CORE)
    assert not faults(told)
    # What was counted is what writing takes: the lock, the file, its bytes and both syncs.
    kinds = [call.partition(" ")[0] for call in told["plan"]["calls"]]
    assert kinds == ["open", "open", "open", "fchmod", "write", "fsync", "replace", "fsync"] * 2
    assert sum(one["points"] for one in told.values()) > 150


def test_a_disk_that_is_full_at_any_byte_leaves_everything_as_it_was(tmp_path):
    told = swept(tmp_path, "full", "log", "plan")
    assert not faults(told)


@pytest.mark.parametrize("name", ["first line", "photo", "notebook"])
def test_a_disk_that_refuses_any_call_is_told_in_words(tmp_path, name):
    assert not faults(swept(tmp_path, "refusals", name))


@pytest.mark.audit
@pytest.mark.parametrize("name", [*CORE, *REST])
def test_every_writer_at_every_call_and_every_byte(tmp_path, name):
    assert not faults(swept(tmp_path, "stops every full refusals", name))


def test_the_audit_leaves_no_writer_out():
    assert {*CORE, *REST} == set(WRITERS)


# --- a folder that may only be read ---------------------------------------------------


def all_files(root: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in root.rglob("*") if path.is_file()}


@pytest.fixture
def read_only(v1, monkeypatch):
    """A book whose every write is refused; root may write anything, so the calls refuse."""
    opened = os.open

    def refused(*_args, **_more):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(v1.path))

    def opens(path, flags, *mode, **more):
        writes = flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        if writes and os.path.realpath(path).startswith(str(v1.path)):
            refused()
        return opened(path, flags, *mode, **more)

    (v1.path / "learned.json").unlink()
    monkeypatch.setattr(os, "open", opens)
    for name in ("mkdir", "rename", "replace", "unlink", "rmdir"):
        monkeypatch.setattr(os, name, refused)
    return v1


READING = (
    ["cooks"],
    ["cuts", "ribs"],
    ["forecast", "ribs"],
    ["sheet", "ribs"],
    ["limits", "ribs"],
    ["mixes", "ribs"],
    ["shop", "ribs"],
    ["tally"],
    ["log", "ribs"],
    ["readings", "shoulder"],
    ["check"],
    ["learn", "--without", "ribs"],
)
WRITING = (
    ["log", "ribs", "spritz", "--at", "14:00"],
    ["forecast", "ribs", "--keep"],
    ["new", "--cut", "pork-spare-ribs-trimmed", "--on", "2027-01-02"],
    ["learn"],
    ["publish"],
)


@pytest.mark.parametrize("words", READING, ids=" ".join)
def test_what_only_reads_works_in_a_folder_that_may_only_be_read(read_only, capsys, words):
    before = all_files(read_only.path)
    assert main(["--cookbook", str(read_only.path), *words]) == 0, capsys.readouterr().err
    assert all_files(read_only.path) == before


@pytest.mark.parametrize("words", WRITING, ids=" ".join)
def test_what_writes_says_so_in_a_folder_that_may_only_be_read(read_only, capsys, words):
    before = all_files(read_only.path)
    assert main(["--cookbook", str(read_only.path), *words]) == 1
    said = capsys.readouterr().err
    assert "Read-only file system" in said
    assert "Traceback" not in said
    assert all_files(read_only.path) == before
