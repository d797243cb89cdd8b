"""What a page was made of, told by the marks that a disk puts on files: the same basis, the same page."""

from __future__ import annotations

import bisect
import hashlib
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from stallwise import __version__
from stallwise.ground import assets
from stallwise.ground.errors import InputError
from stallwise.record.folder import BOOK, KINDS
from stallwise.surfaces.journal.lending import Lend

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook, CookFolder

__all__ = ["Bases", "own_marks"]

#: Made by the program from the rest, and read by no page.
_MADE = frozenset({".ipynb_checkpoints"})
#: The same, but for the forecasts that were kept: those a page tells of.
_RESULTS, _KEPT = "results", "forecasts.jsonl"
_TRIALS = "trials"
#: Names of cooks in a trial's files, among other words.
_WORD = re.compile(r"[^\s\"',;\[\]=]+")


class Bases:
    """Basis of each page of a journal.

    A page rests on its cook's folder, on what lies in the cookbook for all cooks, on the program, on
    what was learned before its day, and on what other cooks lend it: weights of the same cut before its
    day, trimmings, answers of a tasting that it took part in.

    Parameters
    ----------
    book : Cookbook
    own : mapping of str to str
        Mark of each cook's own folder, from `own_marks`.
    found : mapping of str to Lend
        What each lends, by its name.
    """

    def __init__(self, book: Cookbook, own: Mapping[str, str], found: Mapping[str, Lend]) -> None:
        self._own = own
        self._days = {one.name: (one.date, one.name) for one in found.values() if one.date}
        self._borrowed = _borrowed(sorted(found.values(), key=lambda one: (one.date, one.name)))
        self._shared = _digest([*_book_marks(book.path), *_program_marks()])
        self._tasted = _tasted(book.path, own)
        self._taught = _Taught(book)

    def of(self, name: str) -> str:
        """Give the basis of a page; empty where it cannot be told."""
        day = self._days.get(name)
        if day is None:
            return ""
        parts = (self._tasted.get(name, ""), self._taught.before(day), self._borrowed[name])
        return _digest([self._own[name], self._shared, *parts])


def own_marks(cooks: Iterable[CookFolder]) -> dict[str, str]:
    """Mark of each cook's own folder, by its name; a folder without a plan has none."""
    return {
        cook.name: _digest(_marks(cook.path))
        for cook in cooks
        if (cook.path / "cook.toml").is_file()
    }


def _digest(parts: Iterable[str]) -> str:
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
    path = book / BOOK
    if path.is_file():
        said = path.stat()
        yield f"{BOOK} {said.st_size} {said.st_mtime_ns}"
    for kind in KINDS:
        if kind != _TRIALS:
            yield from _marks(book / kind)


def _program_marks() -> Iterator[str]:
    """Program and tables: another version may say something else."""
    yield __version__
    yield from _marks(Path(assets.__file__).parents[1], lambda name: name.endswith(".py"))
    # Apart: in a checkout they do not lie in the package.
    for kind in get_args(assets.Kind):
        yield from _marks(Path(str(assets.folder(kind))))


def _tasted(book: Path, own: Mapping[str, str]) -> dict[str, str]:
    """Mark of the trials that each cook is named in: their files, and what was said at their tables."""
    found: dict[str, list[str]] = {}
    for path in sorted((book / _TRIALS).glob("*.toml")):
        files = [path, path.with_name(f"{path.stem}.key.csv")]
        told = [file.read_bytes() for file in files if file.is_file() and not file.is_symlink()]
        text = b"\n".join(told).decode("utf-8", "replace")
        words = set(_WORD.findall(text))
        named = [name for name in own if name in (words if _WORD.fullmatch(name) else text)]
        mark = hashlib.blake2b(b"\n".join(told), digest_size=12).hexdigest()
        answers = [_digest(_marks(book / "cooks" / name, "tastings.csv".__eq__)) for name in named]
        for name in named:
            found.setdefault(name, []).append(_digest([mark, *answers]))
    return {name: _digest(marks) for name, marks in found.items()}


def _borrowed(by_day: Sequence[Lend]) -> dict[str, str]:
    """Mark of what each cook may take from those before it."""
    weighed: dict[str, str] = {}
    freezer = ""
    found = {}
    for one in by_day:
        marks = [weighed.get(cut, "") for cut in one.cuts]
        found[one.name] = _digest([*marks, freezer if one.takes else ""])
        for cut in one.cuts if one.weighed else ():
            weighed[cut] = _digest([weighed.get(cut, ""), repr(one.weighed)])
        if one.freezer:
            freezer = _digest([freezer, one.name, one.freezer])
    return found


class _Taught:
    """Marks of what was learned: each entry's is of it and of all before it."""

    def __init__(self, book: Cookbook) -> None:
        try:
            held = (book.learned() or {}).get("cooks", ())
        except InputError:
            held = ()
        self._days: list[tuple[str, str]] = []
        self._marks = [""]
        for entry in held if isinstance(held, list) else ():
            told: Mapping[str, Any] = entry if isinstance(entry, dict) else {}
            self._days.append((str(told.get("date", "")), str(told.get("cook", ""))))
            self._marks.append(_digest([self._marks[-1], json.dumps(entry)]))
        self._in_order = self._days == sorted(self._days)

    def before(self, day: tuple[str, str]) -> str:
        """Give the mark of what was known before a cook; of all of it where the file is in disorder."""
        return self._marks[bisect.bisect_left(self._days, day) if self._in_order else -1]
