"""What a probe reads: the temperature where its tip sits, seldom just at the coldest spot."""

from __future__ import annotations

import numpy as np

from stallwise.ground.ranges import Floats, Range

__all__ = ["reading_c"]

_SHARE = Range("place of a probe", 0.0, 1.0, "of the way from the core to the surface")


def reading_c(core_c: Floats, mid_c: Floats, surface_c: Floats, share: Floats) -> Floats:
    """Temperature at a probe's tip.

    Parameters
    ----------
    core_c, mid_c, surface_c : float or array
        In the middle, half way out, and at the surface [°C].
    share : float or array
        Way of the tip from the middle to the surface, over the whole way [-], 0 to 1.

    Returns
    -------
    float or array
        Temperature [°C], never colder than the middle of meat that is being heated.

    Raises
    ------
    OutOfRangeError
        If the tip lies outside the meat.

    Notes
    -----
    The even polynomial of fourth degree through the three temperatures: heat comes in from both
    sides, so the slope in the middle is nil.
    """
    _SHARE.require(share)
    half, whole = np.subtract(mid_c, core_c), np.subtract(surface_c, core_c)
    square = np.square(share)
    bend = (16.0 * half - whole) / 3.0
    above = square * (bend + square * (whole - bend))
    # early, with a hot skin round cold meat, the polynomial would dip below the middle
    heated = np.minimum(half, whole) >= 0.0
    tip: Floats = core_c + np.where(heated, np.maximum(above, 0.0), above)
    return tip
