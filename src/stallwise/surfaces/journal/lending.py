"""What one cook lends to the pages of others: weights, trimmings, answers at the table.

What was read of a cook's folder is kept in the user's own cache, by the marks that the disk puts on
files, so that one changed cook is no reason to read a thousand. Without it everything is read anew.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise import __version__
from stallwise.ground import usercache
from stallwise.ground.errors import StallwiseError
from stallwise.record.weighins import WeighIn, weigh_in

if TYPE_CHECKING:
    from stallwise.record.folder import CookFolder
    from stallwise.record.schema import Cook

__all__ = ["Lend", "lends"]

_SCHEMA, _KIND = 1, "lending"


@dataclass(frozen=True)
class Lend:
    """What others may take from one cook.

    Attributes
    ----------
    name, date : str
        Of its folder, and its day; empty where it cannot be read.
    cuts : tuple of str
    weighed : WeighIn or None
        None where nobody weighed what was eaten.
    freezer : str
        What it put into the freezer and took out.
    takes : bool
        Whether it takes trimmings of another cook.
    """

    name: str
    date: str = ""
    cuts: tuple[str, ...] = ()
    weighed: WeighIn | None = None
    freezer: str = ""
    takes: bool = False

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return vars(self) | {"weighed": self.weighed and self.weighed.plain()}

    @classmethod
    def from_plain(cls, held: Mapping[str, Any]) -> Lend:
        """Read what `plain` gave."""
        weighed = held["weighed"]
        return cls(
            str(held["name"]),
            str(held["date"]),
            tuple(map(str, held["cuts"])),
            WeighIn.from_plain(weighed) if weighed else None,
            str(held["freezer"]),
            bool(held["takes"]),
        )


def lends(book: Path, cooks: Iterable[CookFolder], marks: Mapping[str, str]) -> dict[str, Lend]:
    """Tell what each cook lends, reading only those whose folder changed.

    Parameters
    ----------
    book : Path
        The cookbook.
    cooks : iterable of CookFolder
    marks : mapping of str to str
        Mark of each cook's own folder, by its name; a cook without one lends nothing.
    """
    held = _held(book)
    found: dict[str, Lend] = {}
    for cook in cooks:
        if cook.name in marks:
            known = held.get(cook.name)
            fits = known is not None and known[0] == marks[cook.name]
            found[cook.name] = known[1] if known and fits else _read(cook)
    if {name: (marks[name], lend) for name, lend in found.items()} != held:
        _keep(book, marks, found)
    return found


def _read(folder: CookFolder) -> Lend:
    try:
        cook = folder.read()
        weighed = weigh_in(cook, folder.name)
    except StallwiseError:
        return Lend(folder.name)
    eaten = any(piece.mass_edible for piece in cook.pieces)
    return Lend(
        folder.name,
        cook.date.isoformat(),
        tuple(dict.fromkeys(piece.cut for piece in cook.pieces)),
        weighed if eaten else None,
        _frozen(cook),
        any("/" in (use.from_ or "") for use in cook.mixes),
    )


def _frozen(cook: Cook) -> str:
    saved = [
        (piece.letter, piece.count, piece.mass, piece.mass_bought, piece.mass_saved, piece.mass_bin)
        for piece in cook.pieces
        if piece.mass_saved or piece.mass_bought
    ]
    used = [(use.from_, use.take) for use in cook.mixes if use.from_]
    return repr((saved, used)) if saved or used else ""


def _name(book: Path) -> str:
    return hashlib.blake2b(os.fsencode(book.resolve()), digest_size=12).hexdigest()


def _held(book: Path) -> dict[str, tuple[str, Lend]]:
    """Read what was kept; anything odd counts as nothing."""
    data = usercache.recall(_KIND, _name(book))
    try:
        if (data["schema"], data["version"]) != (_SCHEMA, __version__):
            return {}
        return {
            name: (str(mark), Lend.from_plain(lend)) for name, (mark, lend) in data["cooks"].items()
        }
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}


def _keep(book: Path, marks: Mapping[str, str], found: Mapping[str, Lend]) -> None:
    cooks = {name: [marks[name], lend.plain()] for name, lend in found.items()}
    usercache.hold(_KIND, _name(book), {"schema": _SCHEMA, "version": __version__, "cooks": cooks})
