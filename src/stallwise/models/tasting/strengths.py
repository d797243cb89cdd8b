"""Several arms compared two at a time: how strong each is (Bradley and Terry), with a stated prior.

No library of the lock has it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError, WorkError

__all__ = ["Strengths", "connected", "spread_p", "strengths"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Strengths:
    """Strength of each arm.

    Attributes
    ----------
    logits, errors : tuple of float
        Log of the odds of winning against the mean arm, or against the one named, and its
        standard error [-].
    wins : tuple of float
        Share of votes for it against that [-].
    """

    logits: tuple[float, ...]
    errors: tuple[float, ...]
    wins: tuple[float, ...]


def strengths(
    wins: Sequence[Sequence[float]], *, prior_spread: float | None, against: int | None = None
) -> Strengths:
    """Strengths that make the votes most likely.

    Parameters
    ----------
    wins : square matrix
        ``wins[i][j]``: votes for arm i over arm j. A tie is half a vote each.
    prior_spread : float or None
        Standard deviation of strengths before anything was tasted, on the logit scale [-]: an arm
        that wins everything stays finite. None for no prior.
    against : int, optional
        Arm that the others are measured against; the mean of all by default.

    Raises
    ------
    InputError
        No square, or fewer than two arms.
    WorkError
        Without a prior, an arm that won or lost everything.

    References
    ----------
    [agresti-2002]_
    """
    won = np.asarray(wins, dtype=np.float64)
    if won.ndim != 2 or won.shape[0] != won.shape[1] or len(won) < 2 or np.any(won < 0):
        raise InputError(f"wins of shape {won.shape}", "one row and column an arm, two or more")
    if prior_spread is None and not connected(wins):
        raise WorkError("an arm, or a group of them, won or lost everything")
    won = won * (1.0 - np.eye(len(won)))
    ridge = 0.0 if prior_spread is None else prior_spread**-2
    logits, spread = _fitted(won, ridge)
    arms = len(won)
    contrast = np.eye(arms) - (np.eye(arms)[against] if against is not None else 1.0 / arms)
    values, errors = contrast @ logits, np.sqrt(np.diag(contrast @ spread @ contrast.T))
    return Strengths(
        tuple(map(float, values)),
        tuple(map(float, errors)),
        tuple(1.0 / (1.0 + math.exp(-value)) for value in values),
    )


def _fitted(won: Floats, ridge: float) -> tuple[Floats, Floats]:
    played = won + won.T
    # One direction, all arms stronger alike, is not in the votes: hold it.
    hold = np.full((len(won), len(won)), 1.0 / len(won))

    def bent(logits: Floats) -> tuple[Floats, Floats]:
        chance = 1.0 / (1.0 + np.exp(logits[None, :] - logits[:, None]))
        pull = (won - played * chance).sum(axis=1) - ridge * logits
        weight = played * chance * (1.0 - chance)
        curve = np.diag(weight.sum(axis=1)) - weight + ridge * np.eye(len(won)) + hold
        return pull, np.linalg.inv(curve)

    logits = np.zeros(len(won))
    for _ in range(100):
        pull, spread = bent(logits)
        step = spread @ pull
        logits = logits + step
        if np.max(np.abs(step)) < 1e-12:
            break
    return logits, bent(logits)[1]


def connected(wins: Sequence[Sequence[float]]) -> bool:
    """Whether every arm has, over others, won and lost against every other."""
    reach = (np.asarray(wins, dtype=float) > 0) | np.eye(len(wins), dtype=bool)
    for _ in range(len(wins)):
        reach = (reach.astype(int) @ reach.astype(int)) > 0
    return bool(np.all(reach))


def spread_p(orders: Sequence[Sequence[int]], arms: int, seed: int, draws: int = 4000) -> float:
    """How often orders drawn at random leave the arms as far from even, all together.

    Parameters
    ----------
    orders : sequence of sequences
        Arms of each answer, the winner first: two of them, or more that were put in order.
    arms : int
    seed : int
    draws : int, default 4000
        Times that all answers are drawn anew; the chance is good to a hundredth.
    """
    draw = stream(seed, "even orders")
    seen = np.zeros(arms)
    drawn = np.zeros((draws, arms))
    for order in orders:
        points = np.arange(len(order) - 1, -len(order), -2, dtype=float)
        seen[list(order)] += points
        drawn[:, list(order)] += draw.permuted(np.tile(points, (draws, 1)), axis=1)
    far = int(np.sum(np.sum(drawn**2, axis=1) >= np.sum(seen**2) - 1e-9))
    return (far + 1) / (draws + 1)
