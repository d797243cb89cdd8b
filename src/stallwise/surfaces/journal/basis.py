"""What a page was made of, told by the marks that a disk puts on files: the same basis, the same page."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from stallwise import __version__
from stallwise.ground import assets
from stallwise.record.folder import BOOK, KINDS

if TYPE_CHECKING:
    from stallwise.record.folder import CookFolder
    from stallwise.surfaces.journal.entries import Entry

__all__ = ["Bases"]

#: Made by the program from the rest, and read by no page.
_MADE = frozenset({".ipynb_checkpoints"})
#: The same, but for the forecasts that were kept: those a page tells of.
_RESULTS, _KEPT = "results", "forecasts.jsonl"


class Bases:
    """Basis of each page of a journal.

    A page rests on its cook's folder, on what lies in the cookbook for all cooks, on the program, and on what
    other cooks lend it: weights of their pieces, trimmings, answers of a tasting.

    Parameters
    ----------
    book : Path
        The cookbook's folder.
    cooks : sequence of CookFolder
        All of its cooks.
    before : mapping of str to Entry
        What was published before, by the cook's name.
    """

    def __init__(self, book: Path, cooks: list[CookFolder], before: Mapping[str, Entry]) -> None:
        self._own: dict[str, str] = {}
        self._lent: dict[str, str] = {}
        for cook in cooks:
            if not (cook.path / "cook.toml").is_file():
                continue
            own = _digest(_marks(cook.path))
            held = before.get(cook.name)
            self._own[cook.name] = own
            self._lent[cook.name] = (
                held.lent if held and held.own == own and held.lent else _lent(cook)
            )
        shared = [*_book_marks(book), *_program_marks(), *sorted(self._lent.items())]
        self._shared = _digest(map(str, shared))

    def own(self, name: str) -> tuple[str, str]:
        """Give the mark of a cook's own folder, and of what it lends; empty where there is no such folder."""
        return self._own.get(name, ""), self._lent.get(name, "")

    def of(self, name: str) -> str:
        """Give the basis of a page; empty where it cannot be told."""
        own = self._own.get(name)
        return "" if own is None else _digest([own, self._shared])


def _digest(parts: Iterator[str] | list[str] | map[str]) -> str:
    found = hashlib.blake2b(digest_size=12)
    for part in parts:
        found.update(part.encode("utf-8", "surrogateescape") + b"\n")
    return found.hexdigest()


def _marks(folder: Path, keep: Callable[[str], bool] = lambda _: True) -> Iterator[str]:
    """Name, size and time of every file in a folder, in order."""
    if not folder.is_dir() or folder.is_symlink():
        return
    with os.scandir(folder) as listing:
        entries = sorted(listing, key=lambda entry: entry.name)
    for entry in entries:
        if entry.name in _MADE or entry.name.startswith("."):
            continue
        if entry.name == _RESULTS and entry.is_dir(follow_symlinks=False):
            yield from _marks(Path(entry.path), lambda name: name == _KEPT)
        elif entry.is_dir(follow_symlinks=False):
            yield from _marks(Path(entry.path), keep)
        elif keep(entry.name):
            said = entry.stat(follow_symlinks=False)
            yield f"{entry.path} {said.st_size} {said.st_mtime_ns} {said.st_ino}"


def _book_marks(book: Path) -> Iterator[str]:
    for name in (BOOK, "learned.json"):
        path = book / name
        if path.is_file():
            said = path.stat()
            yield f"{name} {said.st_size} {said.st_mtime_ns}"
    for kind in KINDS:
        yield from _marks(book / kind)


def _program_marks() -> Iterator[str]:
    """Program and tables: another version may say something else."""
    yield __version__
    yield from _marks(Path(assets.__file__).parents[1], lambda name: name.endswith(".py"))
    # Apart: in a checkout they do not lie in the package.
    for kind in get_args(assets.Kind):
        yield from _marks(Path(str(assets.folder(kind))))


def _lent(cook: CookFolder) -> str:
    """Mark of what other cooks may take from this one."""
    from stallwise.ground.errors import StallwiseError

    try:
        read = cook.read()
    except StallwiseError:
        return "unread"
    told = [str(read.date)]
    for piece in read.pieces:
        held = piece.model_dump(include={"letter", "cut", "count", "mass", "mass_bought", "mass_saved",
                                         "mass_bin", "mass_cooked", "mass_edible"})  # fmt: skip
        told.append(repr(held))
    told += [repr((mix.mix, mix.from_, mix.take)) for mix in read.mixes if mix.from_]
    answers = cook.path / "tastings.csv"
    if answers.is_file():
        told.append(hashlib.blake2b(answers.read_bytes(), digest_size=12).hexdigest())
    return _digest(told)
