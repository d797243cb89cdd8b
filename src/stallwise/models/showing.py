"""Starts that bring a piece into a state at an hour, on as many possible days as can be, with stand-ins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError

__all__ = ["Showable", "Starts", "best_starts", "shown_share"]

Days = NDArray[np.float64]
#: Starts are tried at every five minutes.
_STEP_S = 300.0
#: Rounds in which each piece's start is tried again beside the others'.
_ROUNDS = 3


@dataclass(frozen=True)
class Showable:
    """One piece: when it comes into its state and leaves it, by possible day [s after meat on].

    A state that a day does not have begins at infinity.
    """

    since_s: Days
    until_s: Days


@dataclass(frozen=True)
class Starts:
    """Starts found.

    Attributes
    ----------
    before_s : tuple of float
        How long before the hour each piece goes on [s].
    each : tuple of float
        Share of days on which that piece is in its state then.
    any_of_them : float
        Share of days on which at least one is.
    """

    before_s: tuple[float, ...]
    each: tuple[float, ...]
    any_of_them: float


def best_starts(pieces: Sequence[Showable], weights: Days, *, longest_s: float = np.inf) -> Starts:
    """Find starts so that on as many days as can be at least one piece is in its state at the hour.

    Each piece's start is found beside those before it, and again beside all others; of starts that
    are as good the middle one is taken, which is the best if it is all a little other.

    Parameters
    ----------
    pieces : sequence of Showable
        Over the same possible days.
    weights : array
        Of the days.
    longest_s : float, optional
        Nothing can go on longer before the hour [s].

    Raises
    ------
    InputError
        No piece, or none that is ever in that state.
    """
    if not pieces:
        raise InputError("no piece to show", "at least one")
    if not any(np.isfinite(one.since_s).any() for one in pieces):
        raise InputError(
            "on no possible day does any of its pieces come into that state",
            "another state or piece",
        )
    chosen: list[float] = []
    for one in pieces:
        chosen.append(_best(one, weights, _there(pieces[: len(chosen)], chosen), longest_s))
    for _ in range(_ROUNDS):
        for at, one in enumerate(pieces):
            others = [each for n, each in enumerate(pieces) if n != at]
            times = [each for n, each in enumerate(chosen) if n != at]
            chosen[at] = _best(one, weights, _there(others, times), longest_s)
    return Starts(
        tuple(chosen),
        tuple(shown_share([one], [at], weights) for one, at in zip(pieces, chosen, strict=True)),
        shown_share(pieces, chosen, weights),
    )


def shown_share(pieces: Sequence[Showable], before_s: Sequence[float], weights: Days) -> float:
    """Share of days on which at least one piece that went on so long before is in its state."""
    there = _there(pieces, before_s)
    return 0.0 if there is None else float(np.sum(weights[there]) / np.sum(weights))


def _there(pieces: Sequence[Showable], before_s: Sequence[float]) -> NDArray[np.bool_] | None:
    found = [
        (one.since_s <= at) & (at < one.until_s) for one, at in zip(pieces, before_s, strict=True)
    ]
    return np.any(found, axis=0) if found else None


def _best(
    one: Showable, weights: Days, covered: NDArray[np.bool_] | None, longest_s: float
) -> float:
    known = np.isfinite(one.since_s) & (one.until_s > one.since_s)
    if not known.any():
        return 0.0
    lowest = float(np.min(one.since_s[known]))
    ends = one.until_s[known & np.isfinite(one.until_s)]
    highest = float(np.max(ends)) if len(ends) else float(np.max(one.since_s[known])) + _STEP_S
    tries = np.arange(np.floor(lowest / _STEP_S), np.ceil(highest / _STEP_S) + 1) * _STEP_S
    tries = tries[tries <= longest_s]
    if not len(tries):
        return longest_s
    there = (one.since_s[None, :] <= tries[:, None]) & (tries[:, None] < one.until_s[None, :])
    own = there @ weights
    new = own if covered is None else (there & ~covered[None, :]) @ weights
    # Where nothing is left to cover, the start that is best by itself.
    score = new if new.max() > 0.0 else own
    best = np.flatnonzero(score >= score.max() - 1e-12)
    return float(tries[best[len(best) // 2]])
