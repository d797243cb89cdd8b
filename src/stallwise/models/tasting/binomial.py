"""Right answers out of so many, against what guessing gives: exact tails, intervals, numbers needed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Range

__all__ = [
    "Needed",
    "least_correct",
    "most_correct",
    "power",
    "share_interval",
    "similar_p",
    "similar_power",
    "similar_trials_needed",
    "smallest_share",
    "tail",
    "trials_needed",
]

_SHARE = Range("share of right answers", 0.0, 1.0)
#: Rounding of a tail that is a whole number of 2**-n.
_ROUNDING = 1e-12
#: Beyond this no table at home is set.
_MOST_TRIALS = 3000


@dataclass(frozen=True)
class Needed:
    """Answers needed: the first number that does, and the one from which on all do."""

    first: int
    stable: int


def tail(correct: int, trials: int, share: float) -> float:
    """Chance of at least so many right answers.

    Parameters
    ----------
    correct : int
        Right answers; 0 or fewer is certain.
    trials : int
        Answers in all.
    share : float
        Chance that one answer is right [-], 0 to 1.

    Returns
    -------
    float
        Chance [-].

    Raises
    ------
    OutOfRangeError
        The share is no chance.

    References
    ----------
    [christensen-2020]_
    """
    from scipy.special import betainc

    _SHARE.require(share)
    if correct <= 0:
        return 1.0
    if correct > trials:
        return 0.0
    return float(betainc(correct, trials - correct + 1, share))


def least_correct(trials: int, guess: float, alpha: float, sides: int = 1) -> int | None:
    """Smallest number of right answers that guessing reaches at most `alpha` of the time.

    Parameters
    ----------
    trials : int
        Answers in all.
    guess : float
        Chance that a guess is right [-].
    alpha : float
        How often guessing may be taken for a difference [-].
    sides : {1, 2}
        2 where either arm may win; `guess` is one half then.

    Returns
    -------
    int or None
        None: not even all right would do.

    References
    ----------
    [huss-1995]_, [iso-5495]_, [iso-10399]_
    """
    # From the middle up: fewer than guessing brings are never enough.
    for correct in range(math.floor(trials * guess), trials + 1):
        if sides * tail(correct, trials, guess) <= alpha + _ROUNDING:
            return correct
    return None


def share_interval(correct: int, trials: int, level: float) -> tuple[float, float]:
    """Shares of right answers that still fit, by the exact (Clopper and Pearson) interval.

    Parameters
    ----------
    correct, trials : int
        Right answers, answers in all (1 or more).
    level : float
        Share of such intervals that hold the true share at least [-].

    Returns
    -------
    tuple of float
        Lower and upper end [-].

    References
    ----------
    [christensen-2020]_
    """
    from scipy.special import betaincinv

    rest = (1.0 - level) / 2.0
    low = 0.0 if correct == 0 else betaincinv(correct, trials - correct + 1, rest)
    high = 1.0 if correct == trials else betaincinv(correct + 1, trials - correct, 1.0 - rest)
    return float(low), float(high)


def power(trials: int, guess: float, share: float, alpha: float, sides: int = 1) -> float:
    """How often a true share of right answers is told from guessing.

    Parameters
    ----------
    trials, guess, alpha, sides
        As in `least_correct`.
    share : float
        True chance that an answer is right [-].

    Returns
    -------
    float
        Chance [-]; 0 where no answer could do.

    References
    ----------
    [christensen-2020]_
    """
    least = least_correct(trials, guess, alpha, sides)
    if least is None:
        return 0.0
    found = tail(least, trials, share)
    return found + tail(least, trials, 1.0 - share) if sides == 2 else found


def trials_needed(
    guess: float, share: float, *, alpha: float, wanted: float, sides: int = 1
) -> Needed | None:
    """Answers needed to find a true share so often: the first number, and the stable one.

    Power goes up and down like a saw, for whole answers only come. From the stable number on it
    stays above what is wanted.

    Parameters
    ----------
    guess, share, alpha, sides
        As in `power`.
    wanted : float
        How often it is to be found [-].

    Returns
    -------
    Needed or None
        None beyond 3000.

    References
    ----------
    [christensen-2020]_
    """
    first, last_below = 0, 0
    for trials, found in _powers(guess, share, alpha, sides):
        if found >= wanted:
            first = first or trials
            # The teeth are shorter than a third of the way: nothing falls below after that.
            if trials > last_below * 1.3 + 30:
                return Needed(first, last_below + 1)
        else:
            last_below = trials
    return None


def _powers(guess: float, share: float, alpha: float, sides: int) -> Iterator[tuple[int, float]]:
    least = 1
    for trials in range(1, _MOST_TRIALS + 1):
        # One more answer asks for the same number of right ones, or one more.
        while least <= trials and sides * tail(least, trials, guess) > alpha + _ROUNDING:
            least += 1
        found = tail(least, trials, share)
        yield trials, found + tail(least, trials, 1.0 - share) if sides == 2 else found


def smallest_share(
    trials: int, guess: float, *, alpha: float, wanted: float, sides: int = 1
) -> float | None:
    """Smallest true share of right answers that so many answers would find so often.

    Parameters
    ----------
    trials, guess, alpha, sides, wanted
        As in `trials_needed`.

    Returns
    -------
    float or None
        Share [-]; None where no answer could do. The far side of two is left out; it adds less
        than a thousandth.
    """
    from scipy.special import betaincinv

    least = least_correct(trials, guess, alpha, sides)
    if least is None:
        return None
    return float(betaincinv(least, trials - least + 1, wanted))


def most_correct(trials: int, share: float, alpha: float) -> int | None:
    """Largest number of right answers that speaks for a share below `share`.

    Parameters
    ----------
    trials : int
        Answers in all.
    share : float
        Share of right answers that would be too many [-].
    alpha : float
        How often a share as large as that may pass [-].

    Returns
    -------
    int or None
        None: so few answers cannot show it.

    References
    ----------
    [iso-5495]_, [christensen-2020]_
    """
    if alpha <= 0.0:
        raise InputError(f"a chance of {alpha:g}", "more than 0")
    best = None
    for correct in range(trials + 1):
        if similar_p(correct, trials, share) > alpha + _ROUNDING:
            break
        best = correct
    return best


def similar_p(correct: int, trials: int, share: float) -> float:
    """How often a share as large as that gives so few right answers, or fewer.

    Parameters
    ----------
    correct, trials : int
        Right answers, answers in all.
    share : float
        Share of right answers that would be too many [-].

    Returns
    -------
    float
        Chance [-]; small speaks for "as good as".
    """
    return 1.0 - tail(correct + 1, trials, share)


def similar_power(trials: int, true: float, share: float, alpha: float) -> float:
    """How often so many answers show that a share is below `share` when it is `true`.

    Parameters
    ----------
    trials : int
    true : float
        Share of right answers there really is [-].
    share, alpha
        As in `most_correct`.

    Returns
    -------
    float
        Chance [-].

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    most = most_correct(trials, share, alpha)
    return 0.0 if most is None else similar_p(most, trials, true)


def similar_trials_needed(true: float, share: float, *, alpha: float, wanted: float) -> int | None:
    """Answers needed to show that a share is below `share` when it is `true`; None beyond 3000.

    Parameters
    ----------
    true, share, alpha
        As in `similar_power`.
    wanted : float
        How often it is to be shown [-].
    """
    most = -1
    for trials in range(1, _MOST_TRIALS + 1):
        # One more answer allows the same number of right ones, or one more.
        while similar_p(most + 1, trials, share) <= alpha + _ROUNDING:
            most += 1
        if most >= 0 and similar_p(most, trials, true) >= wanted:
            return trials
    return None
