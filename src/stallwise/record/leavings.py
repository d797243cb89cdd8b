"""What lies in a cookbook and is no part of it: torn lines, half of an import, second copies.

Writes that were cut short leave the first, programs that keep a folder alike on several machines
the last. Repair moves what holds nothing of its own aside, into a file or folder beside or into
``aside``; nothing is deleted, and nothing is merged.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from stallwise.record import disk, lines, names
from stallwise.record.cookfolder import RAW, CookFolder
from stallwise.record.look import MENDED, NOTE, WRONG, Look
from stallwise.record.store import ANY, LOG_BYTES, READINGS_BYTES

__all__ = ["ASIDE", "look_at_copies", "look_at_imports", "look_at_lines", "look_at_temporaries"]

#: Folder of the book for what belongs nowhere.
ASIDE = "aside"
#: Folder, beside the readings, of what was left of an import.
_UNFINISHED = "unfinished"
#: Made anew at will, so that a copy holds nothing.
_DERIVED = frozenset({"learned.json", "result.json"})
_COPY = (
    "is a second copy of {other}, as a program leaves it that keeps a folder alike on several "
    "machines; it is not used"
)


def look_at_temporaries(look: Look, place: Path) -> None:
    """Tell what writes left that were cut short before their rename."""
    for folder, folders, files in os.walk(place):
        left = sorted(one for one in (*folders, *files) if one.startswith(disk.TEMPORARY))
        # What is published is made anew, and hidden folders are not ours.
        folders[:] = [one for one in folders if one not in {"journal", ASIDE} and one[0] != "."]
        for name in left:
            _left_over(look, Path(folder) / name, "was left by a write that was cut short")


def look_at_lines(look: Look, path: Path, aside: str) -> None:
    """Tell which lines of a log cannot be read, and move those that were cut short into `aside`."""
    read = look.reading(lambda: lines.read(look.book.store, path, limit=LOG_BYTES))
    torn = read.torn if read else ()
    cut = [one for one in torn if one.unfinished]
    if cut and look.repair:
        _set_aside(look, path, path.parent / aside, {one.line for one in cut})
    for one in torn:
        if one in cut and look.repair:
            look.say(MENDED, path, f"an unfinished line was moved to {aside}", one.line)
        else:
            hint = "; --repair sets it aside" if one in cut else ""
            said = f"this line cannot be read and is left out: {one.text[:60]!r}{hint}"
            look.say(WRONG, path, said, one.line)


def look_at_imports(look: Look, folder: CookFolder) -> None:
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


def look_at_copies(look: Look, place: Path) -> None:
    """Tell which files of a folder are second copies of others, and what they hold of their own."""
    if not place.is_dir():
        return
    entries = {one.name: one for one in place.iterdir() if not one.is_symlink()}
    for name in sorted(entries):
        other = names.copy_of(name, entries)
        if other is not None and not name.startswith("."):
            _second_copy(look, entries[name], entries[other])


def _second_copy(look: Look, copy: Path, other: Path) -> None:
    said = _COPY.format(other=other.name)
    if copy.suffix == ".ipynb":
        look.say(NOTE, copy, said)
    elif copy.name.endswith(".jsonl") and copy.is_file():
        own = list(_own_lines(look, copy, other))
        if own:
            number, row = own[0]
            first = lines.as_line(row)[:60]
            look.say(
                WRONG,
                copy,
                f"{said}. It holds {len(own)} lines that {other.name} has not, the first in line "
                f"{number}: {first!r}. Copy them behind the last line of {other.name}; --repair "
                "then sets this file aside",
            )
        else:
            _left_over(look, copy, f"{said}, and holds no line of its own")
    elif other.name in _DERIVED:
        _left_over(look, copy, f"{said}, and {other.name} is made anew at will")
    elif unlike := _unlike(look, copy, other):
        where = f" in {', '.join(unlike[:3])}" if copy.is_dir() else ""
        look.say(
            WRONG,
            copy,
            f"{said}. It says something else{where}: carry over by hand what is right, then put "
            "it out of the cookbook",
        )
    else:
        _left_over(look, copy, f"{said}, and says the same")


def _own_lines(look: Look, copy: Path, other: Path) -> Iterator[tuple[int, dict[str, object]]]:
    store = look.book.store
    there = {row.get("id") for _, row in lines.read(store, other, limit=LOG_BYTES).rows}
    for number, row in lines.read(store, copy, limit=LOG_BYTES).rows:
        if row.get("id") not in there:
            yield number, row


def _unlike(look: Look, copy: Path, other: Path) -> list[str]:
    """Names below a copy that the other has not in the same words."""
    if not copy.is_dir():
        files = [(copy.name, copy, other)]
    else:
        files = [
            (one.relative_to(copy).as_posix(), one, other / one.relative_to(copy))
            for one in sorted(copy.rglob("*"))
            if one.is_file() and not one.is_symlink()
        ]
    store = look.book.store
    return [
        name
        for name, one, that in files
        if not that.is_file()
        or one.stat().st_size != that.stat().st_size
        or store.read_bytes(one, READINGS_BYTES) != store.read_bytes(that, READINGS_BYTES)
    ]


def _left_over(look: Look, path: Path, why: str) -> None:
    """Tell what holds nothing of its own, or move it aside."""
    if not look.repair:
        look.say(NOTE, path, f"{why}. --repair sets it aside")
        return
    inside = path.relative_to(look.book.path)
    to = look.book.path / ASIDE / inside.with_name(inside.name.lstrip("."))
    if path.exists():  # else the writer has just finished
        look.book.store.move(path, to)
        look.say(MENDED, path, f"{why}; moved to {ASIDE}")


def _set_aside(look: Look, path: Path, aside: Path, numbers: set[int]) -> None:
    """Move lines into a file beside, which keeps what it had; every other byte stays."""
    store = look.book.store
    data = store.read_bytes(path, LOG_BYTES)
    parts = data.split(b"\n")
    torn = [part for number, part in enumerate(parts, 1) if number in numbers]
    kept = [part for number, part in enumerate(parts, 1) if number not in numbers]
    if len(parts) in numbers:
        kept.append(b"")
    before = store.read_bytes(aside, LOG_BYTES) if store.has(aside) else b""
    # First there, then gone here: a power cut between leaves it twice, never not at all.
    store.replace(aside, before + b"\n".join([*torn, b""]), expected=ANY, limit=LOG_BYTES)
    store.cut(path, data, b"\n".join(kept))
