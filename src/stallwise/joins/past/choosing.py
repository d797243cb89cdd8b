"""Which cooks are laid beside each other: as they are named, or the last two of one cut."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stallwise.ground.errors import InputError
from stallwise.record.cook import CookRecord
from stallwise.record.folder import Cookbook, CookFolder

__all__ = ["choose_cooks"]

#: A cook's name with the letter of one of its pieces behind it.
_ONE_PIECE = re.compile(r"(?P<cook>.+)/(?P<letter>[A-Z])")


def choose_cooks(
    book: Cookbook, said: str | Sequence[str] | None = None
) -> list[tuple[CookRecord, list[str]]]:
    """Load the cooks that are meant.

    Parameters
    ----------
    book : Cookbook
    said : str or sequence of str, optional
        Names of cooks, in one text with commas between or one by one; ``spring-ribs/A`` means piece A
        alone. Nothing said means the last finished cook and the one before it that had its cut.

    Returns
    -------
    list of (CookRecord, list of str)
        Each cook once, in the order named, with the letters that are meant; none means all.

    Raises
    ------
    NotFoundError
        There is no such cook.
    InputError
        Nothing was said, and there are no two cooks of one cut.
    """
    names = [name.strip() for name in _listed(said) if name.strip()]
    if not names:
        return [(folder.load(), []) for folder in _last_two(book)]
    meant: dict[str, tuple[CookFolder, list[str]]] = {}
    whole = set()
    for name in names:
        one = _ONE_PIECE.fullmatch(name)
        folder = book.cook(one["cook"] if one else name)
        _, letters = meant.setdefault(folder.name, (folder, []))
        if one is None:
            whole.add(folder.name)
        else:
            letters.append(one["letter"])
    return [
        (folder.load(), [] if name in whole else letters)
        for name, (folder, letters) in meant.items()
    ]


def _listed(said: object) -> list[str]:
    """Take names out of one text, or a list of texts."""
    if said is None:
        return []
    names = said.split(",") if isinstance(said, str) else said
    if not isinstance(names, (list, tuple)) or not all(isinstance(name, str) for name in names):
        raise InputError(f"cooks = {said!r}", 'names of cooks, as "spring-ribs, two-glazes/A"')
    return list(names)


def _last_two(book: Cookbook) -> Sequence[CookFolder]:
    """Find the last finished cook and the one before it with a piece of the same cut."""
    finished = []
    for folder in book.cooks():
        try:
            if folder.state() == "finished":
                finished.append((folder, {piece.cut for piece in folder.read().pieces}))
        except InputError:
            continue  # `check` tells
    for n, (last, cuts) in enumerate(finished):
        before = next((folder for folder, others in finished[n + 1 :] if cuts & others), None)
        if before is not None:
            return before, last
    raise InputError(
        "no two finished cooks had the same cut",
        "two cooks or more, by name",
        "Name them: stallwise compare COOK COOK",
    )
