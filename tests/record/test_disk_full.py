"""A disk that fills up, at every step of a write: the old file stays whole, nothing is left over."""

import errno
import os
import re
from pathlib import Path

import pytest

from stallwise.ground.errors import WorkError
from stallwise.record import disk
from stallwise.record.store import ANY, Store

OLD = "old = 1\n"
NEW = "new = 2\n" * 50


def _full(*_args, **_kwargs):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _half(write):
    def written(handle, data):
        return write(handle, bytes(data)[: max(1, len(data) // 2)])

    return written


def _second(call):
    """Fail the second time: at the folder's sync, after the file's."""
    calls = []

    def counted(handle):
        calls.append(handle)
        return _full() if len(calls) > 1 else call(handle)

    return counted


def _names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir() if entry.name != disk.LOCK_NAME)


@pytest.mark.parametrize("step", ["open", "write", "fsync", "replace"])
def test_replacing_on_a_full_disk_leaves_the_old_file_whole(tmp_path, monkeypatch, step):
    store = Store(tmp_path)
    (tmp_path / "cook.toml").write_text(OLD)
    with disk.locked(tmp_path):
        pass  # the lock file exists before the disk fills up
    real = os.open

    def opens(path, flags, *mode, **more):
        return _full() if disk.TEMPORARY in str(path) else real(path, flags, *mode, **more)

    monkeypatch.setattr(disk.os, step, opens if step == "open" else _full)
    with pytest.raises(WorkError, match=r"disk is full.*old file is whole"):
        store.replace(Path("cook.toml"), NEW, expected=OLD)
    monkeypatch.undo()
    assert (tmp_path / "cook.toml").read_text() == OLD
    assert _names(tmp_path) == ["cook.toml"]


def test_a_disk_that_takes_half_of_each_write_gets_the_rest_after_it(tmp_path, monkeypatch):
    monkeypatch.setattr(disk.os, "write", _half(os.write))
    Store(tmp_path).replace(Path("cook.toml"), NEW, expected=None)
    monkeypatch.undo()
    assert (tmp_path / "cook.toml").read_text() == NEW


def test_a_rename_that_the_disk_did_not_confirm_is_told_as_such(tmp_path, monkeypatch):
    (tmp_path / "cook.toml").write_text(OLD)
    monkeypatch.setattr(disk.os, "fsync", _second(os.fsync))
    with pytest.raises(WorkError, match="is written, but the disk did not confirm it"):
        Store(tmp_path).replace(Path("cook.toml"), NEW, expected=ANY)
    monkeypatch.undo()
    assert (tmp_path / "cook.toml").read_text() == NEW
    assert _names(tmp_path) == ["cook.toml"]


@pytest.mark.parametrize("there", [b"", b"one\n", b"one\ntor"])
@pytest.mark.parametrize("step", ["write", "half", "later", "fsync"])
def test_appending_on_a_full_disk_leaves_the_log_as_it_was(tmp_path, monkeypatch, step, there):
    path = tmp_path / "log.jsonl"
    if there:
        path.write_bytes(there)
    write, calls = os.write, []

    def later(handle, data):
        calls.append(data)
        return _full() if len(calls) > 1 else write(handle, data)

    fake = {"write": _full, "half": _half(write), "later": later, "fsync": _full}[step]
    monkeypatch.setattr(disk.os, "fsync" if step == "fsync" else "write", fake)
    with pytest.raises(WorkError, match=r"disk is full.*None of the lines was added"):
        Store(tmp_path).append(Path("log.jsonl"), lambda _: ["two", "three"])
    monkeypatch.undo()
    assert (path.read_bytes() if path.exists() else b"") == there
    assert _names(tmp_path) == (["log.jsonl"] if there else [])


def test_a_real_full_disk(tmp_path, tiny_disk):
    store = Store(tiny_disk)
    store.replace(Path("cook.toml"), OLD, expected=None)
    with pytest.raises(WorkError, match="disk is full"):
        store.replace(Path("cook.toml"), "x" * 400_000, expected=OLD)
    store.append(Path("log.jsonl"), lambda _: ["one"])
    before = (tiny_disk / "log.jsonl").read_bytes()
    with pytest.raises(WorkError, match="disk is full"):
        store.append(Path("log.jsonl"), lambda _: ["y" * 1000] * 400)
    assert (tiny_disk / "cook.toml").read_text() == OLD
    assert (tiny_disk / "log.jsonl").read_bytes() == before
    assert not [name for name in _names(tiny_disk) if re.search("tmp", name)]
