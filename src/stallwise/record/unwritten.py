"""What was typed in and is not in the log yet: a plain text beside the plan, one for each place of typing.

A draft is written whole after every pause and taken away when its lines are in the log, so that a
kernel that dies or a page that is closed costs no word. Two notebooks that type at once have a file
each: neither writes over the other.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stallwise.record import names
from stallwise.record.cookfolder import CookFolder
from stallwise.record.store import ChangedError

__all__ = ["Unwritten", "keep_unwritten", "unwritten"]

_STEM, _ENDING = "unwritten", ".txt"
_NAME = re.compile(rf"{_STEM}(-\d+)?\{_ENDING}")
#: Others may take a name between our look and our write so often.
_TRIES = 5


@dataclass(frozen=True)
class Unwritten:
    """A draft as it stands on the disk.

    Attributes
    ----------
    name : str
        Of its file in the cook's folder.
    text : str
        As typed.
    """

    name: str
    text: str


def unwritten(folder: CookFolder) -> tuple[Unwritten, ...]:
    """Read the drafts of a cook, the one written last first."""
    files = [path for path in folder.home.listing(folder.path) if _NAME.fullmatch(path.name)]
    files.sort(key=lambda path: path.stat().st_mtime_ns, reverse=True)
    return tuple(Unwritten(path.name, folder.store.read(path)) for path in files)


def keep_unwritten(folder: CookFolder, text: str, was: Unwritten | None) -> Unwritten | None:
    """Write a draft, or take it away when there is nothing left of it; durable on return.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    text : str
        All that is typed.
    was : Unwritten, optional
        The draft as this place of typing last wrote or read it. Where its file holds something else
        by now, somebody else types there: it is left alone, and ours gets a file of its own.

    Returns
    -------
    Unwritten or None
        The draft as it is now; None where nothing is typed.

    Raises
    ------
    WorkError
        The disk is full, or does not let us.
    """
    if was is not None:
        if was.text == text:
            return was
        try:
            return _over(folder, text, was)
        except ChangedError:
            pass
    return _anew(folder, text) if text.strip() else None


def _over(folder: CookFolder, text: str, was: Unwritten) -> Unwritten | None:
    path = folder.path / was.name
    if not text.strip():
        folder.store.remove(path, expected=was.text)
        return None
    folder.store.replace(path, text, expected=was.text)
    return Unwritten(was.name, text)


def _anew(folder: CookFolder, text: str) -> Unwritten:
    for last in reversed(range(_TRIES)):
        taken = [path.name for path in folder.home.listing(folder.path, copies=True)]
        name = names.free(_STEM, _ENDING, taken)
        try:
            folder.store.replace(folder.path / name, text, expected=None)
        except ChangedError:
            if not last:
                raise
        else:
            return Unwritten(name, text)
    raise AssertionError
