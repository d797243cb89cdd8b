"""The sample cooks, brought into a cookbook: our own invention, and marked so in each cook."""

from __future__ import annotations

from pathlib import Path

from stallwise.ground import assets
from stallwise.record.folder import Cookbook

__all__ = ["bring_sample"]

_SAMPLE = "sample"
#: Folders of a cook that git does not keep while they are empty.
_EMPTY = ("readings", "photos", "mixes", "results")


def bring_sample(book: Cookbook) -> list[str]:
    """Copy the sample cooks, with their pit and their sauce, into a cookbook.

    What is there is never overwritten: a cook whose folder exists is left alone as a whole, and
    so is a pit or a mix of the same name.

    Parameters
    ----------
    book : Cookbook
        A started cookbook.

    Returns
    -------
    list of str
        Names of the cooks that were brought, the newest first.

    Raises
    ------
    InputError
        A link leads out of the cookbook.
    WorkError
        The disk does not let us.
    """
    there = {cook.name for cook in book.cooks()}
    brought = []
    for kind in assets.names("data", _SAMPLE):
        for name in assets.names("data", _SAMPLE, kind):
            if kind == "cooks" and name in there:
                continue
            if kind == "cooks":
                brought.append(name)
                _bring_cook(book, name)
            else:
                _bring_file(book, (kind, name))
    return sorted(brought, reverse=True)


def _bring_cook(book: Cookbook, name: str) -> None:
    parts = list(assets.walk("data", _SAMPLE, "cooks", name))
    # The cook.toml makes a folder a cook, so it comes last: a cut short copy is not one.
    for part in sorted(parts, key=lambda part: part[-1] == "cook.toml"):
        _bring_file(book, part[1:])
    folder = book.store.inside(Path("cooks", name))
    for empty in _EMPTY:
        (folder / empty).mkdir(exist_ok=True)


def _bring_file(book: Cookbook, part: tuple[str, ...]) -> None:
    path = Path(*part)
    if book.store.has(path):
        return
    book.store.replace(
        path, assets.read_bytes("data", _SAMPLE, *part), expected=None, limit=10_000_000
    )
