"""A probe in ice water and in boiling water: how far it is off, and what that allows."""

from __future__ import annotations

from collections.abc import Sequence

from stallwise.models.limitcurve import default_tolerance_k
from stallwise.models.standing import Standing, State
from stallwise.tables.humid_air import boiling_point_c, pressure_at_elevation_pa
from stallwise.tables.limits import at_least, figure

__all__ = ["boiling_at_c", "probe_check", "probe_tolerance_k"]


def probe_check(
    read_c: float, bath: str, elevation_m: float | None = None, *, allowed_k: float | None = None
) -> Standing:
    """How far a probe is off in ice water or at a rolling boil, against what the code asks.

    Parameters
    ----------
    read_c : float
        What it read [°C].
    bath : {"ice", "boiling"}
        In what.
    elevation_m : float, optional
        For boiling water [m].
    allowed_k : float, optional
        Accuracy that is asked [K]; that of a food thermometer by default.

    References
    ----------
    [fda-food-code]_, [extension-thermometer]_
    """
    if bath == "boiling" and elevation_m is None:
        return Standing("unknown", ("elevation",))
    true_c = figure("ice-point").si if bath == "ice" else boiling_at_c(float(elevation_m or 0.0))
    off_k = read_c - true_c
    most_k = default_tolerance_k() if allowed_k is None else allowed_k
    state: State = "met" if at_least(most_k, abs(off_k)) else "missed"
    return Standing(state, (), {"off_k": off_k, "true_c": true_c})


def probe_tolerance_k(off_k: Sequence[float]) -> float | None:
    """By how much a probe may be wrong after its checks [K]; None without any.

    Parameters
    ----------
    off_k : sequence of float
        What it was off in ice or boiling water [K]. The code's own accuracy is the least.
    """
    return max(default_tolerance_k(), *map(abs, off_k)) if off_k else None


def boiling_at_c(elevation_m: float) -> float:
    """Temperature of boiling water at an elevation in the standard atmosphere [°C].

    Parameters
    ----------
    elevation_m : float
        Above the sea [m]. The weather moves it a little.

    References
    ----------
    [isa-1976]_, [extension-thermometer]_
    """
    return float(boiling_point_c(pressure_at_elevation_pa(elevation_m)))
