"""When curves of members come below a temperature for good."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ranges import Floats

__all__ = ["last_fall_s"]


def last_fall_s(
    time_s: NDArray[np.float64], curves_c: NDArray[np.float64], target_c: Floats
) -> NDArray[np.float64]:
    """Time after which each curve stays at or below a temperature.

    Parameters
    ----------
    time_s : array (times,)
        Times, rising [s].
    curves_c : array (members, times)
        Temperatures [°C], straight lines between the times.
    target_c : float or array (members,)
        Temperature [°C].

    Returns
    -------
    array (members,)
        Time [s]; that of the first point where a curve is never above, ``inf`` where it is above
        at the end.
    """
    target = np.broadcast_to(np.asarray(target_c, dtype=np.float64), (len(curves_c),))
    above = curves_c > target[:, None]
    last = above.shape[1] - 1 - np.argmax(above[:, ::-1], axis=1)
    at = np.minimum(last, above.shape[1] - 2)
    members = np.arange(len(at))
    high, low = curves_c[members, at], curves_c[members, at + 1]
    part = (high - target) / np.where(high > low, high - low, 1.0)
    crossed = time_s[at] + part * (time_s[at + 1] - time_s[at])
    fell: NDArray[np.float64] = np.where(above.any(axis=1), crossed, time_s[0])
    return np.where(above[:, -1], np.inf, fell)
