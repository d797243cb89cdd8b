"""One object and no other, as a key: for what is worked out once of data that many ask about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

__all__ = ["Same"]

_T = TypeVar("_T")


@dataclass(frozen=True, eq=False)
class Same(Generic[_T]):
    """Stands for one object, whatever it holds; two are equal where they hold the very same.

    The object is kept as long as the key is, so no other can take its place. It may not be changed.
    """

    held: _T

    def __hash__(self) -> int:
        return id(self.held)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.held is self.held
