"""What is mixed up with what between teams, and how to lay it out so that something is learned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stallwise.models.teamlayout import all_alike_by_chance, crossed
from stallwise.record.schema import Cook, Piece

__all__ = ["Learnable", "learnable"]


@dataclass(frozen=True)
class Learnable:
    """One thing that the teams' pieces differ in.

    Attributes
    ----------
    thing : str
        In a cook's words: ``wrap``.
    arms : tuple of str
        What is compared.
    by_pit : mapping of str to tuple of str
        Arms at each team's pit, as planned.
    mixed_with : tuple of str
        What changes together with it, and cannot be told from it.
    layout : mapping of str to tuple of str
        A layout from which it could be told: arms by pit in the order of its places.
    pits : int
        That are then each a comparison of their own.
    by_chance : float
        Chance that all of them point the same way where there is nothing to see.
    """

    thing: str
    arms: tuple[str, ...]
    by_pit: Mapping[str, tuple[str, ...]]
    mixed_with: tuple[str, ...]
    layout: Mapping[str, tuple[str, ...]]
    pits: int
    by_chance: float


def _mixes(cook: Cook, piece: Piece) -> str:
    names = sorted(use.mix for use in cook.mixes if not use.on or piece.letter in use.on)
    return ", ".join(names) or "none"


#: What teams may do differently, and how it is read.
_THINGS: Mapping[str, Callable[[Cook, Piece], str]] = {
    "wrap": lambda _, piece: piece.wrap or "as usual",
    "finish": lambda _, piece: piece.finish or "as usual",
    "cut": lambda _, piece: piece.cut,
    "rubs and sauces": _mixes,
    "weight": lambda _, piece: piece.mass or "not said",
    "place": lambda _, piece: piece.place or "",
    "meat on": lambda _, piece: piece.on or "",
}
#: What goes with a pit whatever anybody plans.
_WITH_THE_PIT = "the pit, its fire and its team"


def learnable(cook: Cook, seed: int = 1) -> tuple[Learnable, ...]:
    """Go through what the teams' pieces differ in.

    Parameters
    ----------
    cook : Cook
        With its teams.
    seed : int
        For the layout that is offered.
    """
    teams = cook.lesson.teams if cook.lesson else []
    pits = [team.pit for team in teams]
    pieces = [piece for piece in cook.pieces if piece.pit in pits]
    values = {thing: [read(cook, piece) for piece in pieces] for thing, read in _THINGS.items()}
    at = [piece.pit or "" for piece in pieces]
    return tuple(
        _one(thing, values, at, pits, seed) for thing in values if len(set(values[thing])) > 1
    )


def _one(
    thing: str,
    values: Mapping[str, Sequence[str]],
    at: Sequence[str],
    pits: Sequence[str],
    seed: int,
) -> Learnable:
    mine = values[thing]
    arms = tuple(dict.fromkeys(mine))
    by_pit: dict[str, list[str]] = defaultdict(list)
    for pit, value in zip(at, mine, strict=True):
        by_pit[pit].append(value)
    both = [pit for pit in pits if len(set(by_pit[pit])) > 1]
    mixed = [] if both else [_WITH_THE_PIT]
    mixed += [
        other
        for other, theirs in values.items()
        if other != thing and len(set(theirs)) > 1 and _together(mine, theirs)
    ]
    useful = len(both) or len(pits)
    return Learnable(
        thing,
        arms,
        {pit: tuple(by_pit[pit]) for pit in pits},
        tuple(mixed),
        crossed(pits, arms, seed=seed),
        useful,
        all_alike_by_chance(useful),
    )


def _together(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether either tells the other: each value of the one goes with one value of the other."""
    pairs = set(zip(one, other, strict=True))
    return len(pairs) in {len(set(one)), len(set(other))}
