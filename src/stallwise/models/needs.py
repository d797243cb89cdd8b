"""What must be bought for mixes: every line down to the last, what stands ready taken off once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.models.mixes import ScaledMix

__all__ = ["Needs", "needs"]


@dataclass(frozen=True)
class Needs:
    """Ingredients that mixes take.

    Attributes
    ----------
    grams : mapping of str to float
        By ingredient [g], what is at hand not yet taken off.
    users : mapping of str to tuple of str
        Names of the mixes that take it.
    from_hand_g : mapping of str to float
        Mixes that stand ready, and how much of them is taken [g].
    """

    grams: Mapping[str, float]
    users: Mapping[str, tuple[str, ...]]
    from_hand_g: Mapping[str, float]


def needs(
    mixes: Sequence[ScaledMix],
    made: Sequence[ScaledMix] = (),
    hand_g: Mapping[str, float] | None = None,
) -> Needs:
    """Sum what mixes are made of, each gram once.

    Parameters
    ----------
    mixes : sequence of ScaledMix
        What goes on the meat.
    made : sequence of ScaledMix
        What is made ahead: its lines count as it is made, not again where it is used.
    hand_g : mapping of str to float, optional
        Mixes that stand ready [g].
    """
    walk = _Walk({mix.key for mix in made}, dict(hand_g or {}))
    for mix in made:
        walk.make(mix, 1.0, mix.name, making=mix.key)
    for mix in mixes:
        walk.make(mix, 1.0, mix.name)
    users = {key: tuple(names) for key, names in walk.users.items()}
    return Needs(walk.grams, users, walk.taken)


class _Walk:
    def __init__(self, ahead: set[str], hand_g: dict[str, float]) -> None:
        self.ahead, self.hand_g = ahead, hand_g
        self.grams: dict[str, float] = {}
        self.users: dict[str, dict[str, None]] = {}
        self.taken: dict[str, float] = {}

    def make(self, mix: ScaledMix, share: float, user: str, making: str = "") -> None:
        if mix.key in self.ahead and mix.key != making:
            return
        if mix.key != making:
            wanted_g = mix.total_g * share
            ready_g = min(self.hand_g.get(mix.key, 0.0), wanted_g)
            if ready_g > 0.0:
                self.hand_g[mix.key] -= ready_g
                self.taken[mix.key] = self.taken.get(mix.key, 0.0) + ready_g
                share *= 1.0 - ready_g / wanted_g
        if share <= 0.0:
            return
        for line in mix.lines:
            if not line.is_mix:
                grams = line.grams * share
                self.grams[line.ingredient] = self.grams.get(line.ingredient, 0.0) + grams
                self.users.setdefault(line.ingredient, {})[user] = None
        for part in mix.parts:
            self.make(part, share, user)
