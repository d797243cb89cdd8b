"""Bodies that start at one temperature and settle to their surroundings, cooling or warming."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ranges import Floats, Range
from stallwise.models.conduction import Relaxation, relaxation

__all__ = ["core_after_c", "core_time_s", "surface_after_c"]

_TIME = Range("time", 0.0, float("inf"), "s")
# The slowest mode alone has died down to this share of what is looked for.
_BEYOND = 2.0


def core_after_c(
    time_s: Floats,
    *,
    start_c: Floats,
    surroundings_c: Floats,
    shape_n: Floats,
    radius_m: Floats,
    conductivity_w_m_k: Floats,
    heat_capacity_j_m3_k: Floats,
    exchange_w_m2_k: Floats,
) -> Floats:
    """Middle of a body after a while.

    Parameters
    ----------
    time_s : float or array
        Time [s], not negative.
    start_c, surroundings_c : float or array
        Temperature all through at the start, and of the surroundings [°C].
    shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k
        As for `conduction.relaxation`.

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    Notes
    -----
    Within 0.001 of the whole difference of the series solutions from Fourier 0.05 on.

    References
    ----------
    [carslaw-jaeger]_, [incropera]_
    """
    _TIME.require(time_s)
    body, (time, start, outside), shape = _settle(
        (shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k),
        (time_s, start_c, surroundings_c),
    )
    middle, _ = body.ends_c(body.after(body.start(1.0), 0.0, time), 0.0)
    return (outside + (start - outside) * middle).reshape(shape)[()]


def surface_after_c(
    time_s: Floats,
    *,
    start_c: Floats,
    surroundings_c: Floats,
    shape_n: Floats,
    radius_m: Floats,
    conductivity_w_m_k: Floats,
    heat_capacity_j_m3_k: Floats,
    exchange_w_m2_k: Floats,
) -> Floats:
    """Surface of a body after a while.

    Parameters
    ----------
    time_s, start_c, surroundings_c
        As for `core_after_c`.
    shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k
        As for `conduction.relaxation`.

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    References
    ----------
    [carslaw-jaeger]_, [incropera]_
    """
    _TIME.require(time_s)
    body, (time, start, outside), shape = _settle(
        (shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k),
        (time_s, start_c, surroundings_c),
    )
    _, outer = body.ends_c(body.after(body.start(1.0), 0.0, time), 0.0)
    return (outside + (start - outside) * outer).reshape(shape)[()]


def core_time_s(
    target_c: Floats,
    *,
    start_c: Floats,
    surroundings_c: Floats,
    shape_n: Floats,
    radius_m: Floats,
    conductivity_w_m_k: Floats,
    heat_capacity_j_m3_k: Floats,
    exchange_w_m2_k: Floats,
    back_w_m2_k: Floats = 0.0,
) -> Floats:
    """Time until the slowest spot of a body reaches a temperature.

    Parameters
    ----------
    target_c : float or array
        Temperature [°C].
    start_c, surroundings_c : float or array
        Temperature all through at the start, and of the surroundings [°C].
    shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k, back_w_m2_k
        As for `conduction.relaxation`.

    Returns
    -------
    float or array
        Time [s]; ``inf`` where the target is not on the way, 0 where it is the start.

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    Notes
    -----
    The slowest spot is the middle of a body that is alike all round, and lies off the middle of a
    layer with unlike faces.

    References
    ----------
    [carslaw-jaeger]_, [incropera]_
    """
    body, (target, start, outside, _), shape = _settle(
        (shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k),
        (target_c, start_c, surroundings_c, back_w_m2_k),
        back=3,
    )
    whole = start - outside
    left = (target - outside) / np.where(whole == 0.0, 1.0, whole)
    there = (whole != 0.0) & (left > 0.0) & (left < 1.0)
    wanted = np.where(there, left, 0.5)
    horizon_s = float((_BEYOND - np.log(wanted.min())) / body.rates_per_s.min())
    time = body.time_until_below_s(body.start(1.0), 0.0, wanted, horizon_s)
    found = np.where(there, time, np.where(target == start, 0.0, np.inf))
    return found.reshape(shape)[()]


def _settle(
    body: tuple[Floats, ...], others: tuple[Floats, ...], back: int | None = None
) -> tuple[Relaxation, list[NDArray[np.float64]], tuple[int, ...]]:
    """Relaxation and other values with a member for each element, and the shape to give back."""
    whole: list[Any] = np.broadcast_arrays(*body, *others)  # type: ignore[assignment]
    flat = [np.asarray(each, dtype=np.float64).ravel() for each in whole]
    shape, made = flat[: len(body)], flat[len(body) :]
    back_w_m2_k = 0.0 if back is None else made[back]
    return relaxation(*shape, back_w_m2_k=back_w_m2_k), made, np.shape(whole[0])
