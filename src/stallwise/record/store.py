"""The one door to a cookbook's disk: whole files by rename, single lines by append.

A file is replaced by a temporary file, sync and rename, and only if it still is what was
read. A line is appended by one write. Both hold the folder's lock for milliseconds. When
the disk is full, or the power goes, the old file is whole. No link is followed out of
the book.
"""

from __future__ import annotations

import difflib
import hashlib
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Literal

from stallwise.ground.errors import InputError, WorkError
from stallwise.record import disk, names

__all__ = [
    "ANY",
    "LINE_BYTES",
    "LOG_BYTES",
    "LOG_LINES",
    "PHOTO_BYTES",
    "READINGS_BYTES",
    "RECORD_BYTES",
    "ChangedError",
    "Expected",
    "Store",
    "decoded",
    "digest",
    "new_folder",
    "read_outside",
    "write_new",
]

# What a cook sees of these is in data/record_limits.csv; a test compares.
RECORD_BYTES = 5_000_000
READINGS_BYTES = 200_000_000
PHOTO_BYTES = 100_000_000
LOG_LINES = 100_000
LOG_BYTES = 100_000_000
LINE_BYTES = 64_000


class _Any(Enum):
    ANY = "whatever is there"


#: For `expected`: the file may hold anything, or not exist.
ANY = _Any.ANY

#: The text that was read, or its `digest`; None: there was no file.
Expected = str | None | Literal[_Any.ANY]


class ChangedError(WorkError):
    """A file is no longer what was read; nothing was written.

    Attributes
    ----------
    diff : str
        What somebody else changed meanwhile, as a unified diff.
    """

    def __init__(self, name: str, diff: str) -> None:
        super().__init__(
            f"{name} was changed by somebody else since it was read",
            "",
            "Nothing was written. Read it again, then make your change anew",
        )
        self.diff = diff
        self.args = (f"{self.args[0]}\n{diff}",)


def digest(text: str) -> str:
    """Short stand-in for a text, to be given as `expected`."""
    return "sha256:" + hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class Store:
    """Files under one folder.

    Attributes
    ----------
    root : Path
        The cookbook. Paths given to the methods lie in it, whole or from it on.
    """

    root: Path

    def inside(self, path: Path) -> Path:
        """Whole path with links resolved; refused when it leads out of the book."""
        # By os.path, which takes links that lead in a circle for a name, as opening them does.
        root = Path(os.path.realpath(self.root))
        real = Path(os.path.realpath(root / path))
        if not real.is_relative_to(root):
            raise InputError(
                f"{self.name(path)} leads out of the cookbook",
                "files that lie in the cookbook",
                "Copy the file itself into the cookbook instead of a link to it",
            )
        return real

    def name(self, path: Path) -> str:
        """Path for messages, from the cookbook on."""
        if path.is_absolute() and not path.is_relative_to(self.root):
            root = self.root.resolve()
            path = path.relative_to(root) if path.is_relative_to(root) else path
        elif path.is_absolute():
            path = path.relative_to(self.root)
        return path.as_posix()

    def has(self, path: Path) -> bool:
        """Whether there is a file."""
        return self.inside(path).is_file()

    def read_bytes(self, path: Path, limit: int = RECORD_BYTES) -> bytes:
        """Read a whole file.

        Raises
        ------
        InputError
            No such file, no plain file, larger than `limit`, or out of the book.
        """
        return disk.read(self.inside(path), self.name(path), limit)

    def read(self, path: Path, limit: int = RECORD_BYTES) -> str:
        """Read a whole file of UTF-8 text, line ends as they are."""
        return decoded(self.read_bytes(path, limit), self.name(path))

    def replace(
        self, path: Path, content: str | bytes, *, expected: Expected, limit: int = RECORD_BYTES
    ) -> None:
        """Replace a file as a whole, or make it.

        Parameters
        ----------
        path : Path
            The file.
        content : str or bytes
            All of it.
        expected : str, None or ANY
            Text (or its `digest`) that was read; None when there was no file.
        limit : int, optional
            Largest size in bytes.

        Raises
        ------
        ChangedError
            The file is not what was read: with a diff, and nothing written.
        WorkError
            The disk is full, or does not let us; the old file is whole.
        """
        data = content.encode() if isinstance(content, str) else content
        real, name = self.inside(path), self.name(path)
        disk.fits(len(data), limit, name)
        with disk.failing_as(name, "The old file is whole"):
            disk.make_folder(real.parent)
            with disk.locked(self.root):
                if expected is None and real.exists():
                    raise ChangedError(name, "There was no such file, and now there is one.")
                if expected not in {None, ANY}:
                    self._text_now(real, name, expected)
                disk.replace(real, data)

    def update(self, path: Path, change: Callable[[str], str], *, expected: Expected = ANY) -> str:
        """Read, change and replace a text in one hold of the lock; see `replace`.

        Parameters
        ----------
        change : callable
            Gets the text that is there, empty when there is none, and returns the new one.
        """
        real, name = self.inside(path), self.name(path)
        with disk.failing_as(name, "The old file is whole"), disk.locked(self.root):
            text = change(self._text_now(real, name, expected))
            data = text.encode()
            disk.fits(len(data), RECORD_BYTES, name)
            disk.replace(real, data)
        return text

    def append(
        self, path: Path, make: Callable[[bytes], Sequence[str]], limit: int = LOG_BYTES
    ) -> Sequence[str]:
        """Append lines, one write each, then one sync.

        Parameters
        ----------
        path : Path
            The file; made when it is not there.
        make : callable
            Gets what the file holds and returns the lines to add, without line ends.

        Raises
        ------
        WorkError
            The disk is full, or does not let us: none of the lines was added.
        """
        real, name = self.inside(path), self.name(path)
        with disk.failing_as(name, "None of the lines was added"):
            disk.make_folder(real.parent)
            with disk.locked(self.root):
                held = disk.read(real, name, limit) if real.exists() else b""
                lines = make(held)
                if lines:
                    disk.append(real, held, lines)
        return lines

    def _text_now(self, real: Path, name: str, expected: Expected) -> str:
        """Text that is there; refused when it is not what is expected."""
        now = decoded(disk.read(real, name, RECORD_BYTES), name) if real.exists() else None
        _same(name, now, expected)
        return now or ""

    def cut(self, path: Path, was: bytes, content: bytes) -> None:
        """Replace bytes that may be no text, only if the file still holds what it did."""
        real, name = self.inside(path), self.name(path)
        with disk.failing_as(name, "The old file is whole"), disk.locked(self.root):
            if disk.read(real, name, max(len(was), 1) + LINE_BYTES) != was:
                raise ChangedError(name, "It was written to in this moment.")
            disk.replace(real, content)

    def move(self, path: Path, to: Path) -> Path:
        """Give a file another place; one that is there already is left alone, and this numbered.

        Returns
        -------
        Path
            Where it lies now.
        """
        real, wanted = self.inside(path), self.inside(to)
        with disk.failing_as(self.name(path), "It is where it was"), disk.locked(self.root):
            disk.make_folder(wanted.parent)
            taken = [entry.name for entry in wanted.parent.iterdir()]
            stem, dot, ending = wanted.name.partition(".")
            free = wanted.with_name(names.free(stem, f"{dot}{ending}", taken))
            disk.rename(real, free)
        return free

    def remove(self, path: Path, *, expected: str) -> None:
        """Take a file away, only if it still holds what was read; one that is gone is left so.

        Raises
        ------
        ChangedError
            It holds something else; nothing was taken away.
        """
        real, name = self.inside(path), self.name(path)
        with disk.failing_as(name, "The file is there still"), disk.locked(self.root):
            if real.exists():
                self._text_now(real, name, expected)
                disk.remove(real)

    def remove_new(self, path: Path) -> None:
        """Take back a file that was made a moment ago, when what should follow it failed."""
        self.inside(path).unlink(missing_ok=True)


