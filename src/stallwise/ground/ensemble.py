"""Ensembles: seeded draws in named streams, and quantiles where some members never arrive."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Floats, Range

__all__ = [
    "lognormal_factor",
    "normals",
    "quantiles",
    "share_reached",
    "stream",
]

_PROBABILITY = Range("probability", 0.0, 1.0)
_KEY_BYTES = 16


def stream(seed: int, *names: str) -> np.random.Generator:
    """Random numbers that belong to one thing and to nothing else.

    Two streams with different names are independent, whoever draws first and however much; the
    same seed and names give the same numbers in every session and on every machine. So a piece
    that is added or renamed leaves the draws of all others where they were.

    Parameters
    ----------
    seed : int
        Seed of the whole ensemble.
    *names : str
        What the numbers are for, for example ``"piece A", "thickness"``.

    Returns
    -------
    numpy.random.Generator
        A fresh generator at the start of the stream.

    Raises
    ------
    InputError
        If the seed is not a whole number, or there is no name.
    """
    if isinstance(seed, bool) or not isinstance(seed, (int, np.integer)):
        raise InputError(f"the seed {seed!r}", "a whole number")
    if not names:
        raise InputError("a stream without a name", "at least one name")
    key = hashlib.blake2b(digest_size=_KEY_BYTES, person=b"stallwise")
    # Each part carries its length: ("ab", "c") and ("a", "bc") are two streams.
    for part in (str(seed), *names):
        data = part.encode("utf-8")
        key.update(len(data).to_bytes(8, "little") + data)
    words = np.frombuffer(key.digest(), dtype="<u8").astype(np.uint64)
    return np.random.Generator(np.random.Philox(key=words))


def normals(seed: int, members: int, *names: str) -> NDArray[np.float64]:
    """Draw from the normal distribution with mean 0 and standard deviation 1.

    Parameters
    ----------
    seed : int
        Seed of the whole ensemble.
    members : int
        How many; the first ones stay the same when more are asked for.
    *names : str
        Name of the `stream`.

    Returns
    -------
    array
        One draw for each member.
    """
    return stream(seed, *names).standard_normal(_members(members))


def lognormal_factor(log_sd: Floats, standard_normals: Floats) -> Floats:
    """Turn normal draws into factors round 1: exp(log_sd z).

    Parameters
    ----------
    log_sd : float or array
        Standard deviation of the logarithm [-]; 0.25 means two in three within a quarter.
    standard_normals : float or array
        Draws with mean 0 and standard deviation 1.

    Returns
    -------
    float or array
        Factors [-], median 1.
    """
    return np.exp(np.multiply(log_sd, standard_normals))


def share_reached(
    values: NDArray[np.float64], weights: NDArray[np.float64] | None = None
) -> Floats:
    """Share of the members that arrive at all.

    Parameters
    ----------
    values : array
        Members on the first axis; ``inf`` for one that does not arrive within the horizon.
    weights : array, optional
        Weight of each member [-], not negative; equal when not given.

    Returns
    -------
    float or array
        Share [-], 0 to 1, one for each of the other axes.
    """
    given, weight = _weighted(values, weights)
    finite = np.isfinite(given)
    share: Floats = np.tensordot(weight, finite, axes=(0, 0))[()]
    return np.minimum(share, 1.0)


def quantiles(
    values: NDArray[np.float64],
    probabilities: Sequence[float],
    weights: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """Quantiles over the members, infinite where too few arrive.

    Parameters
    ----------
    values : array
        Members on the first axis; ``inf`` for one that does not arrive within the horizon.
    probabilities : sequence of float
        Probabilities [-], 0 to 1.
    weights : array, optional
        Weight of each member [-], not negative; equal when not given.

    Returns
    -------
    array
        The probabilities on the first axis, then the other axes of `values`. A quantile beyond
        `share_reached` is ``inf``.

    Raises
    ------
    InputError
        If there is no member, a value is not a number, or weights are negative or all zero.
    OutOfRangeError
        If a probability is not 0 to 1.

    Notes
    -----
    Each member stands in the middle of its weight, straight lines between, as Hazen did; with
    equal weights it is numpy's method ``"hazen"``. No line is drawn from a member that arrives to
    one that does not.
    """
    _PROBABILITY.require(np.asarray(probabilities))
    given, weight = _weighted(values, weights)
    order = np.argsort(given, axis=0, kind="stable")
    ranked = np.take_along_axis(given, order, axis=0)
    # The end of each member's stretch of probability, and the middle where it stands.
    ends = np.cumsum(weight[order], axis=0)
    middles = ends - weight[order] / 2.0
    reached = np.sum(np.where(np.isfinite(ranked), weight[order], 0.0), axis=0)
    wanted = np.reshape(np.asarray(probabilities, dtype=np.float64), (-1, *[1] * (given.ndim - 1)))
    return _quantiles(ranked, middles, reached, wanted)


def _quantiles(
    ranked: NDArray[np.float64],
    middles: NDArray[np.float64],
    reached: NDArray[np.float64],
    wanted: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Read all that are wanted at once: what a cook sees is made of hundreds of them."""
    last = len(ranked) - 1
    upper = np.sum(middles[None] < wanted[:, None], axis=1)
    high, low = np.minimum(upper, last), np.maximum(upper - 1, 0)
    value_low, value_high = (np.take_along_axis(ranked, at, axis=0) for at in (low, high))
    from_low, to_high = (np.take_along_axis(middles, at, axis=0) for at in (low, high))
    gap = to_high - from_low
    with np.errstate(invalid="ignore"):
        part = np.where(gap > 0.0, (wanted - from_low) / np.where(gap > 0, gap, 1.0), 0.0)
        line = value_low + np.clip(part, 0.0, 1.0) * (value_high - value_low)
    # Rounding in the sum of weights must not push the last arrival out.
    arrives = wanted <= reached * (1.0 + 1e-12)
    open_end = np.where(arrives, value_low, np.inf)
    result: NDArray[np.float64] = np.where(np.isfinite(value_high), line, open_end)
    return result


def _weighted(
    values: NDArray[np.float64], weights: NDArray[np.float64] | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    given = np.asarray(values, dtype=np.float64)
    if given.ndim == 0 or len(given) == 0:
        raise InputError("no members", "at least one")
    if np.any(np.isnan(given)) or np.any(np.isneginf(given)):
        raise InputError("a member that is not a number", "numbers, or infinity for not reached")
    weight = np.ones(len(given)) if weights is None else np.asarray(weights, dtype=np.float64)
    if weight.shape != given.shape[:1]:
        raise InputError(f"{weight.shape} weights for {len(given)} members", "one for each member")
    if not np.all(weight >= 0.0) or not 0.0 < np.sum(weight) < np.inf:
        raise InputError("weights that are negative or all zero", "not negative, some above zero")
    kept = weight > 0.0
    return given[kept], weight[kept] / np.sum(weight)


def _members(members: int) -> int:
    if members < 1:
        raise InputError(f"{members} members", "at least one")
    return members
