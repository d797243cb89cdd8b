"""Widening learned from past misses: by how much windows must grow to hold as often as they say.

A miss is measured on the logarithm of the time left from the as-of to tender, in half widths of
the window that was given: 1 is its end. The factor is a conformal quantile of these: if the
cooks to come are like those that were, windows drawn out so hold at least as often as asked,
whatever the forecast's own shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Range

__all__ = ["Widening", "conformal_quantile", "miss_widths", "widen", "widen_stages", "widening"]

Floats = NDArray[np.float64]

_LEVEL = Range("level", 0.0, 1.0)
_FACTOR = Range("widening factor", 1.0, 10.0)
#: Sums of weights may be off by rounding.
_EQUAL = 1e-9


@dataclass(frozen=True)
class Widening:
    """What past misses ask of the windows.

    Attributes
    ----------
    factor : float
        To apply; 1 changes nothing.
    asked : float or None
        Factor before it was limited; below 1 the windows were wider than need be, infinite if no
        factor is enough. None with no cook at all.
    cooks : int
        How many stand behind it.
    enough : bool
        There are as many cooks as it takes; else the factor is 1.
    """

    factor: float = 1.0
    asked: float | None = None
    cooks: int = 0
    enough: bool = False


def conformal_quantile(
    scores: ArrayLike, level: float, weights: ArrayLike | None = None, *, new_weight: float = 1.0
) -> float:
    """Smallest score that the next one does not exceed with the chance asked for.

    The least s with weight up to s >= level (total + new weight): the one to come stands beyond all
    others until it is seen. With equal weights it is the ceil(level (n + 1))-th of n scores.

    Parameters
    ----------
    scores : array
        Past scores, in any order; may be infinite.
    level : float
        Chance [-], 0 to 1.
    weights : array, optional
        Of each score, not negative; 1 each by default.
    new_weight : float
        Weight of the one to come.

    Returns
    -------
    float
        One of the scores, or infinity where they are too few.

    Raises
    ------
    InputError
        If weights and scores are not of one length, or a weight is negative.

    References
    ----------
    [lei-2018]_, [vovk-2005]_, [tibshirani-2019]_

    Examples
    --------
    >>> conformal_quantile([0.2, 0.5, 0.9, 1.4], 0.8)
    1.4
    >>> conformal_quantile([0.2, 0.5, 0.9], 0.8)
    inf
    """
    _LEVEL.require(level)
    given = np.asarray(scores, dtype=np.float64).ravel()
    weight = np.ones(len(given)) if weights is None else np.asarray(weights, dtype=np.float64)
    if weight.shape != given.shape or np.any(weight < 0.0) or np.any(np.isnan(given)):
        raise InputError(
            f"{weight.size} weights for {given.size} scores", "one weight, not negative, for each"
        )
    order = np.argsort(given, kind="stable")
    reached = np.cumsum(weight[order])
    needed = level * (weight.sum() + new_weight) * (1.0 - _EQUAL)
    at = int(np.searchsorted(reached, needed))
    return float(given[order][at]) if at < len(given) else float("inf")


def miss_widths(
    outcome: ArrayLike, window: tuple[float, float, float], as_of: float = 0.0
) -> Floats:
    """How far outcomes lie from the middle, in half widths of the window on their side.

    On the logarithm of the time since `as_of`: late outcomes against the late end, early ones
    against the early end. A window drawn out by a factor holds those with up to that many.

    Parameters
    ----------
    outcome : float or array
        When it happened.
    window : (float, float, float)
        Early end, middle, late end, in the same unit; a late end may be infinite.
    as_of : float
        Moment of the forecast; before meat on it counts as meat on, 0.

    Returns
    -------
    array
        Half widths [-], not negative; infinite for an outcome before `as_of`, or beside a window
        without width.

    Raises
    ------
    InputError
        If the window is not in order.
    """
    early, middle, late = window
    if not early <= middle <= late or not np.isfinite(middle):
        raise InputError(f"a window {early:g}, {middle:g}, {late:g}", "early, middle, late")
    start = max(as_of, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.log(np.maximum(np.asarray(outcome, dtype=np.float64) - start, 0.0))
        at, low, high = (np.log(max(end - start, 0.0)) for end in (middle, early, late))
        beyond = left - at
        width = np.where(beyond > 0.0, high - at, at - low)
        widths = np.abs(beyond) / width
    return np.where(beyond == 0.0, 0.0, np.where(np.isnan(widths), np.inf, widths))


def widening(misses: Sequence[ArrayLike], *, level: float, least: int, widest: float) -> Widening:
    """Learn from the misses of past cooks by how much windows must be drawn out.

    Each cook counts once, shared out equally among its misses, for those of one day go together.

    Parameters
    ----------
    misses : sequence of array
        For each cook its misses in half widths, from `miss_widths`.
    level : float
        Share of outcomes that the windows claim to hold [-].
    least : int
        Fewer cooks than this teach nothing.
    widest : float
        Largest factor.

    Returns
    -------
    Widening
        Factor from 1 to `widest`: windows are drawn out, never drawn in.

    Notes
    -----
    With one miss a cook the level is kept for any cook to come that is exchangeable with those
    before, until the limit is met. With several, mostly alike within a cook, it is kept on average
    over a cook's forecasts, nearly so for few cooks.

    References
    ----------
    [lei-2018]_, [romano-2019]_, [dunn-2023]_
    """
    cooks = [np.asarray(each, dtype=np.float64).ravel() for each in misses]
    cooks = [each for each in cooks if len(each)]
    if not cooks:
        return Widening()
    scores = np.concatenate(cooks)
    weights = np.concatenate([np.full(len(each), 1.0 / len(each)) for each in cooks])
    return widening_of_shares(scores, weights, len(cooks), level=level, least=least, widest=widest)


def widening_of_shares(
    scores: ArrayLike,
    weights: ArrayLike,
    cooks: int,
    *,
    level: float,
    least: int,
    widest: float,
) -> Widening:
    """Learn as `widening` does, from the misses of all cooks in one row.

    Parameters
    ----------
    scores, weights : array
        Misses in half widths, and each one's share of its cook.
    cooks : int
        How many they are of.
    level, least, widest
        As for `widening`.
    """
    if not cooks:
        return Widening()
    asked = conformal_quantile(scores, level, weights)
    enough = cooks >= least
    factor = min(max(asked, 1.0), widest) if enough else 1.0
    return Widening(factor, asked, cooks, enough)


def widen(
    times: ArrayLike, as_of: float, factor: float, weights: ArrayLike | None = None
) -> Floats:
    """Draw a forecast's times out around their median, on the logarithm of the time left.

    Parameters
    ----------
    times : array
        Members' times since meat on [s], or quantiles; infinite where one does not arrive.
    as_of : float
        Moment of the forecast [s], in the same unit; before meat on it counts as meat on, 0.
    factor : float
        From 1 on.
    weights : array, optional
        Of each member; equal by default.

    Returns
    -------
    array
        Times in the order given: the median stays, and so do times up to `as_of`.

    Raises
    ------
    OutOfRangeError
        If the factor is below 1 or beyond reason.

    Examples
    --------
    >>> widen([4.0, 8.0, 16.0], as_of=0.0, factor=2.0).tolist()
    [2.0, 8.0, 32.0]
    """
    _FACTOR.require(factor)
    given = np.asarray(times, dtype=np.float64)
    weight = None if weights is None else np.asarray(weights, dtype=np.float64)
    start = max(as_of, 0.0)
    middle = float(quantiles(given, (0.5,), weight)[0])
    if factor == 1.0 or not np.isfinite(middle) or middle <= start:
        return given.copy()
    left = middle - start
    drawn = start + left * (np.maximum(given - start, 0.0) / left) ** factor
    return np.where(given > start, drawn, given)


def widen_stages(
    stages: Mapping[str, Floats], as_of: float, factor: float, weights: ArrayLike | None = None
) -> dict[str, Floats]:
    """Draw out the finish of a piece, and with it what else is still to come on each day.

    A day whose finish is moved goes faster or slower from `as_of` on, as a whole: bark and stall
    keep their share of the time left, and the rest is as long as it was. A wrap is put on by the
    clock and stays where it is; a day that is finished sooner than that has none.

    Parameters
    ----------
    stages : mapping of stage to array (members,)
        As `forecast.PieceForecast.stages`: seconds since meat on, infinite where not reached.
    as_of : float
        Moment of the forecast [s]; before meat on it counts as meat on, 0.
    factor : float
        From 1 on; 1 gives the very same times.
    weights : array, optional
        Of each member; equal by default.

    Returns
    -------
    dict of stage to array
        In the order given.

    Raises
    ------
    OutOfRangeError
        If the factor is below 1 or beyond reason.
    """
    start = max(as_of, 0.0)
    was = stages["tender"]
    now = widen(was, as_of, factor, weights)
    if np.array_equal(was, now):
        return dict(stages)
    with np.errstate(divide="ignore", invalid="ignore"):
        pace = (now - start) / (was - start)
    pace = np.where(np.isfinite(pace) & (was > start), pace, 1.0)
    found = {}
    for name, times in stages.items():
        if name == "tender":
            found[name] = now
        elif name == "rested":
            found[name] = now + _gap(times, was)
        elif name == "wrapped":
            found[name] = np.where((times > now) & (times > start), np.inf, times)
        else:
            found[name] = np.where(times > start, start + (times - start) * pace, times)
    return found


def _gap(later: Floats, sooner: Floats) -> Floats:
    """Time between, 0 where neither is reached."""
    reached = np.isfinite(sooner)
    return np.where(reached, later - np.where(reached, sooner, 0.0), 0.0)
