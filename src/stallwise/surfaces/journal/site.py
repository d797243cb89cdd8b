"""The published folder: what of it is ours, and how new files take the place of old ones."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from stallwise.ground.errors import InputError, WorkError
from stallwise.surfaces.journal.entries import Entry

__all__ = ["MANIFEST", "Site", "put"]

#: What was published, by cook; tells our files from others in the same folder.
MANIFEST = ".journal.json"

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
    entries : dict of str to Entry
        What is published, by the name of its page.
    pages : list of str
        Files that tell of many cooks.
    before : frozenset of str
        Files of ours that were there, or had still to go.
    """

    def __init__(self, out: Path, staging: Path) -> None:
        self.out = out
        self.staging = staging
        held = self._held = dict(_manifest(out))
        self.entries: dict[str, Entry] = {
            slug: entry
            for slug, plain in _mapping(held, "cooks").items()
            if (entry := Entry.from_plain(slug, plain)) is not None
        }
        self.pages: list[str] = []
        listed = [*_names(held, "pages"), *_names(held, "leaving")]
        self.before = frozenset(listed).union(*(one.files for one in self.entries.values()))

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
        put(self.staging, name, text)

    def staged(self, name: str) -> bool:
        """Whether a file waits to be moved."""
        return (self.staging / name).is_file()

    def stands(self, names: Iterable[str]) -> bool:
        """Whether all of these files are where they were put."""
        try:
            return all(self._inside(name).is_file() for name in names)
        except InputError:
            return False

    def read(self, name: str) -> str:
        """Read a page as it waits, or else as it stands; empty where there is none."""
        path = self.staging / name
        try:
            return (path if path.is_file() else self._inside(name)).read_text(encoding="utf-8")
        except (OSError, UnicodeError, InputError):
            return ""

    def settle(self) -> None:
        """Move what is staged into place, then take away what no page needs any more.

        At any moment a reader who starts at the index, the feed or the search finds every file that a
        page leads to. New files come first, where nothing leads to them yet; then those that change,
        the index and the list of files last; at the end those that go, to which nothing leads any more.
        A file that would say the same again is left as it is. What comes and what goes is written down
        before, so that a run that is cut short leaves nothing behind for good.
        """
        staged = sorted(_files(self.staging), key=_order)
        new = [name for name in staged if not self._inside(name).exists()]
        if new:
            self._note(self._held | {"leaving": sorted({*_names(self._held, "leaving"), *new})})
            self._move([MANIFEST])
        self._move(new)
        leaving = self.before.difference(self.pages, *(one.files for one in self.entries.values()))
        self._move(name for name in staged if name not in set(new))
        held = {
            "schema": 1,
            "cooks": {slug: self.entries[slug].plain() for slug in sorted(self.entries)},
            "pages": sorted(self.pages),
            "leaving": sorted(leaving),
        }
        self._note(held)
        self._move([MANIFEST])
        self._clear(sorted(leaving))
        if leaving:  # names of what was taken back stay nowhere
            self._note(held | {"leaving": []})
            self._move([MANIFEST])

    def _note(self, held: Mapping[str, object]) -> None:
        self.write(MANIFEST, json.dumps(held, ensure_ascii=False, sort_keys=True) + "\n")

    def _move(self, names: Iterable[str]) -> None:
        for name in names:
            target, made = self._inside(name), self.staging / name
            if target.is_file() and not target.is_symlink() and _same(target, made):
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            made.replace(target)

    def _clear(self, files: Iterable[str]) -> None:
        for name in files:
            try:
                target = self._inside(name)
            except InputError:
                continue
            target.unlink(missing_ok=True)
            for parent in target.parents:
                if parent == self.out or not parent.is_dir() or any(parent.iterdir()):
                    break
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


def put(staging: Path, name: str, text: str | bytes) -> None:
    """Write one file to a staging folder."""
    path = staging / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)


def _files(folder: Path) -> list[str]:
    return [p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()]


def _same(one: Path, other: Path) -> bool:
    return one.stat().st_size == other.stat().st_size and one.read_bytes() == other.read_bytes()


#: Where readers and their programs start: last, for what they lead to has to be there.
_STARTS = {"feed.xml": 4, "sitemap.xml": 4, "search-rows.js": 4, "index.html": 5, MANIFEST: 6}


def _order(name: str) -> tuple[int, int, str]:
    """Photos and what pages are dressed with first, then pages, lists, and what leads to them."""
    first, _, rest = name.partition("/")
    rank = {"photos": 0, "files": 1, "cooks": 2, **_STARTS}.get(first)
    if rank is None:
        rank = 3 if rest or name.endswith(".html") else 1
    size = name.rpartition("-")[2].removesuffix(".webp")
    return rank, -int(size) if rank == 0 and size.isdigit() else 0, name


def _manifest(out: Path) -> Mapping[str, object]:
    """Read what was published before; a list that is damaged counts as none."""
    path = out / MANIFEST
    try:
        held = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    except (OSError, ValueError):
        return {}
    return held if isinstance(held, Mapping) else {}


def _mapping(held: Mapping[str, object], key: str) -> Mapping[str, object]:
    found = held.get(key)
    return found if isinstance(found, Mapping) else {}


def _names(held: Mapping[str, object], key: str) -> list[str]:
    found = held.get(key)
    return [name for name in found if isinstance(name, str)] if isinstance(found, list) else []
