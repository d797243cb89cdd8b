"""Answers that are right or wrong: what they show, what they leave open, what they could have seen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.models.tasting import binomial
from stallwise.models.tasting.psychometric import PROTOCOLS, correct_share, distance, slope

__all__ = [
    "Discrimination",
    "discriminate",
    "distance_power",
    "distance_trials_needed",
    "distinguishers",
]


@dataclass(frozen=True)
class Discrimination:
    """What right and wrong answers say.

    Attributes
    ----------
    correct, trials : int
    guess : float
        Chance that a guess is right [-].
    p_value : float
        How often guessing alone gives as many or more [-].
    shown : bool
        That is at most the false-alarm rate.
    share : float
        Share of right answers [-].
    low, high : float
        Shares that still fit [-].
    dprime, dprime_low, dprime_high : float
        The same as distances [-]; may be infinite. With two sides below zero where the other
        arm has more.
    dprime_se : float
        Standard error of the distance [-]; nan at its ends.
    least : int or None
        So many right answers would have been enough.
    seen_share, seen_dprime : float or None
        Smallest share and distance that would have been found so often as wanted.
    """

    correct: int
    trials: int
    guess: float
    p_value: float
    shown: bool
    share: float
    low: float
    high: float
    dprime: float
    dprime_low: float
    dprime_high: float
    dprime_se: float
    least: int | None
    seen_share: float | None
    seen_dprime: float | None


def discriminate(
    protocol: str,
    correct: int,
    trials: int,
    *,
    alpha: float = 0.05,
    wanted: float = 0.8,
    sides: int = 1,
) -> Discrimination:
    """Read right and wrong answers of one way of asking.

    Parameters
    ----------
    protocol : str
        A key of `stallwise.models.tasting.psychometric.PROTOCOLS`.
    correct, trials : int
        Right answers, answers in all.
    alpha : float, default 0.05
        How often guessing may be taken for a difference [-]. The interval is that of the same
        test: 1 - 2 alpha wide for one side, 1 - alpha for two.
    wanted : float, default 0.8
        How often a true difference is to be found [-].
    sides : {1, 2}
        2 for "which do you like", where neither is right.

    Raises
    ------
    InputError
        More right answers than answers, or none.

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    if not 0 <= correct <= trials or trials == 0:
        raise InputError(f"{correct} of {trials}", "from none to all of at least one answer")
    guess = PROTOCOLS[protocol].guess
    share = correct / trials
    most = max(correct, trials - correct) if sides == 2 else correct
    p_value = min(1.0, sides * binomial.tail(most, trials, guess))
    low, high = binomial.share_interval(correct, trials, 1.0 - 2.0 * alpha / sides)
    apart = _signed if sides == 2 else distance
    near = apart(protocol, share)
    seen = binomial.smallest_share(trials, guess, alpha=alpha, wanted=wanted, sides=sides)
    return Discrimination(
        correct=correct,
        trials=trials,
        guess=guess,
        p_value=p_value,
        shown=p_value <= alpha + 1e-12,
        share=share,
        low=low,
        high=high,
        dprime=near,
        dprime_low=apart(protocol, low),
        dprime_high=apart(protocol, high),
        dprime_se=_error(protocol, share, near, trials),
        least=binomial.least_correct(trials, guess, alpha, sides),
        seen_share=seen,
        seen_dprime=None if seen is None else distance(protocol, seen),
    )


def _signed(protocol: str, share: float) -> float:
    """Distance below zero where the other arm has more than half."""
    return distance(protocol, share) if share >= 0.5 else -distance(protocol, 1.0 - share)


def _error(protocol: str, share: float, dprime: float, trials: int) -> float:
    if not 0.0 < abs(dprime) < math.inf:
        return math.nan
    return math.sqrt(share * (1.0 - share) / trials) / slope(protocol, dprime)


def distinguishers(share: float, guess: float) -> float:
    """Share of tasters who can tell, if the others guess.

    Parameters
    ----------
    share, guess : float
        Share of right answers, chance that a guess is right [-].

    Returns
    -------
    float
        From 0 to 1 [-].
    """
    return max(0.0, (share - guess) / (1.0 - guess))


def distance_power(
    protocol: str, dprime: float, trials: int, *, alpha: float = 0.05, sides: int = 1
) -> float:
    """How often so many answers find a distance.

    Parameters
    ----------
    protocol : str
        Way of asking.
    dprime : float
        True distance [-].
    trials : int
        Answers.
    alpha, sides
        As in `discriminate`.

    Returns
    -------
    float
        Chance [-].

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    share = correct_share(protocol, dprime)
    return binomial.power(trials, PROTOCOLS[protocol].guess, share, alpha, sides)


def distance_trials_needed(
    protocol: str, dprime: float, *, alpha: float = 0.05, wanted: float = 0.8, sides: int = 1
) -> binomial.Needed | None:
    """Answers needed to find a distance so often: the first number and the stable one.

    Parameters
    ----------
    protocol, dprime, alpha, wanted, sides
        As in `distance_power` and `discriminate`.

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    share = correct_share(protocol, dprime)
    return binomial.trials_needed(
        PROTOCOLS[protocol].guess, share, alpha=alpha, wanted=wanted, sides=sides
    )
