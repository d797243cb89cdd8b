"""Made-up traces of cores and pits: straight lines with rounded corners, and what may happen to them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

HOUR = 3600.0
Array = NDArray[np.float64]
Knots = Sequence[tuple[float, float]]

#: Hours and °C of a core with one stall, none, two, a low one, a high one.
ONE = [(0, 4), (0.5, 6), (3.5, 62), (4.0, 67), (8.0, 71), (11.5, 93)]
TWO = [(0, 4), (0.4, 5), (3, 58), (3.4, 60), (5, 61), (6.5, 75), (6.9, 77), (9, 78.5), (11, 93)]
LOW = [(0, 4), (0.4, 5), (3, 58), (3.2, 60), (5, 60.5), (8, 93)]
HIGH = [(0, 4), (0.4, 5), (4.5, 79), (4.8, 81), (7, 82), (8, 92)]
WRAP_DIP = [(0, 4), (0.4, 5), (4.0, 68), (4.1, 68), (4.6, 67), (6.5, 93)]


def times(end_h: float, step_s: float = 60.0) -> Array:
    """Evenly spaced times [s]."""
    return np.arange(0.0, end_h * HOUR, step_s)


def curve(time_s: Array, knots: Knots) -> Array:
    """Straight lines between knots, corners rounded over ten minutes [°C]."""
    hour, value = np.array(knots, dtype=np.float64).T
    fine = np.arange(0.0, hour[-1] * HOUR + 1.0, 30.0)
    kernel = np.hanning(21)
    wide = np.pad(np.interp(fine, hour * HOUR, value), 10, mode="edge")
    return np.interp(time_s, fine, np.convolve(wide, kernel / kernel.sum(), mode="valid"))


def nearing(time_s: Array, pit_c: float = 98.0, tau_h: float = 3.0) -> Array:
    """Dry thing that nears its pit and never stalls [°C]."""
    return pit_c - (pit_c - 4.0) * np.exp(-time_s / tau_h / HOUR)


def noisy(value_c: Array, seed: int = 1, spread_k: float = 0.3) -> Array:
    """Noise of a probe added [°C]."""
    return value_c + np.random.default_rng(seed).normal(0.0, spread_k, len(value_c))


def swinging(time_s: Array, swing_k: float = 6.0, middle_c: float = 110.0) -> Array:
    """Pit held by a thermostat [°C]."""
    return middle_c + swing_k * np.sin(2.0 * np.pi * time_s / 1500.0)


def opened(time_s: Array, pit_c: Array, at_h: Sequence[float], drop_k: float = 35.0) -> Array:
    """Lid opened for a moment [°C]: a fall, and back within minutes."""
    out = pit_c.copy()
    for hour in at_h:
        after = time_s - hour * HOUR
        out -= np.where(after >= 0.0, drop_k * np.exp(-np.maximum(after, 0.0) / 240.0), 0.0)
    return out
