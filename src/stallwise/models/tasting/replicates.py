"""Several answers of one taster: how much they are alike, and what they are worth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stallwise.ground.errors import InputError
from stallwise.models.tasting import binomial

__all__ = ["Alike", "alike", "false_alarm_if_pooled", "worth_of_repeats"]

_NODES = 40
#: Logit of the least likeness that is looked at, one in a thousand: below it the rule's weights overflow.
_LEAST_ALIKE = -6.9


@dataclass(frozen=True)
class Alike:
    """Mean and likeness of tasters' answers (beta-binomial).

    Attributes
    ----------
    mu : float
        Mean chance of a right answer; of telling it, when corrected for guessing [-].
    gamma : float
        0: all tasters alike; 1: each gives always the same answer [-].
    log_likelihood : float
    overdispersion : float
        Twice the gain over tasters that are all alike [-].
    association : float
        Twice the gain over guessing [-].
    """

    mu: float
    gamma: float
    log_likelihood: float
    overdispersion: float
    association: float


def alike(correct: Sequence[int], each: int, *, guess: float | None = None) -> Alike:
    """Estimate how alike one taster's answers are.

    Parameters
    ----------
    correct : sequence of int
        Right answers of each taster.
    each : int
        Answers of each, two or more.
    guess : float, optional
        Chance that a guess is right [-]: tasters then differ in what they tell beyond guessing.

    Raises
    ------
    InputError
        One answer a taster: there is nothing to see.

    References
    ----------
    [sensr-tests]_, [brockhoff-2003]_
    """
    if each < 2 or not correct:
        raise InputError(f"{each} answer a taster", "two or more", "Likeness shows in repeats only")
    from scipy.optimize import minimize
    from scipy.special import expit, gammaln

    found = np.asarray(correct, dtype=float)
    ways = gammaln(each + 1) - gammaln(found + 1) - gammaln(each - found + 1)
    base = 0.0 if guess is None else guess

    def likelihood(mu: float, gamma: float) -> float:
        size = 1.0 / gamma - 1.0
        shares, weight = _beta_nodes(mu * size, (1.0 - mu) * size)
        chance = base + (1.0 - base) * shares
        rows = found[:, None] * np.log(chance) + (each - found)[:, None] * np.log1p(-chance)
        return float(np.sum(ways + np.log(np.exp(rows) @ weight)))

    def loss(x: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
        return -likelihood(float(expit(x[0])), float(expit(x[1])))

    best = min(
        (
            minimize(
                loss, (a, b), method="Nelder-Mead", bounds=[(-9.0, 9.0), (_LEAST_ALIKE, 9.0)],
                options={"xatol": 1e-8, "fatol": 1e-11, "maxiter": 4000},
            )
            for a in (-2.0, 0.5)
            for b in (-2.0, 0.5)
        ),
        key=lambda one: float(one.fun),
    )  # fmt: skip
    mu, gamma = (float(expit(x)) for x in best.x)
    top = -float(best.fun)
    mean = max(float(found.mean()) / each, base)
    even = _same_for_all(found, each, ways, mean)
    guessing = _same_for_all(found, each, ways, 0.5 if guess is None else guess)
    return Alike(mu, gamma, top, 2.0 * max(0.0, top - even), 2.0 * (top - guessing))


def _beta_nodes(a: float, b: float) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], ...]:
    """Nodes and weights of a mean over a beta distribution, ends of any steepness among them."""
    from scipy.special import roots_jacobi

    nodes, weights = roots_jacobi(_NODES, b - 1.0, a - 1.0)
    return np.clip((nodes + 1.0) / 2.0, 1e-15, 1.0 - 1e-15), weights / weights.sum()


def _same_for_all(
    found: np.ndarray[tuple[int], np.dtype[np.float64]],
    each: int,
    ways: np.ndarray[tuple[int], np.dtype[np.float64]],
    share: float,
) -> float:
    from scipy.special import xlogy

    return float(np.sum(ways + xlogy(found, share) + xlogy(each - found, 1.0 - share)))


def worth_of_repeats(tasters: int, each: int, gamma: float) -> float:
    """Answers of as many tasters as these repeats are worth [-]."""
    return tasters * each / (1.0 + (each - 1) * gamma)


def false_alarm_if_pooled(tasters: int, each: int, gamma: float, alpha: float = 0.05) -> float:
    """How often "which do you like" fires on nothing when repeats are counted as tasters.

    Parameters
    ----------
    tasters, each : int
    gamma : float
        Likeness of one taster's answers [-], 0 to 1.
    alpha : float, default 0.05
        What the test says of itself [-], two sides.

    Returns
    -------
    float
        Chance [-].
    """
    least = binomial.least_correct(tasters * each, 0.5, alpha, 2)
    if least is None:
        return 0.0
    one = _votes(each, gamma)
    all_votes = np.ones(1)
    for _ in range(tasters):
        all_votes = np.convolve(all_votes, one)
    return float(all_votes[least:].sum() + all_votes[: tasters * each - least + 1].sum())


def _votes(each: int, gamma: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Chance of each number of votes of one taster, who leans either way."""
    if gamma <= 0.0:
        return np.array([math.comb(each, k) * 0.5**each for k in range(each + 1)])
    from scipy.special import betaln

    half = (1.0 / gamma - 1.0) / 2.0
    if half == 0.0:
        return np.array([0.5, *[0.0] * (each - 1), 0.5])
    k = np.arange(each + 1)
    ways = np.array([math.comb(each, one) for one in k], dtype=float)
    chances = ways * np.exp(betaln(k + half, each - k + half) - betaln(half, half))
    return np.asarray(chances, dtype=np.float64)
