"""Looking a cookbook over: every file read, every name in it looked up, nothing changed.

Repair sets aside what a write left that was cut short: the unfinished last line of a log,
and a probe's file whose readings were never written. Nothing is ever thrown away.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from stallwise.ground.errors import InputError
from stallwise.record import disk, lines, log, migrate, toml
from stallwise.record.cookfolder import RAW, CookFolder
from stallwise.record.folder import BOOK, KINDS, Cookbook, find_cookbook
from stallwise.record.handouts import HANDOUTS, handout
from stallwise.record.photos import ending_of
from stallwise.record.problems import RecordError
from stallwise.record.schema import Book, Cook, Pit
from stallwise.record.store import ANY, LOG_BYTES, PHOTO_BYTES
from stallwise.record.trial import Trial
from stallwise.record.trials import read_trial
from stallwise.record.trimming import trimming

__all__ = ["Finding", "Report", "check"]

#: Folder, beside the readings, of what was left of an import.
_UNFINISHED = "unfinished"
WRONG, NOTE, MENDED = "wrong", "note", "mended"


@dataclass(frozen=True)
class Finding:
    """One thing found.

    Attributes
    ----------
    level : {"wrong", "note", "mended"}
    file : str
        From the cookbook on.
    line : int or None
    text : str
        The whole message, with file and line.
    """

    level: str
    file: str
    line: int | None
    text: str


@dataclass(frozen=True)
class Report:
    """What was found.

    Attributes
    ----------
    findings : tuple of Finding
    files : int
        How many files were read.
    """

    findings: tuple[Finding, ...]
    files: int

    @property
    def wrong(self) -> bool:
        """Whether anything is wrong; notes are not."""
        return any(finding.level == WRONG for finding in self.findings)

    @property
    def summary(self) -> str:
        """One line for a cook."""
        counts = {
            level: sum(1 for one in self.findings if one.level == level)
            for level in (WRONG, NOTE, MENDED)
        }
        if not self.findings:
            return f"{self.files} files read, nothing wrong."
        said = f"{counts[WRONG]} wrong, {counts[NOTE]} to know"
        mended = f", {counts[MENDED]} mended" if counts[MENDED] else ""
        return f"{self.files} files read: {said}{mended}."

    def plain(self) -> dict[str, Any]:
        """Answer for JSON."""
        findings = [
            {"level": one.level, "file": one.file, "line": one.line, "text": one.text}
            for one in self.findings
        ]
        return {"files": self.files, "wrong": self.wrong, "findings": findings}


@dataclass
class _Look:
    """One look over a cookbook; collects as it goes."""

    book: Cookbook
    repair: bool
    known: Mapping[str, Collection[str]]
    findings: list[Finding] = field(default_factory=list)
    files: int = 0

    def say(self, level: str, path: Path | str, text: str, line: int | None = None) -> None:
        file = path if isinstance(path, str) else self.book.store.name(path)
        where = f"{file}, line {line}" if line else file
        self.findings.append(Finding(level, file, line, f"{where}: {text}"))

    def reading(self, read: Callable[[], Any]) -> Any:
        """Read, and tell what is wrong; then there is no result."""
        self.files += 1
        try:
            return read()
        except RecordError as error:
            self.findings += [
                Finding(WRONG, one.file, one.line, str(one)) for one in error.problems
            ]
        except InputError as error:
            self.findings.append(Finding(WRONG, error.where, None, str(error)))
        return None

    def toml(self, path: Path, model: type[BaseModel]) -> Any:
        store = self.book.store
        made = self.reading(lambda: toml.parse(store.read(path), model, file=store.name(path)))
        if made is not None:
            text = store.read(path)
            for line, key in toml.unknown_keys(text, made):
                self.say(NOTE, path, f"{key} is not a key of ours; it is kept and not used", line)
            data = toml.load(text, file="")
            if "schema" not in data:
                self.say(
                    NOTE, path, "no schema is named; it is taken for the first. Add schema = 1"
                )
            elif migrate.version_of(data, file="") < made.schema_:
                self.say(
                    NOTE,
                    path,
                    f"of schema {data['schema']}; it is read as {made.schema_} and left as it is",
                )
        return made


def check(
    path: Path, *, repair: bool = False, known: Mapping[str, Collection[str]] | None = None
) -> Report:
    """Look over a cookbook, or one cook of it.

    Parameters
    ----------
    path : Path
        A cookbook, or a cook's folder.
    repair : bool, default False
        Set unfinished last lines aside into ``log.torn`` or ``forecasts.torn``, and files of
        imports that were cut short into ``readings/unfinished``.
    known : mapping of str to names, optional
        Shipped names by kind (``cuts``, ``mixes``) and log words (``words``); a kind that
        is not given is not looked up.

    Raises
    ------
    InputError
        No cookbook.
    """
    root = find_cookbook(path)
    book = _opened(root)
    look = _Look(book, repair, known or {})
    here = path.resolve()
    cooks = [cook for cook in book.cooks() if here == root or cook.path in (here, *here.parents)]
    if not cooks and here != root and here != root / "cooks":
        raise InputError(
            f"{path.name!r} is no cook of this cookbook",
            "a cookbook, or the folder of one of its cooks",
            "See `stallwise cooks`",
        )
    if here == root / "cooks":
        cooks = list(book.cooks())
    if here == root:
        _look_at_book(look)
    for cook in cooks:
        _look_at_cook(look, cook)
    return Report(tuple(look.findings), look.files)


def _opened(root: Path) -> Cookbook:
    try:
        return Cookbook.open(root)
    except RecordError:
        # Its own look tells what is wrong; the rest is looked at all the same.
        return Cookbook(root, Book(title=root.name))


def _look_at_book(look: _Look) -> None:
    book = look.book
    look.toml(book.path / BOOK, Book)
    for path in book.listing(book.path / "pits", ".toml"):
        look.toml(path, Pit)
    for path in book.listing(book.path / "trials", ".toml"):
        trial = look.toml(path, Trial)
        if trial is not None:
            look.reading(partial(read_trial, book, path.stem))
            there = {cook.name for cook in book.cooks()}
            for cook in sorted(set(trial.all_cooks) - there):
                look.say(WRONG, path, f"there is no cook {cook!r}")
    for kind in KINDS:
        look.reading(partial(book.tables, book.path / kind, kind))
    look.reading(book.learned)
    for folder, link in _links(book.path):
        look.say(
            NOTE, folder / link, "is a link; links are not followed and what they name is not used"
        )
    cooks = book.path / "cooks"
    named = {cook.name for cook in book.cooks()}
    for entry in sorted(cooks.iterdir()) if cooks.is_dir() else []:
        if entry.is_dir() and not entry.is_symlink() and entry.name not in named:
            left = entry.name.startswith(disk.TEMPORARY)
            look.say(
                NOTE,
                entry,
                "was left by a write that was cut short"
                if left
                else "is no cook: it has no cook.toml",
            )


def _links(root: Path) -> Iterator[tuple[Path, str]]:
    for folder, folders, files in os.walk(root):
        # What is published is not read back, and hidden folders are not ours.
        folders[:] = [name for name in folders if name != "journal" and not name.startswith(".")]
        for name in (*folders, *files):
            if (Path(folder) / name).is_symlink():
                yield Path(folder), name


def _look_at_cook(look: _Look, folder: CookFolder) -> None:
    cook = look.toml(folder.path / "cook.toml", Cook)
    _look_at_lines(look, folder.path / "log.jsonl", "log.torn")
    _look_at_lines(look, folder.path / "results" / "forecasts.jsonl", "forecasts.torn")
    read = look.reading(folder.log)
    if read is not None:
        _look_at_log(look, folder, cook, read)
    look.reading(folder.result)
    for kind in HANDOUTS:
        look.reading(partial(handout, folder, kind))
    look.reading(folder.mixes)
    look.reading(folder.readings)
    _look_at_imports(look, folder)
    if cook is not None:
        _look_at_names(look, folder, cook)
        for piece in cook.pieces:
            question = trimming(piece)
            if question:
                look.say(NOTE, folder.path / "cook.toml", question)
    for path in folder.path.rglob(f"{disk.TEMPORARY}*"):
        look.say(NOTE, path, "was left by a write that was cut short")


def _look_at_log(look: _Look, folder: CookFolder, cook: Cook | None, read: log.Log) -> None:
    path = folder.path / "log.jsonl"
    ids = {line.id for line in read.lines}
    for number, name in read.twice:
        look.say(
            NOTE, path, f"id {name} came before with other words; the first one counts", number
        )
    letters = _letters(cook)
    words = look.known.get("words")
    for line in read.lines:
        said = line.text or line.what
        if line.corrects and line.corrects not in ids:
            look.say(NOTE, path, f"{said!r} corrects {line.corrects}, which is not in the log")
        for letter in ({line.piece, line.pit} - {"", *letters}) if letters else ():
            there = ", ".join(sorted(letters))
            look.say(WRONG, path, f"{said!r} names {letter!r}; letters of this cook: {there}")
        if words is not None and line.what not in words:
            look.say(
                NOTE, path, f"{line.what!r} is not a word of ours; the line is kept and not used"
            )


def _letters(cook: Cook | None) -> set[str]:
    if cook is None:
        return set()
    pits = {pit.letter for pit in cook.pits} or {"P"}
    return pits | {piece.letter for piece in cook.pieces}


def _look_at_names(look: _Look, folder: CookFolder, cook: Cook) -> None:
    path = folder.path / "cook.toml"
    pits = {one.stem for one in look.book.listing(look.book.path / "pits", ".toml")}
    for pit in cook.pits:
        if pit.pit not in pits and "pit" in pit.model_fields_set:
            look.say(
                NOTE,
                path,
                f"nothing is written of pit {pit.pit!r} (pits/{pit.pit}.toml); it is taken as usual",
            )
    for kind, names in (
        ("mixes", {mix.mix for mix in cook.mixes}),
        ("cuts", {piece.cut for piece in cook.pieces}),
    ):
        own = {one.stem for one in look.book.listing(look.book.path / kind, ".toml")}
        own |= {one.stem for one in look.book.listing(folder.path / kind, ".toml")}
        for name in sorted(names - own) if kind in look.known else []:
            if name not in look.known[kind]:
                look.say(WRONG, path, f"there is no {'mix' if kind == 'mixes' else 'cut'} {name!r}")
    there = {one.name for one in look.book.listing(folder.path / "photos")}
    named = {photo.file for photo in cook.photos}
    for file in sorted(named - there):
        look.say(WRONG, path, f"photo {file!r} is not in the photos folder")
    for file in sorted(there & named):
        photo = folder.path / "photos" / file
        look.reading(partial(_picture, look, photo))
    for file in sorted(there - named):
        look.say(
            NOTE,
            folder.path / "photos" / file,
            "is named nowhere in cook.toml, so no page shows it",
        )


def _picture(look: _Look, path: Path) -> None:
    try:
        ending_of(look.book.store.read_bytes(path, PHOTO_BYTES), path.name)
    except InputError as error:
        where = look.book.store.name(path)
        raise InputError(error.came, error.allowed, error.todo, where=where) from error


def _look_at_lines(look: _Look, path: Path, aside: str) -> None:
    read = look.reading(lambda: lines.read(look.book.store, path, limit=LOG_BYTES))
    for one in read.torn if read else ():
        if one.last and look.repair:
            _set_aside(look, path, path.parent / aside)
            look.say(MENDED, path, f"the unfinished last line was moved to {aside}", one.line)
        else:
            hint = "; --repair sets it aside" if one.last else ""
            look.say(
                WRONG,
                path,
                f"this line cannot be read and is left out: {one.text[:60]!r}{hint}",
                one.line,
            )


def _look_at_imports(look: _Look, folder: CookFolder) -> None:
    """Name what imports left that were cut short: their readings come last, and are not there."""
    place = folder.path / "readings"
    listed = look.book.listing(place)
    there = {path.name for path in listed}
    raw = {name for name, dot, _ in (path.name.partition(f"{RAW}.") for path in listed) if dot}
    left = {name for name in raw if f"{name}.csv" not in there}
    for path in listed:
        if path.name.partition(".")[0] not in left:
            continue
        if look.repair:
            look.book.store.move(path, place / _UNFINISHED / path.name)
            look.say(
                MENDED, path, f"was left by an import that was cut short; moved to {_UNFINISHED}"
            )
        else:
            look.say(
                NOTE,
                path,
                "was left by an import that was cut short, and its readings are not there; import "
                "the file again. --repair sets this one aside",
            )


def _set_aside(look: _Look, path: Path, aside: Path) -> None:
    """Move what stands behind the last line end into a file beside, which keeps what it had."""
    store = look.book.store
    data = store.read_bytes(path, LOG_BYTES)
    kept, _, torn = data.rpartition(b"\n")
    before = store.read_bytes(aside, LOG_BYTES) if store.has(aside) else b""
    # First there, then gone here: a power cut between leaves it twice, never not at all.
    store.replace(aside, before + torn + b"\n", expected=ANY, limit=LOG_BYTES)
    store.cut(path, data, kept + b"\n" if kept else b"")
