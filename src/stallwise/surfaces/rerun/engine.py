"""Where work is done: here, one after the other, or elsewhere (`stallwise.surfaces.rerun.cluster`)."""

from __future__ import annotations

import errno
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from stallwise.ground.errors import StallwiseError

__all__ = ["Engine", "Here", "Trouble", "attempt", "is_full"]

#: One piece of work: the name of its cook, and the arguments by name.
Item = tuple[str, dict[str, Any]]


@dataclass(frozen=True)
class Trouble:
    """Why a piece of work has no outcome: a state of `execute.STATES`, and words."""

    state: str
    message: str


class Engine(Protocol):
    """Does the same work to many cooks."""

    def each(
        self, work: Callable[..., Any], items: Iterable[Item]
    ) -> Iterator[tuple[str, Any | Trouble]]:
        """Give the outcome for each item as it comes, every one exactly once."""
        ...


class Here:
    """One after the other in this process; an item is made when it is its turn."""

    def each(
        self, work: Callable[..., Any], items: Iterable[Item]
    ) -> Iterator[tuple[str, Any | Trouble]]:
        """Give the outcome for each item, in their order."""
        for name, arguments in items:
            yield name, attempt(work, arguments)


def attempt(work: Callable[..., Any], arguments: dict[str, Any]) -> Any | Trouble:
    """Do one piece of work; an error that is told in words is an outcome."""
    try:
        return work(**arguments)
    except StallwiseError as error:
        return Trouble("disk full" if is_full(error) else "failed", str(error))


def is_full(error: BaseException) -> bool:
    """Whether a full disk is behind an error."""
    cause: BaseException | None = error
    while cause is not None:
        if isinstance(cause, OSError) and cause.errno in {errno.ENOSPC, errno.EDQUOT}:
            return True
        cause = cause.__cause__
    return False
