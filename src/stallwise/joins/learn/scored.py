"""A forecast with what became of it, and the figures over many: plain data."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LEVELS", "Figures", "Scored"]

#: Central windows whose share of outcomes is told.
LEVELS = (0.5, 0.8, 0.9)


@dataclass(frozen=True)
class Scored:
    """A forecast with what became of it.

    Attributes
    ----------
    cook : str
        Name of its folder.
    as_of_h : float
        Moment of the forecast [h since meat on]; negative before.
    elapsed_share : float
        The same as a share of the time that it took [-].
    window_h : (float, float, float)
        Early end, middle and late end of its window [h].
    inside : tuple of float
        Share of the outcome inside the window, for each of `LEVELS` [-].
    late_h : tuple of float
        Outcome less middle [h], at moments that are equally likely; empty where only one end of the
        outcome was seen.
    crps_h : float or None
        Score [h]; None where only one end was seen, or not all its quantiles were reached.
    misses : tuple of float
        In half widths of the window before any widening [-].
    """

    cook: str
    as_of_h: float
    elapsed_share: float
    window_h: tuple[float, float, float]
    inside: tuple[float, ...]
    late_h: tuple[float, ...]
    crps_h: float | None
    misses: tuple[float, ...]


@dataclass(frozen=True)
class Figures:
    """How often and by how much; each cook counts once. None where there is nothing to tell.

    Attributes
    ----------
    forecasts, cooks : int
        How many stand behind it.
    coverage50, coverage80, coverage90 : float or None
        Share of outcomes inside the windows [-].
    median_abs_error_h, median_late_h : float or None
        Between middle and outcome [h]; late is positive where it came later than the middle.
    median_width80_h : float or None
        Width of the windows of four days in five [h].
    crps_h : float or None
        Mean score from the quantiles [h], the smaller the better.
    """

    forecasts: int = 0
    cooks: int = 0
    coverage50: float | None = None
    coverage80: float | None = None
    coverage90: float | None = None
    median_abs_error_h: float | None = None
    median_late_h: float | None = None
    median_width80_h: float | None = None
    crps_h: float | None = None
