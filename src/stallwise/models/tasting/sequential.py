"""One pair after another, over several weekends, until the answers are enough (Wald's test)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError

__all__ = ["Running", "running"]


@dataclass(frozen=True)
class Running:
    """Where the answers have led.

    Attributes
    ----------
    verdict : {"different", "alike", "go on"}
        "alike" means: not as far apart as `share` would have it.
    stopped : int or None
        Answer at which the line was crossed; None while it was not.
    need : int
        Right answers in a row, from here, that would end it.
    """

    verdict: str
    stopped: int | None
    need: int


def running(
    right: Sequence[bool], *, guess: float, share: float, alpha: float, beta: float
) -> Running:
    """Follow right and wrong answers in their order.

    Parameters
    ----------
    right : sequence of bool
        Answers in the order they were given.
    guess : float
        Chance that a guess is right [-].
    share : float
        Share of right answers that would matter, fixed before the first bite [-].
    alpha, beta : float
        How often guessing passes for a difference, and a difference for none [-].

    References
    ----------
    [iso-16820]_
    """
    if not guess < share < 1.0:
        raise InputError(f"a share of {share:g}", f"between {guess:g} and 1")
    up, down = math.log(share / guess), math.log((1.0 - share) / (1.0 - guess))
    top, bottom = math.log((1.0 - beta) / alpha), math.log(beta / (1.0 - alpha))
    level = 0.0
    for number, one in enumerate(right, 1):
        level += up if one else down
        if level >= top:
            return Running("different", number, 0)
        if level <= bottom:
            return Running("alike", number, 0)
    return Running("go on", None, math.ceil((top - level) / up))
