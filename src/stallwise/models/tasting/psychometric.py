"""From how far apart two arms taste (d') to how often an answer is right, and back.

d' is the distance of two bites in units of how much one and the same bite varies to a taster. It
means the same whatever is asked; the share of right answers does not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError, NotFoundError

__all__ = ["PROTOCOLS", "Protocol", "correct_share", "distance", "normal_cdf", "slope"]

Floats = NDArray[np.float64]

#: Two bites so far apart are never mixed up.
_FARTHEST = 12.0
_STEP = 1e-4
_NODES = 200


@dataclass(frozen=True)
class Protocol:
    """One way of asking.

    Attributes
    ----------
    guess : float
        Chance that a guess is right [-].
    share : callable
        Share of right answers at a distance d' of 0 or more.
    source : str
        Citation key.
    """

    guess: float
    share: Callable[[float], float]
    source: str


def correct_share(protocol: str, dprime: float) -> float:
    """Share of right answers at a distance.

    Parameters
    ----------
    protocol : str
        A key of `PROTOCOLS`.
    dprime : float
        Distance of the two arms [-]; the sign does not count.

    Returns
    -------
    float
        Share [-], from the guess to 1.

    Raises
    ------
    NotFoundError
        No such way of asking.

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    return _protocol(protocol).share(abs(dprime))


def distance(protocol: str, share: float) -> float:
    """Distance d' at which an answer is right so often.

    Parameters
    ----------
    protocol : str
        A key of `PROTOCOLS`.
    share : float
        Share of right answers [-]; below the guess it is taken for the guess.

    Returns
    -------
    float
        Distance [-]; infinite for a share of 1.

    References
    ----------
    [christensen-2020]_, [sensr-tests]_
    """
    one = _protocol(protocol)
    if not 0.0 <= share <= 1.0:
        raise InputError(f"a share of {share:g}", "0 to 1")
    if share <= one.guess:
        return 0.0
    # A Gauss rule ends a hair above or below all right.
    if share >= min(1.0, one.share(_FARTHEST)) - 1e-9:
        return math.inf
    from scipy.optimize import brentq

    return float(brentq(lambda d: one.share(d) - share, 0.0, _FARTHEST, xtol=1e-10))


def slope(protocol: str, dprime: float) -> float:
    """By how much the share of right answers grows with the distance, at a distance [-]."""
    low = max(abs(dprime) - _STEP, 0.0)
    high = abs(dprime) + _STEP
    share = _protocol(protocol).share
    return (share(high) - share(low)) / (high - low)


def _protocol(name: str) -> Protocol:
    if name not in PROTOCOLS:
        raise NotFoundError("way of asking", name, PROTOCOLS)
    return PROTOCOLS[name]


def normal_cdf(z: float) -> float:
    """Chance that a standard normal number is at most z [-]."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


@cache
def _line(low: float, high: float) -> tuple[Floats, Floats]:
    """Nodes of a Gauss rule and their weights times the normal density."""
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    z = 0.5 * (high - low) * nodes + 0.5 * (high + low)
    density = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return z, 0.5 * (high - low) * weights * density


def _cdf(z: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(z), dtype=np.float64)


def _pair(d: float) -> float:
    return normal_cdf(d / math.sqrt(2.0))


def _duo_trio(d: float) -> float:
    a, b = normal_cdf(d / math.sqrt(2.0)), normal_cdf(d / math.sqrt(6.0))
    return 1.0 - a - b + 2.0 * a * b


def _most_of_three(d: float) -> float:
    z, weight = _line(-9.0, 9.0)
    # The stronger bite at z + d beats two others.
    return float(np.sum(weight * _cdf(z + d) ** 2))


def _triangle(d: float) -> float:
    z, weight = _line(0.0, 9.0)
    far = d * math.sqrt(2.0 / 3.0)
    ends = _cdf(-z * math.sqrt(3.0) + far) + _cdf(-z * math.sqrt(3.0) - far)
    return float(2.0 * np.sum(weight * ends))


def _tetrad(d: float) -> float:
    z, weight = _line(-9.0, 9.0)
    apart = _cdf(z - d)
    return float(1.0 - 2.0 * np.sum(weight * (2.0 * _cdf(z) * apart - apart**2)))


#: Ways of asking by name.
PROTOCOLS: Mapping[str, Protocol] = {
    "pair": Protocol(1 / 2, _pair, "christensen-2020"),
    "most of three": Protocol(1 / 3, _most_of_three, "christensen-2020"),
    "odd one out": Protocol(1 / 3, _triangle, "christensen-2020"),
    "match the first": Protocol(1 / 2, _duo_trio, "christensen-2020"),
    "two pairs": Protocol(1 / 3, _tetrad, "sensr-tests"),
}
