"""Errors and warnings: each says what came, what is allowed and what to do."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Self

__all__ = [
    "CookWarning",
    "InputError",
    "NotFoundError",
    "OutOfRangeError",
    "OutOfRangeWarning",
    "StallwiseError",
    "Unreadable",
    "WorkError",
    "nearest",
    "placed_at",
]


class StallwiseError(Exception):
    """Base of every error that stallwise raises on purpose.

    Parameters
    ----------
    came : str
        What was given, in the cook's own words where there are any.
    allowed : str, optional
        What is allowed.
    todo : str, optional
        What to do about it.
    where : str, optional
        File, line and key, for a value that was read from a file.
    """

    #: Exit status of the command line for this kind of error.
    status = 1

    def __init__(self, came: str, allowed: str = "", todo: str = "", *, where: str = "") -> None:
        self.came = came
        self.allowed = allowed
        self.todo = todo
        self.where = where
        super().__init__(_said(self))

    def placed(self, where: str) -> Self:
        """Give the same error with the file, line and key that it was met at."""
        made = type(self).__new__(type(self))
        made.__dict__.update(self.__dict__, where=where)
        made.args = (_said(made),)
        return made

    def _render_traceback_(self) -> list[str]:
        """Give a notebook the words alone: where in the library they were said helps no cook."""
        return [f"stallwise: {self}"]


class InputError(StallwiseError):
    """The request was wrong: a key, a value, a name, a file (exit status 2)."""

    status = 2


class OutOfRangeError(InputError):
    """A value is impossible, not merely unusual."""


class NotFoundError(InputError):
    """A name is not among those that exist.

    Parameters
    ----------
    what : str
        The kind of thing looked for, for example ``"cut"``.
    name : str
        The name that came.
    names : iterable of str
        The names that exist; the nearest are offered.
    todo : str, optional
        What to do instead of the default offer.
    """

    def __init__(
        self, what: str, name: str, names: Iterable[str], todo: str = "", *, where: str = ""
    ) -> None:
        known = sorted(names)
        near = nearest(name, known)
        if near:
            offer = f"Nearest: {', '.join(near)}"
        elif known:
            shown = ", ".join(known[:12]) + (", …" if len(known) > 12 else "")
            offer = f"There are: {shown}"
        else:
            offer = f"There is no {what} yet"
        super().__init__(f"no {what} is called {name!r}", "", todo or offer, where=where)
        self.name = name
        self.near = near


class Unreadable(dict[str, Any]):
    """A file of the cook's own that cannot be read, in the place of its content.

    It spoils nothing that does not use it; who does raises `error`.
    """

    def __init__(self, error: InputError) -> None:
        super().__init__(unreadable=str(error))
        self.error = error


class WorkError(StallwiseError):
    """The request was right and the work failed (exit status 1)."""


class OutOfRangeWarning(UserWarning):
    """A correlation is used outside the range it was published for."""


@dataclass(frozen=True)
class CookWarning:
    """One warning for a cook.

    Attributes
    ----------
    key : str
        Stable name, for tests and for folding the same warning away.
    text : str
        Words that a cook understands.
    piece : str
        Letter of the piece it concerns, empty for the whole cook.
    """

    key: str
    text: str
    piece: str = ""


@contextmanager
def placed_at(where: str) -> Iterator[None]:
    """Name file, line and key in an error from inside that names none yet.

    Parameters
    ----------
    where : str
        The place; empty leaves every error as it is.
    """
    try:
        yield
    except InputError as error:
        if error.where or not where:
            raise
        raise error.placed(where) from error


def nearest(name: str, names: Iterable[str], count: int = 3) -> list[str]:
    """Names closest to `name`, best first, ignoring case."""
    folded = {known.casefold(): known for known in names}
    close = difflib.get_close_matches(name.casefold(), folded, n=count, cutoff=0.55)
    return [folded[key] for key in close]


def _said(error: StallwiseError) -> str:
    parts = [f"{error.where}: {error.came}" if error.where else error.came]
    if error.allowed:
        parts.append(f"Allowed: {error.allowed}")
    if error.todo:
        parts.append(error.todo)
    return " ".join(_sentence(part) for part in parts)


def _sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "?", "!", ":")) else f"{text}."
