"""Rest and hold: a piece from the moment it has its finish, as the time march carries it on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ranges import Floats
from stallwise.models.crossing import last_fall_s

__all__ = ["Held"]


@dataclass(frozen=True)
class Held:
    """A piece at rest and in its hold, a member each.

    A day on which it is never finished has nan throughout.

    Attributes
    ----------
    time_s : array (points,)
        Time since its finish, when it comes off [s].
    core_c : array (members, points)
        What a probe meant for the core reads [°C].
    past_it : array (members, points) or None
        Tenderness over that of the wanted finish, 1 when it comes off; None for a finish by
        temperature.
    """

    time_s: NDArray[np.float64]
    core_c: NDArray[np.float64]
    past_it: NDArray[np.float64] | None

    def peak_c(self) -> NDArray[np.float64]:
        """Highest core of each member [°C]: the carry-over is its rise above the first."""
        highest: NDArray[np.float64] = self.core_c.max(axis=1)
        return highest

    def core_below_s(self, target_c: Floats) -> NDArray[np.float64]:
        """When the core has fallen to a temperature for good.

        Parameters
        ----------
        target_c : float or array (members,)
            Temperature [°C].

        Returns
        -------
        array (members,)
            Time since its finish [s]; 0 where it is colder throughout, ``inf`` where it is hotter
            at the end, or never finished.
        """
        fell = last_fall_s(self.time_s, self.core_c, target_c)
        return np.where(np.isnan(self.core_c[:, 0]), np.inf, fell)

    def core_at_c(self, since_s: Floats) -> NDArray[np.float64]:
        """Core so long after its finish [°C]; of the last moment looked at where that is earlier.

        Parameters
        ----------
        since_s : float or array (members,)
            Time since the finish [s], not negative.

        Returns
        -------
        array (members,)
        """
        return self._at(self.core_c, since_s)

    def past_it_at(self, since_s: Floats) -> NDArray[np.float64] | None:
        """Tenderness over that of the wanted finish so long after it; see `core_at_c`."""
        return None if self.past_it is None else self._at(self.past_it, since_s)

    def _at(self, curves: NDArray[np.float64], since_s: Floats) -> NDArray[np.float64]:
        since = np.broadcast_to(np.asarray(since_s, dtype=np.float64), (len(curves),))
        since = np.clip(np.where(np.isfinite(since), since, 0.0), 0.0, self.time_s[-1])
        after = np.clip(np.searchsorted(self.time_s, since), 1, len(self.time_s) - 1)
        begin, end = self.time_s[after - 1], self.time_s[after]
        members = np.arange(len(curves))
        low, high = curves[members, after - 1], curves[members, after]
        found: NDArray[np.float64] = low + (since - begin) / (end - begin) * (high - low)
        return found
