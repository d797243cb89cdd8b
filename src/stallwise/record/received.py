"""Cooks of somebody else, opened as small cookbooks of their own: to be looked at, planned from, never learned from."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.ground.errors import InputError
from stallwise.record import disk, names
from stallwise.record.packing import PACKED_BYTES, unpack
from stallwise.record.photos import ending_of
from stallwise.record.store import RECORD_BYTES, Store, read_outside

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook

__all__ = ["RECEIVED", "Received", "open_shared", "received", "received_from"]

#: Folder of a cookbook in which they lie, and the file that marks each of them.
RECEIVED, MARK = "received", "received.json"
#: What each cook of a ``learned.json`` says.
_ENTRY = frozenset({"cook", "date", "knowledge", "pits", "cuts"})


@dataclass(frozen=True)
class Received:
    """A cook that came from somebody else.

    Attributes
    ----------
    name : str
        Of its folder here.
    cook : str
        What its own folder is called.
    title, author : str
        Of the cookbook it is from.
    path : Path
        Its small cookbook.
    """

    name: str
    cook: str
    title: str
    author: str
    path: Path

    @property
    def whose(self) -> str:
        """Whose it is, in words."""
        return f"{self.title}, {self.author}" if self.author else self.title


def open_shared(book: Cookbook, path: Path, name: str | None = None) -> tuple[Received, bool]:
    """Open a shared cook; nothing of it is run, and nothing is kept of one that is refused.

    Parameters
    ----------
    book : Cookbook
        Where it is to lie.
    path : Path
        The file.
    name : str, optional
        What to call it; the default is its own name.

    Returns
    -------
    found : Received
    new : bool
        False where the same file was opened before.

    Raises
    ------
    InputError
        It is no such file, or not as it was made.
    RecordError
        Something in it is wrong; every problem is told.
    """
    from stallwise.record.folder import Cookbook

    data = read_outside(path, PACKED_BYTES)
    files, told = unpack(data, path.name)
    sum_ = hashlib.sha256(data).hexdigest()
    for old in received(book):
        if _mark(old.path).get("sum") == sum_:
            return old, False
    place = book.store.inside(book.path / RECEIVED)
    staging = place / f"{disk.TEMPORARY}{os.urandom(6).hex()}"
    with disk.failing_as(f"{RECEIVED}/{path.name}", "Nothing of it was kept"):
        try:
            for one, content in sorted(files.items()):
                disk.make_folder((staging / one).parent)
                disk.replace(staging / one, content)
            disk.make_folder(staging / "cooks")
            mark = {**told, "sum": sum_}
            disk.replace(
                staging / MARK, (json.dumps(mark, ensure_ascii=False, indent=1) + "\n").encode()
            )
            cook = _looked_over(Cookbook.open(staging), path.name)
            with disk.locked(book.path):
                own = [one.name for one in book.cooks()]
                # An own cook is called by its name without the date too.
                taken = [*(entry.name for entry in place.iterdir()), *own]
                taken += [one[len("2026-01-01-") :] for one in own]
                wanted = names.slug(name or cook)
                free = names.free(wanted, "", taken)
                if name and free != wanted:
                    raise InputError(f"{wanted!r} is taken", "a name that is free")
                disk.rename(staging, place / free)
        finally:
            shutil.rmtree(staging, ignore_errors=True)
    return _found(place / free), True


def _looked_over(small: Cookbook, name: str) -> str:
    """Read everything once; what cannot be read is refused here and not in the middle of something."""
    cooks = small.cooks()
    if len(cooks) != 1:
        raise InputError(f"{name} holds {len(cooks)} cooks", "one", "Have it sent again")
    (folder,) = cooks
    folder.load()
    entries = (small.learned() or {}).get("cooks", [])
    if not isinstance(entries, list) or not all(
        isinstance(one, dict) and one.keys() >= _ENTRY for one in entries
    ):
        raise InputError(f"learned.json in {name} cannot be read", "what `stallwise share` writes")
    for photo in small.listing(folder.path / "photos", copies=True):
        ending_of(photo.read_bytes(), photo.name)
    notebook = folder.path / "cook.ipynb"
    if folder.store.has(notebook):
        try:
            json.loads(folder.store.read(notebook))
        except (ValueError, RecursionError) as error:
            raise InputError(f"cook.ipynb in {name} cannot be read", "a notebook") from error
    return folder.name


def received(book: Cookbook) -> list[Received]:
    """List cooks of others that were opened in a book, by name."""
    place = book.path / RECEIVED
    if not place.is_dir() or place.is_symlink():
        return []
    return [
        _found(entry)
        for entry in sorted(place.iterdir())
        if not entry.name.startswith(".") and not entry.is_symlink() and (entry / MARK).is_file()
    ]


def received_from(book: Cookbook) -> Received | None:
    """Tell whose a cookbook is, where it is one that came from somebody else."""
    return _found(book.path) if (book.path / MARK).is_file() else None


def _found(path: Path) -> Received:
    told = _mark(path)
    return Received(path.name, told["cook"], told["title"], told["author"], path)


def _mark(path: Path) -> dict[str, str]:
    try:
        found = json.loads(Store(path).read(path / MARK, RECORD_BYTES))
    except (ValueError, RecursionError):
        found = None
    told = found if isinstance(found, dict) else {}
    return {key: str(told.get(key, "")) for key in ("cook", "title", "author", "sum")}
