"""Roots of functions of one variable, all members of an array at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.ranges import Floats

__all__ = ["bracketed_root"]


def bracketed_root(
    function: Callable[[Floats], Floats],
    low: Floats,
    high: Floats,
    *,
    wanted: str = "solution",
    steps: int = 56,
) -> Floats:
    """Root between two ends by bisection, for numbers and arrays alike.

    Bisection and nothing cleverer: it cannot leave the bracket, it needs no derivative near the
    boiling point where those of humid air explode, and 56 halvings of 200 K end at rounding.

    Parameters
    ----------
    function : callable
        Continuous, of opposite sign at the two ends, broadcasting.
    low, high : float or array
        Ends of the bracket.
    wanted : str, optional
        What is looked for, in words, for the message.
    steps : int, default 56
        Halvings.

    Returns
    -------
    float or array
        Where the function is zero, to within ``(high - low) / 2**steps``.

    Raises
    ------
    OutOfRangeError
        If the function has the same sign at both ends or is not a number there.
    """
    sign_low = np.sign(function(low))
    sign_high = np.sign(function(high))
    if not np.all(sign_low * sign_high <= 0.0):
        raise OutOfRangeError(
            f"no {wanted} between {np.min(low):g} and {np.max(high):g}",
            "",
            "Look at the values that were given",
        )
    for _ in range(steps):
        middle = (low + high) / 2.0
        below = np.sign(function(middle)) == sign_low
        low = np.where(below, middle, low)
        high = np.where(below, high, middle)
    root: Floats = np.asarray((low + high) / 2.0)[()]
    return root
