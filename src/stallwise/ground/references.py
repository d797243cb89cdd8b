"""Where numbers come from: citation keys of ``data/references.toml``."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stallwise.ground import assets
from stallwise.ground.errors import InputError, NotFoundError

__all__ = ["GRADES", "Reference", "cited", "reference", "references"]

#: What kind of knowledge a number is, and the words for it on demand.
GRADES: Mapping[str, str] = MappingProxyType(
    {
        "published": "a published source",
        "derived": "computed here from a published equation or table",
        "common practice, no source": "a common practice without a source",
        "own fit": "a value fitted by stallwise",
        "own measurement": "the cook's own measurement",
        "from memory": "from memory, not confirmed",
    }
)

_KEY = re.compile(r"[a-z0-9]+(?:[-.][a-z0-9]+)*")


@dataclass(frozen=True)
class Reference:
    """One source.

    Attributes
    ----------
    key : str
        Citation key, as in docstrings and in the ``source`` columns of the tables.
    title : str
        Title of the work, or what the key stands for.
    author : str
        Authors or agency; empty where there is none.
    year : int or None
        Year of the edition that was used.
    where : str
        Journal, handbook chapter, document number or article number.
    grade : str
        One of `GRADES`.
    note : str
        Range, reservation or how it was read; may be empty.
    known_as : tuple of str
        Words by which a table may name it instead of its key.
    """

    key: str
    title: str
    author: str
    year: int | None
    where: str
    grade: str
    note: str = ""
    known_as: tuple[str, ...] = ()

    def __str__(self) -> str:
        parts = [self.author, self.title, self.where, str(self.year or "")]
        return ", ".join(part for part in parts if part)


@cache
def references() -> Mapping[str, Reference]:
    """Read every reference, by key."""
    tables = tomllib.loads(assets.read_text("data", "references.toml"))
    return MappingProxyType({key: _read(key, table) for key, table in tables.items()})


def reference(key: str) -> Reference:
    """Look one reference up.

    Parameters
    ----------
    key : str
        Citation key.

    Raises
    ------
    NotFoundError
        The key is unknown; the nearest are offered.

    Examples
    --------
    >>> reference("newman-1936").grade
    'published'
    """
    known = references()
    if key not in known:
        raise NotFoundError("reference", key, known)
    return known[key]


def cited(source: str) -> list[Reference]:
    """Find the references that the ``source`` cell of a table names.

    Parameters
    ----------
    source : str
        Either keys divided by ``;``, each with an optional place after ``:``, or words that hold
        some of the names in a reference's ``known_as``.

    Returns
    -------
    list of Reference
        In the order in which they are named, each once.

    Raises
    ------
    NotFoundError
        It names no reference.

    Examples
    --------
    >>> [found.key for found in cited("choi-okos-1986: table 2; own-fit")]
    ['choi-okos-1986', 'own-fit']
    >>> [found.key for found in cited("common practice, no source")]
    ['common-practice']
    """
    known = references()
    keys = [part.partition(":")[0].strip() for part in source.split(";")]
    if any(key in known for key in keys):
        return [reference(key) for key in dict.fromkeys(keys)]
    words = source.casefold()
    places = {
        entry.key: place
        for entry in known.values()
        for name in entry.known_as
        if (place := words.find(name.casefold())) >= 0
    }
    if not places:
        raise NotFoundError("reference", source, known)
    return [known[key] for key in sorted(places, key=places.__getitem__)]


def _read(key: str, table: Mapping[str, object]) -> Reference:
    where = f"data/references.toml [{key}]"
    if not _KEY.fullmatch(key):
        raise InputError(f"the key {key!r}", "small letters, digits, - and .", where=where)
    fields = {"title": "", "author": "", "where": "", "grade": "", "note": ""}
    strange = set(table) - set(fields) - {"year", "known_as"}
    if strange:
        raise InputError(f"unknown {', '.join(sorted(strange))}", ", ".join(fields), where=where)
    words = {name: str(table.get(name, default)) for name, default in fields.items()}
    if words["grade"] not in GRADES:
        raise InputError(f"grade {words['grade']!r}", "; ".join(GRADES), where=where)
    if not words["title"]:
        raise InputError("no title", "a title", where=where)
    year, known_as = table.get("year"), table.get("known_as", [])
    return Reference(
        key=key,
        year=year if isinstance(year, int) else None,
        known_as=tuple(map(str, known_as)) if isinstance(known_as, list) else (),
        **words,
    )
