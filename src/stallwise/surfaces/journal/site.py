"""The published folder: what of it is ours, and how new files take the place of old ones."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from stallwise.ground.errors import InputError, WorkError

__all__ = ["MANIFEST", "Site"]

#: What was published, by cook; tells our files from others in the same folder.
MANIFEST = ".journal.json"

_WORDS = ("name", "title", "date", "day", "subtitle", "outcome")
_LOCK = ".journal.lock"
_STAGING = ".journal-staging-"


class Site:
    """A published folder under our lock, with a staging folder inside it.

    New files are written to `staging` and moved over one by one, the index last: a reader
    never meets half a page, and files that are not ours stay where they are.

    Attributes
    ----------
    out : Path
        The published folder.
    staging : Path
        Where new files wait.
    entries : dict
        What was published before: slug to its line of the index and its files.
    """

    def __init__(self, out: Path, staging: Path) -> None:
        self.out = out
        self.staging = staging
        self.entries: dict[str, dict[str, Any]] = _manifest(out)

    @classmethod
    @contextmanager
    def opened(cls, out: Path) -> Iterator[Site]:
        """Open a folder for publishing; made if it is not there.

        Raises
        ------
        InputError
            It is a file, or a link, or another publishing is under way.
        """
        if out.is_symlink() or (out.exists() and not out.is_dir()):
            raise InputError(f"{out.name!r} is not a folder", "a folder, or a name for a new one")
        try:
            out.mkdir(parents=True, exist_ok=True)
            with FileLock(out / _LOCK, timeout=0):
                for left in out.glob(f"{_STAGING}*"):  # of a run that was cut short
                    shutil.rmtree(left, ignore_errors=True)
                staging = Path(tempfile.mkdtemp(prefix=_STAGING, dir=out))
                try:
                    yield cls(out, staging)
                finally:
                    shutil.rmtree(staging, ignore_errors=True)
        except Timeout:
            raise InputError(
                f"{out.name!r} is being published by another run", "", "Wait for it to end"
            ) from None
        except OSError as error:
            raise WorkError(
                f"the journal could not be written ({error.strerror or error})",
                "",
                "What was published before is still there",
            ) from error

    def write(self, name: str, text: str | bytes) -> None:
        """Write one file to the staging folder."""
        path = self.staging / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode() if isinstance(text, str) else text)

    def settle(self) -> None:
        """Move what is staged into place: photos, then pages, then the index and the list of files."""
        names = sorted(_files(self.staging), key=_order)
        for name in names:
            target = self._inside(name)
            target.parent.mkdir(parents=True, exist_ok=True)
            (self.staging / name).replace(target)

    def clear(self, files: Iterable[str]) -> None:
        """Take away files of ours that no page needs any more."""
        for name in files:
            try:
                target = self._inside(name)
            except InputError:
                continue
            target.unlink(missing_ok=True)
            parent = target.parent
            if parent != self.out and parent.is_dir() and not any(parent.iterdir()):
                parent.rmdir()

    def _inside(self, name: str) -> Path:
        """Path of one of our files; no link on the way leads out of the folder."""
        target = self.out / name
        parts = Path(name).parts
        steps = [self.out.joinpath(*parts[:depth]) for depth in range(1, len(parts))]
        if Path(name).is_absolute() or ".." in parts or any(step.is_symlink() for step in steps):
            raise InputError(
                f"{name!r} leads out of the published folder", "plain folders", "Remove the link"
            )
        return target


def _files(folder: Path) -> list[str]:
    return [p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()]


def _order(name: str) -> tuple[int, int, str]:
    """Photos first and the largest of them ahead, the index and the list of files last."""
    first = name.split("/", maxsplit=1)[0]
    rank = {"photos": 0, "cooks": 2, "index.html": 3, MANIFEST: 4}.get(first, 1)
    size = name.rpartition("-")[2].removesuffix(".webp")
    return rank, -int(size) if rank == 0 and size.isdigit() else 0, name


def _manifest(out: Path) -> dict[str, dict[str, Any]]:
    """Read what was published before; a list that is damaged counts as none."""
    path = out / MANIFEST
    try:
        held = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    except (OSError, ValueError):
        return {}
    entries = held.get("cooks", {}) if isinstance(held, Mapping) else {}
    if not isinstance(entries, Mapping):
        return {}
    return {slug: {"planned": False, **entry} for slug, entry in entries.items() if _sound(entry)}


def _sound(entry: object) -> bool:
    """Whether an entry has the shape that the index needs."""
    if not isinstance(entry, dict):
        return False
    files, thumb = entry.get("files"), entry.get("thumb")
    return (
        all(isinstance(entry.get(key), str) for key in _WORDS)
        and isinstance(entry.get("sample"), bool)
        and isinstance(entry.get("planned", False), bool)
        and isinstance(files, list)
        and all(isinstance(name, str) for name in files)
        and (
            thumb is None or (isinstance(thumb, dict) and {"file", "width", "height"} <= set(thumb))
        )
    )
