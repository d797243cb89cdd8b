"""What was different between pieces, and which of it cannot be told apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from stallwise.joins.past.cooked import Cooked
from stallwise.joins.past.things import THINGS, Thing
from stallwise.joins.past.values import said, same

__all__ = ["Alone", "Difference", "alike", "alone", "differences", "mixed_up"]


@dataclass(frozen=True)
class Difference:
    """One thing, as it was with each piece.

    Attributes
    ----------
    key, words, how, part : str
        As in `things.Thing`.
    values : tuple
        Unrounded, in SI, a piece each; None where nothing was said.
    said : tuple of str
        The same in the cookbook's units.
    groups : tuple of int
        Which pieces are the same in it: a number each, the first piece's 0.
    """

    key: str
    words: str
    how: str
    part: str
    values: tuple[Any, ...]
    said: tuple[str, ...]
    groups: tuple[int, ...]

    @property
    def differs(self) -> bool:
        """Whether it was not the same with all."""
        return len(set(self.groups)) > 1

    @property
    def known(self) -> bool:
        """Whether it was said of all."""
        return all(value is not None for value in self.values)


@dataclass(frozen=True)
class Alone:
    """Two pieces that differ in one part only: what that part does is seen there, day and chance aside."""

    part: str
    pieces: tuple[str, str]


def differences(pieces: Sequence[Cooked]) -> tuple[Difference, ...]:
    """Go through all things that may differ; what nobody said of any piece is left out.

    Parameters
    ----------
    pieces : sequence of Cooked
        Two or more.
    """
    found = (_difference(thing, pieces) for thing in THINGS)
    return tuple(one for one in found if any(value is not None for value in one.values))


def alike(found: Sequence[Difference]) -> tuple[str, ...]:
    """Name what was the same with all."""
    return tuple(one.words for one in found if not one.differs)


def mixed_up(found: Sequence[Difference]) -> tuple[tuple[str, ...], ...]:
    """Put together what changed together: the log cannot say which of it did it.

    Parameters
    ----------
    found : sequence of Difference
        Of two or more pieces.

    Returns
    -------
    tuple of tuple of str
        Words of things that part the pieces alike, two or more each. What was planned and logged of
        one thing is one.
    """
    heaps: dict[tuple[int, ...], dict[str, str]] = defaultdict(dict)
    for one in found:
        if one.differs and one.known:
            heaps[one.groups].setdefault(one.part or one.key, _PARTED.get(one.part, one.words))
    return tuple(tuple(heap.values()) for heap in heaps.values() if len(heap) > 1)


#: What a part is called where several things of it changed.
_PARTED = {
    "size": "weight and size",
    "pit": "the pit",
    "wrap": "the wrap",
    "spritz": "spritzes",
    "air": "the weather",
}


def alone(found: Sequence[Difference], labels: Sequence[str]) -> tuple[Alone, ...]:
    """Find pairs of pieces that differ in one part only."""
    pairs = []
    for one, other in combinations(range(len(labels)), 2):
        apart = {
            each.part or each.key: _PARTED.get(each.part, each.words)
            for each in found
            if each.groups[one] != each.groups[other]
        }
        if len(apart) == 1:
            pairs.append(Alone(next(iter(apart.values())), (labels[one], labels[other])))
    return tuple(pairs)


def _difference(thing: Thing, pieces: Sequence[Cooked]) -> Difference:
    values = tuple(thing.read(one) for one in pieces)
    system = pieces[0].record.book.units
    told = tuple(said(thing.kind, value, system) for value in values)
    return Difference(
        thing.key, thing.words, thing.how, thing.part, values, told, _groups(thing.kind, values)
    )


def _groups(kind: str, values: Sequence[Any]) -> tuple[int, ...]:
    """Give the pieces numbers by what they have in common, the first of each group standing for it."""
    firsts: list[Any] = []
    found = []
    for value in values:
        at = next((n for n, first in enumerate(firsts) if same(kind, first, value)), None)
        if at is None:
            at = len(firsts)
            firsts.append(value)
        found.append(at)
    return tuple(found)
