"""A disk that stops, tears or fills up at a call of our choice: laid over `os` in a process of its own.

Every call that changes something below one folder is counted. Before the chosen one, or in the middle of
it, the process is gone (`os._exit`: no handler runs), as after SIGKILL. With ``power`` the disk then also
forgets all that was never synced: bytes of files, names in folders.
"""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

__all__ = ["GONE", "FaultyDisk"]

#: Exit status of a process that was stopped.
GONE = 77

_CHANGING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_NAMES = (
    *("open", "write", "fsync", "ftruncate", "fchmod", "close"),
    *("replace", "rename", "unlink", "remove", "mkdir", "rmdir"),
)


class FaultyDisk:
    """What happens below one folder.

    Parameters
    ----------
    root : Path
        Only calls that change something below it are counted.
    stop : int, optional
        The call, from 1, before which the process is gone.
    half : bool
        Half of that call is done first, when it writes.
    power : {"", "lost", "zeros"}
        What was not synced is gone as well, or filled with zeros.
    room : int, optional
        Bytes that fit; then the disk is full.
    fails : (int, int), optional
        Number of a call (0: every one) and the error it gets.
    """

    def __init__(
        self,
        root: Path,
        *,
        stop: int | None = None,
        half: bool = False,
        power: str = "",
        room: int | None = None,
        fails: tuple[int, int] | None = None,
    ) -> None:
        self.root = os.path.realpath(root)
        self.stop, self.half, self.power, self.room, self.fails = stop, half, power, room, fails
        self.calls: list[str] = []
        self.real = {name: getattr(os, name) for name in _NAMES}
        self._open: dict[int, str] = {}
        self._synced: dict[int, int] = {}
        self._names: list[tuple[str, Callable[[], Any]]] = []

    @contextlib.contextmanager
    def laid(self):
        """Lay it over `os`."""
        for name in _NAMES:
            setattr(os, name, getattr(self, "_opened" if name == "open" else f"_{name}"))
        try:
            yield self
        finally:
            for name in _NAMES:
                setattr(os, name, self.real[name])

    # --- counting ---------------------------------------------------------------------

    def _whole(self, path: Any, dir_fd: int | None = None) -> str:
        named = os.fspath(path)
        if dir_fd is not None and dir_fd in self._open:
            named = os.path.join(self._open[dir_fd], named)
        return os.path.join(
            os.path.realpath(os.path.dirname(named) or "."), os.path.basename(named)
        )

    def _ours(self, path: str) -> bool:
        return path == self.root or path.startswith(self.root + os.sep)

    def _call(self, name: str, path: str, middle: Callable[[], Any] | None = None) -> None:
        if not self._ours(path):
            return
        self.calls.append(f"{name} {os.path.relpath(path, self.root)}")
        if self.stop == len(self.calls):
            if self.half and middle is not None:
                middle()
            self._gone()
        if self.fails and self.fails[0] in (0, len(self.calls)):
            raise OSError(self.fails[1], os.strerror(self.fails[1]), path)

    def _gone(self) -> None:
        if self.power:
            for _, undo in reversed(self._names):
                undo()
            for folder, _, files in os.walk(self.root):
                for file in files:
                    self._forget(os.path.join(folder, file))
        os._exit(GONE)

    def _forget(self, path: str) -> None:
        found = os.stat(path)
        kept = self._synced.get(found.st_ino, found.st_size)
        if kept < found.st_size:
            os.truncate(path, kept)
            if self.power == "zeros":
                os.truncate(path, found.st_size)

    def _named(self, path: str, undo: Callable[[], Any]) -> None:
        """Remember a change of names until its folder is synced."""
        if self._ours(path):
            self._names.append((os.path.dirname(path), undo))

    def _spare(self, path: str) -> str | None:
        """Keep what a name stands for, for the case that the change of it is lost."""
        if not (self.power and self._ours(path) and os.path.isfile(path)):
            return None
        spare = f"{self.root}.spare{len(self._names)}"
        with contextlib.suppress(FileNotFoundError):
            self.real["unlink"](spare)
        os.link(path, spare)
        return spare

    # --- the calls --------------------------------------------------------------------

    def _opened(self, path: Any, flags: int, *mode: int, dir_fd: int | None = None) -> int:
        whole = self._whole(path, dir_fd)
        fresh = bool(flags & os.O_CREAT) and not os.path.lexists(whole)
        # Opening what is there for writing changes nothing yet, but it may be refused.
        if flags & _CHANGING:
            self._call("open", whole)
        handle = self.real["open"](path, flags, *mode, dir_fd=dir_fd)
        if self._ours(whole):
            self._open[handle] = whole
            if fresh:
                self._synced[os.fstat(handle).st_ino] = 0
                self._named(whole, lambda: self.real["unlink"](whole))
        return handle

    def _close(self, handle: int) -> None:
        self._open.pop(handle, None)
        self.real["close"](handle)

    def _write(self, handle: int, data: Any) -> int:
        path = self._open.get(handle)
        if path is None:
            return self.real["write"](handle, data)
        whole = bytes(data)
        found = os.fstat(handle)
        self._synced.setdefault(found.st_ino, found.st_size)
        part = whole[: max(1, len(whole) // 2)]
        self._call("write", path, lambda: self.real["write"](handle, part))
        if self.room is not None:
            whole = whole[: self.room]
            self.room -= len(whole)
            if not whole:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return self.real["write"](handle, whole)

    def _fsync(self, handle: int) -> None:
        path = self._open.get(handle)
        if path is None:
            self.real["fsync"](handle)
            return
        self._call("fsync", path)
        # Nothing here survives the machine; what counts is that it was asked for.
        if os.path.isdir(path):
            self._names = [one for one in self._names if one[0] != path]
        else:
            found = os.fstat(handle)
            self._synced[found.st_ino] = found.st_size

    def _ftruncate(self, handle: int, size: int) -> None:
        if handle in self._open:
            self._call("ftruncate", self._open[handle])
        self.real["ftruncate"](handle, size)

    def _fchmod(self, handle: int, mode: int) -> None:
        if handle in self._open:
            self._call("fchmod", self._open[handle])
        self.real["fchmod"](handle, mode)

    def _move(self, name: str, source: Any, target: Any) -> None:
        old, new = self._whole(source), self._whole(target)
        self._call(name, new)
        spare = self._spare(new)
        self.real[name](source, target)

        def undo() -> None:
            self.real["rename"](new, old)
            if spare:
                self.real["rename"](spare, new)

        self._named(new, undo)

    def _replace(self, source: Any, target: Any) -> None:
        self._move("replace", source, target)

    def _rename(self, source: Any, target: Any) -> None:
        self._move("rename", source, target)

    def _unlink(self, path: Any, *, dir_fd: int | None = None) -> None:
        whole = self._whole(path, dir_fd)
        if os.path.lexists(whole):
            self._call("unlink", whole)
        spare = self._spare(whole)
        self.real["unlink"](path, dir_fd=dir_fd)
        if spare:
            self._named(whole, lambda: self.real["rename"](spare, whole))

    _remove = _unlink

    def _mkdir(self, path: Any, mode: int = 0o777, *, dir_fd: int | None = None) -> None:
        whole = self._whole(path, dir_fd)
        if not os.path.lexists(whole):
            self._call("mkdir", whole)
        self.real["mkdir"](path, mode, dir_fd=dir_fd)
        self._named(whole, lambda: self._lost_folder(whole))

    def _rmdir(self, path: Any, *, dir_fd: int | None = None) -> None:
        self._call("rmdir", self._whole(path, dir_fd))
        self.real["rmdir"](path, dir_fd=dir_fd)

    def _lost_folder(self, path: str) -> None:
        # A folder that was never synced into its own takes all that lies in it along.
        for folder, folders, files in os.walk(path, topdown=False):
            for name in files:
                self.real["unlink"](os.path.join(folder, name))
            for name in folders:
                self.real["rmdir"](os.path.join(folder, name))
        with contextlib.suppress(FileNotFoundError):
            self.real["rmdir"](path)
