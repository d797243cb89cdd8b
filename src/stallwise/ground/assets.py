"""Where the shipped tables and templates are: in a wheel, an editable install, a checkout."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Literal, get_args

from stallwise.ground.errors import NotFoundError, WorkError

__all__ = ["Kind", "folder", "names", "read_bytes", "read_text", "walk"]

Kind = Literal["data", "templates"]

#: Left behind by editors, Python and Jupyter; never an asset.
_LITTER = frozenset({"__pycache__"})


@cache
def folder(kind: Kind) -> Traversable:
    """Find the folder of one kind of asset.

    Parameters
    ----------
    kind : {"data", "templates"}
        Tables, or notebook and page templates.

    Returns
    -------
    Traversable
        The folder inside the installed package or, in a checkout, at its top.

    Raises
    ------
    NotFoundError
        There is no such kind.
    WorkError
        Neither place holds the folder: the installation is broken.
    """
    if kind not in get_args(Kind):
        raise NotFoundError("kind of asset", kind, get_args(Kind))
    packed = files("stallwise") / "_assets" / kind
    if packed.is_dir():
        return packed
    checkout = Path(__file__).resolve().parents[3]
    if (checkout / "pyproject.toml").is_file() and (checkout / kind).is_dir():
        return checkout / kind
    raise WorkError(
        f"the shipped {kind} are missing",
        f"{packed} (installed) or {checkout / kind} (checkout)",
        "Install stallwise again.",
    )


def read_text(kind: Kind, *parts: str) -> str:
    """Read one asset as UTF-8 text.

    Parameters
    ----------
    kind : {"data", "templates"}
        Kind of asset.
    *parts : str
        Folder names and file name, each matched against a listing.

    Raises
    ------
    NotFoundError
        A part is not there; the nearest names are offered.
    """
    return _find(kind, parts).read_text(encoding="utf-8")


def read_bytes(kind: Kind, *parts: str) -> bytes:
    """Read one asset as it is; see `read_text`."""
    return _find(kind, parts).read_bytes()


def names(kind: Kind, *parts: str) -> list[str]:
    """List the names in a folder of assets, sorted, without hidden files and litter."""
    return sorted(_listing(_find(kind, parts)))


def walk(kind: Kind, *parts: str) -> Iterator[tuple[str, ...]]:
    """Yield the parts of every asset file below a folder, in order of name."""
    for name, entry in sorted(_listing(_find(kind, parts)).items()):
        if entry.is_dir():
            yield from walk(kind, *parts, name)
        else:
            yield (*parts, name)


def _listing(place: Traversable) -> dict[str, Traversable]:
    return {
        entry.name: entry
        for entry in place.iterdir()
        if not entry.name.startswith(".") and entry.name not in _LITTER
    }


def _find(kind: Kind, parts: tuple[str, ...]) -> Traversable:
    place = folder(kind)
    for depth, part in enumerate(parts):
        listing = _listing(place) if place.is_dir() else {}
        if part not in listing:
            where = "/".join((kind, *parts[:depth]))
            raise NotFoundError("asset", part, listing, where=where)
        place = listing[part]
    return place
