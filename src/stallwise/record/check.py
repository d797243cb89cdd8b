"""Looking a cookbook over: every file read, every name in it looked up, nothing changed.

Repair sets aside what holds nothing of its own, see `stallwise.record.leavings`.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Mapping
from functools import partial
from itertools import pairwise
from pathlib import Path

from stallwise.ground.errors import InputError
from stallwise.record import disk, log, names
from stallwise.record.cookfolder import CookFolder
from stallwise.record.folder import BOOK, KINDS, Cookbook, find_cookbook
from stallwise.record.handouts import HANDOUTS, handout
from stallwise.record.leavings import (
    ASIDE,
    look_at_copies,
    look_at_imports,
    look_at_lines,
    look_at_temporaries,
)
from stallwise.record.look import NOTE, WRONG, Finding, Look, Report
from stallwise.record.photos import ending_of
from stallwise.record.problems import RecordError
from stallwise.record.schema import Book, Cook, Pit
from stallwise.record.store import PHOTO_BYTES
from stallwise.record.trial import Trial
from stallwise.record.trials import read_trial
from stallwise.record.trimming import trimming
from stallwise.record.unwritten import unwritten

__all__ = ["Finding", "Report", "check"]

#: Folders of the book whose files may have second copies, and those of a cook.
_BOOK_PLACES = ("", *KINDS, "cooks")
_COOK_PLACES = ("", "mixes", "readings", "results")
#: So much may a clock lag behind the line before, by its second hand and what a sync takes.
_CLOCK_S = 60.0


def check(
    path: Path, *, repair: bool = False, known: Mapping[str, Collection[str]] | None = None
) -> Report:
    """Look over a cookbook, or one cook of it.

    Parameters
    ----------
    path : Path
        A cookbook, or a cook's folder.
    repair : bool, default False
        Set unfinished lines aside into ``log.torn`` or ``forecasts.torn``, files of imports
        that were cut short into ``readings/unfinished``, and what else was left over into
        ``aside``.
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
    look = Look(book, repair, known or {})
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
    look_at_temporaries(look, here)
    for cook in cooks:
        _look_at_cook(look, cook)
    return Report(tuple(look.findings), look.files)


def _opened(root: Path) -> Cookbook:
    try:
        return Cookbook.open(root)
    except RecordError:
        # Its own look tells what is wrong; the rest is looked at all the same.
        return Cookbook(root, Book(title=root.name))


def _look_at_book(look: Look) -> None:
    book = look.book
    look.toml(book.path / BOOK, Book)
    for path in book.listing(book.path / "pits", ".toml"):
        look.toml(path, Pit)
    for path in book.listing(book.path / "trials", ".toml"):
        trial = look.toml(path, Trial)
        if trial is not None:
            look.reading(partial(read_trial, book, path.stem))
            for cook in sorted(set(trial.all_cooks) - {cook.name for cook in book.cooks()}):
                look.say(WRONG, path, f"there is no cook {cook!r}")
    for kind in KINDS:
        look.reading(partial(book.tables, book.path / kind, kind))
    look.reading(book.learned)
    for folder, link in _links(book.path):
        look.say(
            NOTE, folder / link, "is a link; links are not followed and what they name is not used"
        )
    for place in _BOOK_PLACES:
        look_at_copies(look, book.path / place)
    cooks = book.path / "cooks"
    entries = sorted(cooks.iterdir()) if cooks.is_dir() else []
    places = [entry for entry in entries if entry.is_dir() and not entry.is_symlink()]
    there = [entry.name for entry in places]
    named = {cook.name for cook in book.cooks()}
    for entry in places:
        told = entry.name.startswith(disk.TEMPORARY) or names.copy_of(entry.name, there)
        if entry.name not in named and not told:
            look.say(NOTE, entry, "is no cook: it has no cook.toml")


