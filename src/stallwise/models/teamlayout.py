"""Which pit's team does what, so that something is learned: both at every pit, places crossed over."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError

__all__ = ["all_alike_by_chance", "crossed"]


def crossed(
    pits: Sequence[str], arms: Sequence[str], *, seed: int = 1
) -> dict[str, tuple[str, ...]]:
    """Give every pit every arm, each arm at each place of a pit as often as can be.

    Parameters
    ----------
    pits : sequence of str
    arms : sequence of str
        What is compared; a pit has as many places.
    seed : int
        Which pit begins with which arm is drawn.

    Returns
    -------
    dict of str to tuple of str
        By pit, the arms in the order of its places.

    Raises
    ------
    InputError
        Fewer than two arms, or no pit.
    """
    if len(arms) < 2 or not pits:
        raise InputError(
            f"{len(arms)} arms at {len(pits)} pits", "two arms or more, at a pit or more"
        )
    drawn = stream(seed, "teams").permutation(len(pits))
    turns = {pits[int(pit)]: n % len(arms) for n, pit in enumerate(drawn)}
    return {pit: (*arms[turns[pit] :], *arms[: turns[pit]]) for pit in pits}


def all_alike_by_chance(pits: int) -> float:
    """Chance that all pits point the same way where there is nothing to see: two ways out of 2^pits."""
    return min(2.0 * 0.5**pits, 1.0)