def read_outside(path: Path, limit: int) -> bytes:
    """Read a file that the cook hands over from anywhere (a CSV, a photo)."""
    return disk.read(path.resolve(), path.name, limit)


def new_folder(path: Path) -> None:
    """Make a folder of the cook's own choice, for several papers; one that is there is taken.

    Raises
    ------
    InputError
        It is a file.
    WorkError
        The disk does not let us.
    """
    if path.exists() and not path.is_dir():
        raise InputError(f"{path} is a file", "a folder to write into")
    with disk.failing_as(path.name, "Nothing was made"):
        disk.make_folder(path.resolve())


def write_new(path: Path, content: str | bytes) -> None:
    """Write a file of the cook's own choice (a printed sheet, a calendar) whole or not at all.

    Raises
    ------
    InputError
        The folder does not exist, or a folder is named.
    WorkError
        The disk is full, or does not let us; an old file of that name is whole.
    """
    if not path.resolve().parent.is_dir():
        raise InputError(
            f"there is no folder {path.parent.name!r} for {path.name}", "a folder that is there"
        )
    if path.is_dir():
        raise InputError(f"{str(path)!r} is a folder", "a name for a file", "Name the file in it")
    with disk.failing_as(path.name, "A file that was there is whole"):
        disk.replace(path.resolve(), content.encode() if isinstance(content, str) else content)


def decoded(data: bytes, name: str) -> str:
    """Text of UTF-8 bytes, a byte-order mark left out."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(
            "a letter that is not UTF-8 text",
            "UTF-8",
            "Save the file as UTF-8 in your editor",
            where=f"{name}, line {line}",
        ) from error


def _same(name: str, now: str | None, expected: Expected) -> None:
    if expected is ANY or expected == now or (now is not None and expected == digest(now)):
        return
    was = "" if expected is None or expected.startswith("sha256:") else expected
    diff = "".join(
        line if line.endswith("\n") else f"{line}\n"
        for line in difflib.unified_diff(
            was.splitlines(keepends=True),
            (now or "").splitlines(keepends=True),
            f"{name} as it was read",
            f"{name} as it is now" if now is not None else f"{name}, gone",
        )
    )
    raise ChangedError(name, diff)
