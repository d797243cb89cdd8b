"""What probes say and what they leave open: stretches without a reading, and the coldest spot.

Between two readings that are close enough the temperature is held to lie between them; in a
longer silence nothing is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stallwise.tables.limits import GRID, figure

__all__ = [
    "Envelope",
    "Probe",
    "above_each",
    "at_least_each",
    "coldest",
    "default_tolerance_k",
    "is_covered",
]


@dataclass(frozen=True)
class Probe:
    """One probe's readings.

    Attributes
    ----------
    name : str
        Channel or spot, for words.
    time_s, temperature_c : array (times,)
        Readings by time [s, °C].
    tolerance_k : float or None
        By how much it may be wrong [K]; None where it was never checked.
    """

    name: str
    time_s: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    tolerance_k: float | None = None

    @property
    def less_c(self) -> NDArray[np.float64]:
        """Readings less the tolerance: what counts where food has to be hot."""
        return self.temperature_c - self.margin_k

    @property
    def more_c(self) -> NDArray[np.float64]:
        """Readings with the tolerance: what counts where food has to be cold."""
        return self.temperature_c + self.margin_k

    @property
    def margin_k(self) -> float:
        """Tolerance, that of the rule for thermometers where it was never checked [K]."""
        return default_tolerance_k() if self.tolerance_k is None else self.tolerance_k

    def between(self, from_s: float | None, to_s: float | None) -> Probe:
        """Take the readings of a stretch, its ends included."""
        inside = np.ones(len(self.time_s), dtype=bool)
        if from_s is not None:
            inside &= self.time_s >= from_s
        if to_s is not None:
            inside &= self.time_s <= to_s
        return replace(self, time_s=self.time_s[inside], temperature_c=self.temperature_c[inside])


@dataclass(frozen=True)
class Envelope:
    """The coldest spot over all times at which any probe said something.

    Attributes
    ----------
    time_s, low_c : array (times,)
        Coldest probe less its tolerance, -inf where a probe is silent [s, °C].
    known : array (times - 1,)
        Whether every probe covers the time from one point to the next.
    """

    time_s: NDArray[np.float64]
    low_c: NDArray[np.float64]
    known: NDArray[np.bool_]

    def longest_s(self, at_least_c: float) -> float | None:
        """Longest unbroken time at or above a temperature [s]; None where it was never there."""
        hot = at_least_each(self.low_c, at_least_c)
        if not hot.any():
            return None
        if len(hot) < 2:
            return 0.0
        step = np.where(self.known & hot[1:] & hot[:-1], np.diff(self.time_s), np.nan)
        held = np.nan_to_num(step)
        # Running sum that starts again at every break.
        total = np.cumsum(held)
        base = np.maximum.accumulate(np.where(np.isnan(step), total, 0.0))
        return float((total - base).max(initial=0.0))


def default_tolerance_k() -> float:
    """Accuracy that the model code asks of a food thermometer [K]: 2 °F, the wider of its two."""
    return figure("probe-food-f").si


def at_least_each(temperature_c: NDArray[np.float64], limit_c: float) -> NDArray[np.bool_]:
    """Whether temperatures have reached a limit, on the grid on which readings are kept."""
    reached: NDArray[np.bool_] = np.round(temperature_c * GRID) >= round(limit_c * GRID)
    return reached


def above_each(temperature_c: NDArray[np.float64], limit_c: float) -> NDArray[np.bool_]:
    """Whether temperatures are still above a limit, on the same grid: at the line is not above it."""
    above: NDArray[np.bool_] = np.round(temperature_c * GRID) > round(limit_c * GRID)
    return above


def is_covered(probe: Probe, from_s: float | None, to_s: float | None, gap_s: float) -> bool:
    """Whether a probe speaks all the way from one moment to another without a gap.

    Parameters
    ----------
    probe : Probe
        Its readings.
    from_s, to_s : float or None
        The stretch [s]; one whose end is not known is never covered.
    gap_s : float
        Longest silence that still counts [s].
    """
    if from_s is None or to_s is None:
        return False
    times = probe.time_s
    inside = times[(times >= from_s) & (times <= to_s)]
    if len(inside):
        # What was read before does not count: less said must never cover more.
        line = np.concatenate([[from_s], inside, [to_s]])
        return bool(np.all(np.diff(line) <= gap_s))
    before, after = times[times < from_s], times[times > to_s]
    return bool(len(before) and len(after) and after[0] - before[-1] <= gap_s)


def coldest(probes: Sequence[Probe], gap_s: float) -> Envelope:
    """Lay probes over each other: at every time the coldest less its tolerance.

    Parameters
    ----------
    probes : sequence of Probe
        Every probe counts: where one is silent, nothing is known of the coldest spot.
    gap_s : float
        Longest silence that still counts [s].
    """
    if len(probes) == 1:
        one = probes[0]
        return Envelope(one.time_s, one.less_c, np.diff(one.time_s) <= gap_s)
    times = np.unique(np.concatenate([one.time_s for one in probes])) if probes else np.empty(0)
    low = np.full(len(times), np.inf)
    known = np.ones(max(len(times) - 1, 0), dtype=bool)
    for one in probes:
        at, silent = _at(one, times, gap_s)
        low = np.minimum(low, at)
        known &= ~silent
    return Envelope(times, low, known)


def _at(
    one: Probe, times: NDArray[np.float64], gap_s: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Lower of two neighbours at each time, and whether it is silent from one time to the next."""
    if not len(one.time_s):
        return np.full(len(times), -np.inf), np.ones(max(len(times) - 1, 0), dtype=bool)
    after = np.searchsorted(one.time_s, times, side="left")
    before = np.searchsorted(one.time_s, times, side="right") - 1
    off_ends = (before < 0) | (after >= len(one.time_s))
    low_i, high_i = np.clip(before, 0, None), np.clip(after, None, len(one.time_s) - 1)
    apart = one.time_s[high_i] - one.time_s[low_i]
    dumb = off_ends | (apart > gap_s)
    low = np.minimum(one.less_c[low_i], one.less_c[high_i])
    # From one time to the next it is one and the same pair of neighbours.
    span = one.time_s[np.clip(before[:-1] + 1, 0, len(one.time_s) - 1)] - one.time_s[low_i[:-1]]
    silent = (before[:-1] < 0) | (before[:-1] + 1 >= len(one.time_s)) | (span > gap_s)
    return np.where(dumb, -np.inf, low), silent
