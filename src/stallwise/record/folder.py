"""A cookbook on the disk: finding it, starting it, what lies in it."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import shutil
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, TypeVar
from zoneinfo import ZoneInfo

from stallwise.ground.errors import InputError, NotFoundError, Unreadable
from stallwise.record import disk, edits, migrate, names, toml
from stallwise.record.cookfolder import CookFolder, Saved
from stallwise.record.lent import LENT, Lent
from stallwise.record.lines import plain_json
from stallwise.record.schema import SCHEMA, Book, Cook, Pit
from stallwise.record.store import ANY, RECORD_BYTES, Store, decoded, read_outside
from stallwise.record.trial import Trial
from stallwise.record.weighins import WeighIn, weigh_ins

__all__ = ["CookFolder", "Cookbook", "Kind", "Saved", "find_cookbook", "read_cook_file"]

T = TypeVar("T")
_WEIGH_INS = "weigh_ins"

BOOK = "cookbook.toml"
Kind = Literal["pits", "cuts", "mixes", "ingredients", "trials"]
KINDS = ("pits", "cuts", "mixes", "ingredients", "trials")
_MODELS: Mapping[str, type[Pit | Trial]] = {"pits": Pit, "trials": Trial}
_FOLDERS = (*KINDS, "cooks")
_COOK_FOLDERS = ("readings", "photos", "mixes", "results")
_LEARNED_BYTES = 20_000_000
_DATED = re.compile(r"\d{4}-\d{2}-\d{2}")

_NEW_BOOK = """\
# Settings of this cookbook. Change them by hand; a slip is told with its line.
schema = {schema}
title = {title}
units = {units}          # "us" or "metric": how numbers are shown; both may be typed
time_zone = {zone}   # Region/City
# elevation = "180 m"   # above the sea, for the boiling point
# usual_guests = 8
# base_address = "https://example.org/journal/"   # where the journal is put: a sitemap, previews of links

# Your own measures, once weighed:
# [measures]
# ladle = "120 g"