def _links(root: Path) -> Iterator[tuple[Path, str]]:
    for folder, folders, files in os.walk(root):
        # What is published is not read back, and hidden folders are not ours.
        folders[:] = [name for name in folders if name not in {"journal", ASIDE} and name[0] != "."]
        for name in (*folders, *files):
            if (Path(folder) / name).is_symlink():
                yield Path(folder), name


def _look_at_cook(look: Look, folder: CookFolder) -> None:
    cook = look.toml(folder.path / "cook.toml", Cook)
    look_at_lines(look, folder.path / "log.jsonl", "log.torn")
    look_at_lines(look, folder.path / "results" / "forecasts.jsonl", "forecasts.torn")
    for place in _COOK_PLACES:
        look_at_copies(look, folder.path / place)
    read = look.reading(folder.log)
    if read is not None:
        _look_at_log(look, folder, cook, read)
    for draft in look.reading(partial(unwritten, folder)) or ():
        many = len(draft.text.strip().splitlines())
        said = (
            f"{many} line{'s' * (many != 1)} typed in and not in the log yet; the notebook has them"
        )
        look.say(NOTE, folder.path / draft.name, said)
    look.reading(folder.result)
    for kind in HANDOUTS:
        look.reading(partial(handout, folder, kind))
    look.reading(folder.mixes)
    look.reading(folder.readings)
    look_at_imports(look, folder)
    if cook is not None:
        _look_at_names(look, folder, cook)
        for piece in cook.pieces:
            question = trimming(piece)
            if question:
                look.say(NOTE, folder.path / "cook.toml", question)


def _look_at_log(look: Look, folder: CookFolder, cook: Cook | None, read: log.Log) -> None:
    path = folder.path / "log.jsonl"
    ids = {line.id for line in read.lines}
    for number, name in read.twice:
        look.say(
            NOTE, path, f"id {name} came before with other words; the first one counts", number
        )
    letters = _letters(cook)
    words = look.known.get("words")
    _look_at_clock(look, path, read)
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


def _look_at_clock(look: Look, path: Path, read: log.Log) -> None:
    """Say where the clock was put back between two lines; their times stay as they are."""
    for one, after in pairwise(read.lines):
        back = (one.made - after.made).total_seconds()
        if back > _CLOCK_S:
            look.say(
                NOTE,
                path,
                f"{after.text or after.what!r} ({after.id}) was written {back / 60:.0f} min before "
                "the line above it by the clock of that day: one of the two clocks was wrong, or the "
                "line was carried over. Look at its time, and log it anew if it is wrong",
            )


def _letters(cook: Cook | None) -> set[str]:
    if cook is None:
        return set()
    pits = {pit.letter for pit in cook.pits} or {"P"}
    return pits | {piece.letter for piece in cook.pieces}


def _look_at_names(look: Look, folder: CookFolder, cook: Cook) -> None:
    path = folder.path / "cook.toml"
    pits = {one.stem for one in look.book.listing(look.book.path / "pits", ".toml")}
    for pit in cook.pits:
        if pit.pit not in pits and "pit" in pit.model_fields_set:
            look.say(
                NOTE,
                path,
                f"nothing is written of pit {pit.pit!r} (pits/{pit.pit}.toml); it is taken as usual",
            )
    for kind, used in (
        ("mixes", {mix.mix for mix in cook.mixes}),
        ("cuts", {piece.cut for piece in cook.pieces}),
    ):
        own = {one.stem for one in look.book.listing(look.book.path / kind, ".toml")}
        own |= {one.stem for one in look.book.listing(folder.path / kind, ".toml")}
        for name in sorted(used - own) if kind in look.known else []:
            if name not in look.known[kind]:
                look.say(WRONG, path, f"there is no {'mix' if kind == 'mixes' else 'cut'} {name!r}")
    there = {one.name for one in look.book.listing(folder.path / "photos", copies=True)}
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


def _picture(look: Look, path: Path) -> None:
    try:
        ending_of(look.book.store.read_bytes(path, PHOTO_BYTES), path.name)
    except InputError as error:
        where = look.book.store.name(path)
        raise InputError(error.came, error.allowed, error.todo, where=where) from error
