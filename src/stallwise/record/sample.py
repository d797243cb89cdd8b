"""The sample cooks, brought into a cookbook: our own invention, and marked so in each cook."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from stallwise.ground import assets
from stallwise.ground.errors import NotFoundError
from stallwise.record import disk
from stallwise.record.folder import Cookbook

__all__ = ["SAMPLES", "bring_sample"]

#: Folders under ``data`` by what a cook calls them.
SAMPLES: Mapping[str, str] = {"year": "sample", "events": "sample-events"}
#: Folders of a cook that git does not keep while they are empty.
_EMPTY = ("readings", "photos", "mixes", "results")


def bring_sample(book: Cookbook, which: str = "year") -> list[str]:
    """Copy the sample cooks, with their pit and their sauce, into a cookbook.

    What is there is never overwritten: a cook whose folder exists is left alone as a whole, and
    so is a pit or a mix of the same name.

    Parameters
    ----------
    book : Cookbook
        A started cookbook.
    which : {"year", "events"}
        A year of cooks, or days beyond one supper: a crowd, a class, a contest.

    Returns
    -------
    list of str
        Names of the cooks that were brought, the newest first.

    Raises
    ------
    NotFoundError
        No such sample.
    InputError
        A link leads out of the cookbook.
    WorkError
        The disk does not let us.
    """
    if which not in SAMPLES:
        raise NotFoundError("sample", which, SAMPLES)
    sample = SAMPLES[which]
    there = {cook.name for cook in book.cooks()}
    brought = []
    for kind in assets.names("data", sample):
        for name in assets.names("data", sample, kind):
            if kind == "cooks" and name in there:
                continue
            if kind == "cooks":
                brought.append(name)
                _bring_cook(book, sample, name)
            else:
                _bring_file(book, sample, (kind, name))
    return sorted(brought, reverse=True)


def _bring_cook(book: Cookbook, sample: str, name: str) -> None:
    parts = list(assets.walk("data", sample, "cooks", name))
    # The cook.toml makes a folder a cook, so it comes last: a cut short copy is not one.
    for part in sorted(parts, key=lambda part: part[-1] == "cook.toml"):
        _bring_file(book, sample, part[1:])
    folder = book.store.inside(Path("cooks", name))
    for empty in _EMPTY:
        disk.make_folder(folder / empty)


def _bring_file(book: Cookbook, sample: str, part: tuple[str, ...]) -> None:
    path = Path(*part)
    if book.store.has(path):
        return
    book.store.replace(
        path, assets.read_bytes("data", sample, *part), expected=None, limit=10_000_000
    )
