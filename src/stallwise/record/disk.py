"""Bytes on the disk: whole files by rename, lines by one write each, one lock a book."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

from stallwise.ground.errors import InputError, WorkError

__all__ = [
    "LOCK_NAME",
    "TEMPORARY",
    "UnconfirmedError",
    "append",
    "failing_as",
    "fits",
    "locked",
    "make_folder",
    "read",
    "remove",
    "rename",
    "replace",
]

LOCK_WAIT_S = 10.0
LOCK_NAME = ".stallwise.lock"
TEMPORARY = ".tmp-"

_READ = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_BINARY", 0)
)
_NEW = (
    os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
)
_APPEND = (
    os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
)
_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


class UnconfirmedError(WorkError):
    """It is written and can be read, but a power cut may still take it: nothing is to be undone."""


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the lock of one cookbook; never twice at once in one thread."""
    # Late: it brings asyncio, and reading needs no lock.
    from filelock import FileLock, Timeout

    try:
        with FileLock(folder / LOCK_NAME, timeout=LOCK_WAIT_S):
            yield
    except Timeout as error:
        raise WorkError(
            f"another program has been writing in {folder.name} for {LOCK_WAIT_S:.0f} s",
            "",
            "Nothing was written. Try again, or see whether a stallwise hangs",
        ) from error


@contextlib.contextmanager
def failing_as(name: str, comfort: str) -> Iterator[None]:
    """Say an error of the system in words: what failed, what is still whole, what to do."""
    try:
        yield
    except OSError as error:
        full = error.errno in _FULL
        what = "the disk is full" if full else (error.strerror or str(error))
        todo = "Make room and do it again" if full else "See to it and do it again"
        raise WorkError(f"{name} could not be written: {what}", "", f"{comfort}. {todo}") from error


def read(real: Path, name: str, limit: int) -> bytes:
    """Read a plain file of limited size; anything else is refused by `name`."""
    try:
        handle = os.open(real, _READ)
    except FileNotFoundError:
        raise InputError(f"there is no file {name}", "a file that is there") from None
    except OSError as error:
        raise InputError(
            f"{name} cannot be read ({error.strerror})", "a plain file that may be read"
        ) from error
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise InputError(f"{name} is no plain file", "a plain file")
        fits(found.st_size, limit, name)
        with os.fdopen(os.dup(handle), "rb") as file:
            return file.read(limit)
    finally:
        os.close(handle)


def fits(size: int, limit: int, name: str) -> None:
    """Refuse what is larger than `limit` bytes."""
    if size > limit:
        raise InputError(
            f"{name} has {size / 1e6:.1f} MB",
            f"up to {limit / 1e6:g} MB",
            "Take out what does not belong there",
        )


def make_folder(real: Path) -> None:
    """Make a folder, and those above it, so that their names are on the disk too."""
    missing = [real, *real.parents]
    missing = missing[: next(n for n, one in enumerate(missing) if one.exists())]
    for one in reversed(missing):
        one.mkdir(exist_ok=True)
        _confirm(one)
    real.mkdir(exist_ok=True)  # a file of that name is told as such


def rename(real: Path, new: Path) -> None:
    """Give a file or a folder another place, where there is nothing yet."""
    real.rename(new)
    _confirm(new)
    if new.parent != real.parent:
        _confirm(real)


def replace(real: Path, data: bytes) -> None:
    """Put a whole file in the place of the old one, or leave the old one whole."""
    temporary = real.parent / f"{TEMPORARY}{os.urandom(6).hex()}"
    try:
        _write(temporary, data, like=real)
        temporary.replace(real)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _confirm(real)


def remove(real: Path) -> None:
    """Take a file away for good; the lock is held."""
    real.unlink()
    _confirm(real)


def _write(path: Path, data: bytes, *, like: Path) -> None:
    handle = os.open(path, _NEW, 0o666)
    try:
        if like.exists() and hasattr(os, "fchmod"):
            os.fchmod(handle, stat.S_IMODE(like.stat().st_mode))
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def append(real: Path, held: bytes, lines: Sequence[str]) -> None:
    """Add lines behind what the file holds, or leave it as it is; the lock is held."""
    fresh = not real.exists()
    handle = os.open(real, _APPEND, 0o666)
    try:
        size = len(held)
        # A write that was torn left no line end: end it, or our line is torn with it.
        ends = "" if held.endswith(b"\n") or not held else "\n"
        try:
            for line in lines:
                data = f"{ends}{line}\n".encode()
                ends = ""
                written = os.write(handle, data)
                size += written
                _whole(written, data)
            os.fsync(handle)
        except OSError:
            # Take back only our own bytes: somebody without the lock may have come between.
            if os.fstat(handle).st_size == size:
                os.ftruncate(handle, len(held))
            raise
    except BaseException:
        if fresh and real.stat().st_size == 0:
            real.unlink()
        raise
    finally:
        os.close(handle)
    if fresh:
        _confirm(real)


def _whole(written: int, data: bytes) -> None:
    # A disk that fills up takes a part of a write and says nothing.
    if written != len(data):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _confirm(real: Path) -> None:
    """Sync the folder, so that the name of the file is on the disk too."""
    if os.name != "posix":
        return
    handle = os.open(real.parent, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        raise UnconfirmedError(
            f"{real.name} is written, but the disk did not confirm it: {error.strerror}",
            "",
            "Look whether the disk is full or failing, then do it again",
        ) from error
    finally:
        os.close(handle)