# What you pay, as it is sold:
# [prices]
# honey = "24 oz for $9.50"
"""


def find_cookbook(start: Path) -> Path:
    """Find the nearest folder upwards that is a cookbook.

    Raises
    ------
    InputError
        There is none.
    """
    here = start.resolve()
    for folder in (here, *here.parents):
        if (folder / BOOK).is_file():
            return folder
    raise _no_cookbook(start, "no folder with a cookbook.toml here or above")


def read_cook_file(path: Path) -> Cook:
    """Read a ``cook.toml`` that lies anywhere, a friend's; nothing beside it is looked at.

    Raises
    ------
    InputError
        No such file, too large, or no text.
    RecordError
        Something in it is wrong; every problem is told.
    """
    text = decoded(read_outside(path, RECORD_BYTES), path.name)
    return toml.parse(text, Cook, file=path.name)


def _no_cookbook(path: Path, why: str) -> InputError:
    return InputError(
        f"{path.name or str(path)!r} is no cookbook: {why}",
        "a folder with a cookbook.toml, or one inside it",
        "Start one with `stallwise init DIR`, or name one with --cookbook DIR",
    )


@dataclass(frozen=True)
class Cookbook:
    """A cookbook as opened; what lies in it is read when it is asked for.

    Attributes
    ----------
    path : Path
        The folder.
    book : Book
        Its settings, as they were when it was opened.
    memo : dict, optional
        What was read once; see `held`.
    """

    path: Path
    book: Book
    memo: dict[str, Any] | None = field(default=None, repr=False, compare=False)

    @classmethod
    def open(cls, path: Path) -> Cookbook:
        """Open a folder that is a cookbook.

        Raises
        ------
        InputError
            No such folder, or no cookbook.
        RecordError
            Something in ``cookbook.toml`` is wrong; every problem is told.
        """
        if not path.is_dir():
            raise _no_cookbook(path, "there is no such folder")
        if not (path / BOOK).is_file():
            raise _no_cookbook(path, "it has no cookbook.toml")
        path = path.resolve()
        return cls(path, toml.parse(Store(path).read(path / BOOK), Book, file=BOOK))

    @classmethod
    def start(
        cls, path: Path, title: str, units: str = "us", time_zone: str = "Etc/UTC"
    ) -> Cookbook:
        """Make a folder a cookbook; one that is a cookbook already is opened as it is.

        Raises
        ------
        InputError
            The folder holds other things, or a setting is wrong; nothing was made.
        """
        path = path.absolute()
        if (path / BOOK).is_file():
            return cls.open(path)
        if path.exists() and (not path.is_dir() or _visible(path)):
            raise InputError(
                f"{path.name!r} holds other things and is no cookbook",
                "a new or an empty folder",
                "Name another folder",
            )
        text = _NEW_BOOK.format(
            schema=SCHEMA,
            title=edits.as_toml(title, 1),
            units=edits.as_toml(units),
            zone=edits.as_toml(time_zone),
        )
        toml.parse(text, Book, file=BOOK)
        with disk.failing_as(path.name, "Nothing else was made"):
            for kind in _FOLDERS:
                disk.make_folder(path / kind)
        Store(path).replace(path / BOOK, text, expected=None)
        return cls.open(path)

    def held(self, known: Iterable[WeighIn] | None = None) -> Cookbook:
        """Give the book as it lies there now, for a batch over many cooks.

        What all cooks share (tables, lessons, the list of cooks) is read once at most, so that a
        thousand cooks cost a thousand times what one does. Whatever somebody writes meanwhile of
        these, it does not see.

        Parameters
        ----------
        known : iterable of WeighIn, optional
            What all cooks weighed, where somebody has read it already.
        """
        return replace(self, memo={} if known is None else {_WEIGH_INS: [*known]})

    def once(self, what: str, make: Callable[[], T]) -> T:
        """Make something, or take it as it was made the first time in a book that is `held`."""
        if self.memo is None:
            return make()
        if what not in self.memo:
            self.memo[what] = make()
        found: T = self.memo[what]
        return found

    @property
    def store(self) -> Store:
        """Door to the disk."""
        return Store(self.path)

    def zone_of(self, cook: Cook) -> ZoneInfo:
        """Zone of a cook: its own, or the book's."""
        return ZoneInfo(cook.time_zone or self.book.time_zone)

    def save(self, changes: Mapping[str, Any], *, expected: str | None = None) -> Cookbook:
        """Change settings and nothing else in ``cookbook.toml``; see `CookFolder.save`."""

        def change(text: str) -> str:
            data = toml.load(text, file=BOOK)
            if migrate.version_of(data, file=BOOK) < SCHEMA:
                text = edits.rewrite(text, migrate.migrated("cookbook", data, file=BOOK))
            new = edits.edit(text, changes)
            toml.parse(new, Book, file=BOOK)
            return new

        text = self.store.update(
            self.path / BOOK, change, expected=ANY if expected is None else expected
        )
        return replace(self, book=toml.parse(text, Book, file=BOOK))

    # --- cooks ------------------------------------------------------------------------

    def cooks(self) -> list[CookFolder]:
        """All cooks, newest first, by the date in the folder's name.

        A second copy of a cook's folder (`stallwise.record.names.copy_of`) is not one.
        """
        return list(self.once("cooks", self._cooks))

    def _cooks(self) -> list[CookFolder]:
        folder = self.store.inside(self.path / "cooks")
        if not folder.is_dir():
            return []
        found = [
            entry.name
            for entry in folder.iterdir()
            if not entry.name.startswith(".")
            and not entry.is_symlink()
            and (entry / "cook.toml").is_file()
        ]
        own = [name for name in found if not names.copy_of(name, found)]
        dated = {name: match[0] if (match := _DATED.match(name)) else "" for name in own}
        order = sorted(own, key=lambda name: (dated[name], name), reverse=True)
        return [CookFolder(name, self) for name in order]

    def cook(self, name: str | Path) -> CookFolder:
        """Find a cook by the name of its folder, a part that only it has, or its path.

        Raises
        ------
        NotFoundError
            None, or more than one, is called so; the nearest are offered.
        """
        said = str(name)
        cooks = {cook.name: cook for cook in self.cooks()}
        if said in cooks:
            return cooks[said]
        path = Path(said)
        if path.is_dir():
            for cook in cooks.values():
                if path.resolve() in {cook.path, cook.path.resolve()}:
                    return cook
        part = path.name.casefold()
        alike = [one for one in cooks if part and part in one]
        if len(alike) == 1:
            return cooks[alike[0]]
        if alike:
            raise NotFoundError("cook", said, cooks, f"Which one: {', '.join(alike)}?")
        raise NotFoundError("cook", said, cooks)

    def new_cook(
        self,
        title: str,
        date: dt.date,
        toml_text: str,
        files: Mapping[str, str | bytes] | None = None,
    ) -> CookFolder:
        """Make the folder of a new cook, whole or not at all.

        Parameters
        ----------
        title : str
            Its name is made from the date and this.
        date : date
        toml_text : str
            All of ``cook.toml``.
        files : mapping, optional
            More files by plain name, the notebook for one.

        Raises
        ------
        RecordError
            The text is wrong; nothing was made.
        """
        toml.parse(toml_text, Cook, file="cook.toml")
        cooks = self.store.inside(self.path / "cooks")
        staging = cooks / f"{disk.TEMPORARY}{os.urandom(6).hex()}"
        with disk.failing_as(f"cooks/{date}", "Nothing was made"), disk.locked(self.path):
            try:
                for folder in _COOK_FOLDERS:
                    disk.make_folder(staging / folder)
                for name, content in {**(files or {}), "cook.toml": toml_text}.items():
                    if Path(name).name != name:
                        raise InputError(
                            f"{name!r} is not a plain file name", "a name without folders"
                        )
                    data = content.encode() if isinstance(content, str) else content
                    disk.replace(staging / name, data)
                return CookFolder(self._settle(staging, f"{date}-{names.slug(title)}"), self)
            finally:
                shutil.rmtree(staging, ignore_errors=True)

    def _settle(self, staging: Path, wanted: str) -> str:
        """Give a staged folder its name; two cooks of one name on one day both stand."""
        folder = staging.parent
        name = names.free(wanted, "", (entry.name for entry in folder.iterdir()))
        disk.rename(staging, folder / name)
        return name

    # --- what is laid over the shipped tables -----------------------------------------

    def pits(self) -> dict[str, Pit]:
        """Read what a person wrote of the pits, by name."""
        return self.once("pits", self._pits)

    def texts(self) -> list[tuple[str, str]]:
        """Read every ``cook.toml`` that can be read, by the name of its cook."""
        return self.once("texts", self._texts)

    def weigh_ins(self, cuts: Collection[str]) -> Sequence[WeighIn]:
        """Read what cooks of some cuts weighed, of all cuts in a book that is `held`."""
        if weighed := self.lent().weighed:
            return list(weighed)
        if self.memo is None:
            return [*weigh_ins(self._texts(), cuts)]
        return self.once(_WEIGH_INS, lambda: [*weigh_ins(self.texts())])

    def _texts(self) -> list[tuple[str, str]]:
        found = []
        for one in self.cooks():
            with suppress(InputError):
                found.append((one.name, one.text()))
        return found

    def _pits(self) -> dict[str, Pit]:
        found = {}
        for path in self.listing(self.path / "pits", ".toml"):
            found[path.stem] = toml.parse(self.store.read(path), Pit, file=self.store.name(path))
        return found

    def overlay(self, kind: Literal["cuts", "mixes", "ingredients"]) -> dict[str, dict[str, Any]]:
        """Read the cook's own tables of one kind, by name, as plain data.

        A mix or ingredient that is no TOML is `Unreadable`: it spoils no other.
        """
        spare = kind in {"mixes", "ingredients"}
        folder, one = self.path / kind, kind.removesuffix("s")
        return self.once(kind, lambda: self.tables(folder, one, spare=spare))

    def text(self, kind: Kind, name: str) -> str | None:
        """Read one file of the cook's own, such as a mix; None where there is none."""
        path = self.path / kind / f"{name}.toml"
        return self.store.read(path) if path in self.listing(self.path / kind, ".toml") else None

    def tables(self, folder: Path, kind: str, *, spare: bool = False) -> dict[str, dict[str, Any]]:
        """Read all TOML files of one folder of the book, by name, as plain data."""
        found: dict[str, dict[str, Any]] = {}
        for path in self.listing(folder, ".toml"):
            file = self.store.name(path)
            try:
                found[path.stem] = migrate.migrated(
                    kind, toml.load(self.store.read(path), file=file), file=file
                )
            except InputError as error:
                if not spare:
                    raise
                found[path.stem] = Unreadable(error)
        return found

    def put(self, kind: Kind, name: str, text: str, *, expected: str | None = None) -> Path:
        """Write a file of the cook's own: a pit, a cut, a mix, an ingredient, a trial.

        Parameters
        ----------
        kind : {"pits", "cuts", "mixes", "ingredients", "trials"}
        name : str
            A slug.
        text : str
            All of the TOML file.
        expected : str, optional
            Text (or its digest) that was read; without it there may be no such file yet.
        """
        if kind not in KINDS:
            raise NotFoundError("kind of file", kind, KINDS)
        if names.slug(name, kind) != name:
            raise InputError(f"a file cannot be called {name!r}", f"{names.slug(name, kind)!r}")
        path = self.path / kind / f"{name}.toml"
        file = self.store.name(path)
        if kind in _MODELS:
            toml.parse(text, _MODELS[kind], file=file)
        else:
            migrate.version_of(toml.load(text, file=file), file=file)
        self.store.replace(path, text, expected=expected)
        return path

    def listing(self, folder: Path, ending: str = "", *, copies: bool = False) -> list[Path]:
        """Plain files of a folder of the book by name, without hidden ones, links and second copies.

        Photos are called what their cook likes: there, and where a free name is sought, `copies` count.
        """
        real = self.store.inside(folder)
        if not real.is_dir():
            return []
        found = sorted(
            entry
            for entry in real.iterdir()
            if entry.name.endswith(ending)
            and not entry.name.startswith(".")
            and not entry.is_symlink()
            and entry.is_file()
        )
        there = [] if copies else [entry.name for entry in found]
        return [entry for entry in found if not names.copy_of(entry.name, there)]

    # --- what others lend, in a book that came from somebody else ----------------------

    def lent(self) -> Lent:
        """Read what other cooks of its home lent a cook that was given away; nothing elsewhere."""
        return self.once(
            "lent", lambda: Lent.from_plain(self.read_json(self.path / LENT, "open") or {})
        )

    # --- what was learned -------------------------------------------------------------

    def learned(self) -> dict[str, Any] | None:
        """Read what the logged cooks taught, or None."""
        path = self.path / "learned.json"
        return self.once("learned", lambda: self.read_json(path, "learn", _LEARNED_BYTES))

    def write_learned(self, learned: Mapping[str, Any]) -> None:
        """Write ``learned.json``, whole or not at all."""
        text = json.dumps(
            {"schema": SCHEMA, **learned}, ensure_ascii=False, indent=1, allow_nan=False
        )
        self.store.replace(
            self.path / "learned.json", f"{text}\n", expected=ANY, limit=_LEARNED_BYTES
        )

    def read_json(
        self, path: Path, command: str, limit: int = RECORD_BYTES
    ) -> dict[str, Any] | None:
        """Read a derived JSON file, or None; `command` makes it anew when it is spoilt."""
        if not self.store.has(path):
            return None
        name = self.store.name(path)
        try:
            data = plain_json(self.store.read(path, limit))
        except (ValueError, RecursionError):
            data = None
        if not isinstance(data, dict):
            raise InputError(
                f"{name} cannot be read", "JSON", f"Make it anew with `stallwise {command}`"
            )
        return migrate.migrated(path.stem, data, file=name)


def _visible(path: Path) -> bool:
    """Whether a folder holds what is not ours: empty ones were left by a start that was cut short."""
    return any(
        not entry.name.startswith(".") and not (entry.name in _FOLDERS and _is_empty(entry))
        for entry in path.iterdir()
    )


def _is_empty(path: Path) -> bool:
    return path.is_dir() and not any(path.iterdir())
