"""Pans and pots: how deep a share of food lies, and the body that stands in for a full pot."""

from __future__ import annotations

import numpy as np

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Floats, Range
from stallwise.ground.roots import bracketed_root
from stallwise.models.body import EquivalentBody, first_eigenvalue
from stallwise.models.settling import core_time_s

__all__ = ["layer_for_time_m", "portion_depth_m", "pot_body"]

_DEPTH = Range("depth of the food", 0.002, 1.0, "m")
_WIDTH = Range("width of the container", 0.01, 3.0, "m")
_VOLUME = Range("volume", 1e-6, 10.0, "m3")


def portion_depth_m(volume_m3: Floats, count: int, length_m: Floats, width_m: Floats) -> Floats:
    """Depth of a food that is shared out over equal pans.

    Parameters
    ----------
    volume_m3 : float or array
        All of it [m3].
    count : int
        Pans.
    length_m, width_m : float or array
        Inside of a pan [m].

    Returns
    -------
    float or array
        Depth [m].

    Raises
    ------
    InputError
        There is no pan.
    OutOfRangeError
        A value is impossible.

    References
    ----------
    [derived]_

    Examples
    --------
    Eight litres in two full pans of 50 by 30 cm:

    >>> round(float(portion_depth_m(0.008, 2, 0.5, 0.3)), 4)
    0.0267
    """
    if count < 1:
        raise InputError(f"{count} pans", "at least one")
    _VOLUME.require(volume_m3)
    _WIDTH.require(length_m)
    _WIDTH.require(width_m)
    depth: Floats = volume_m3 / (count * np.multiply(length_m, width_m))
    return depth


def pot_body(
    diameter_m: Floats, fill_m: Floats, exchange_w_m2_k: Floats, conductivity_w_m_k: Floats
) -> EquivalentBody:
    """Body that stands in for thick food in a pot, cooled from all round.

    R is half of the smaller of the two sizes, n = R A / V; the factor on the conductivity makes the
    slowest mode die as fast as the pot's, a long cylinder's times a slab's.

    Parameters
    ----------
    diameter_m, fill_m : float or array
        Inner diameter, and depth of the food [m].
    exchange_w_m2_k : float or array
        Exchange all round [W/(m2 K)].
    conductivity_w_m_k : float or array
        Conductivity of the food [W/(m K)].

    Returns
    -------
    EquivalentBody

    Raises
    ------
    OutOfRangeError
        If a value is impossible.

    References
    ----------
    [newman-1936]_, [carslaw-jaeger]_
    """
    _WIDTH.require(diameter_m)
    _DEPTH.require(fill_m)
    across, along, exchange, inside = np.broadcast_arrays(
        np.divide(diameter_m, 2.0), np.divide(fill_m, 2.0), exchange_w_m2_k, conductivity_w_m_k
    )
    radius = np.minimum(across, along)
    # As high as wide it is 3 to the last bit but one.
    shape_n = np.minimum(radius * (2.0 / across + 1.0 / along), 3.0)
    decay = (first_eigenvalue(2.0, exchange * across / inside) / across) ** 2 + (
        first_eigenvalue(1.0, exchange * along / inside) / along
    ) ** 2

    def surplus(factor: Floats) -> Floats:
        biot = exchange * radius / (factor * inside)
        mode: Floats = factor * (first_eigenvalue(shape_n, biot) / radius) ** 2 - decay
        return mode

    least, most = np.full(radius.shape, 0.05), np.full(radius.shape, 5.0)
    factor = bracketed_root(surplus, least, most, wanted="factor", steps=32)
    return EquivalentBody(shape_n[()], radius[()], factor)


def layer_for_time_m(
    time_s: float,
    target_c: float,
    *,
    start_c: float,
    surroundings_c: float,
    top_w_m2_k: float,
    bottom_w_m2_k: float,
    conductivity_w_m_k: float,
    heat_capacity_j_m3_k: float,
) -> float:
    """Deepest layer whose warmest spot reaches a temperature in a given time.

    Parameters
    ----------
    time_s : float
        Time [s].
    target_c, start_c, surroundings_c : float
        Temperatures [°C].
    top_w_m2_k, bottom_w_m2_k : float
        Exchange of the two faces [W/(m2 K)].
    conductivity_w_m_k, heat_capacity_j_m3_k : float
        Of the food.

    Returns
    -------
    float
        Depth [m], 2 mm to 1 m; the ends where the answer lies beyond.

    Raises
    ------
    InputError
        The target is not between start and surroundings.

    References
    ----------
    [carslaw-jaeger]_
    """
    if not min(start_c, surroundings_c) < target_c < max(start_c, surroundings_c):
        raise InputError(
            f"{target_c:g} °C", f"between {start_c:g} and {surroundings_c:g} °C", "See the places"
        )

    def late_s(depth: Floats) -> Floats:
        time = core_time_s(
            target_c,
            start_c=start_c,
            surroundings_c=surroundings_c,
            shape_n=1.0,
            radius_m=depth,
            conductivity_w_m_k=conductivity_w_m_k,
            heat_capacity_j_m3_k=heat_capacity_j_m3_k,
            exchange_w_m2_k=top_w_m2_k,
            back_w_m2_k=bottom_w_m2_k,
        )
        return np.subtract(time, time_s)

    least, most = _DEPTH.lowest, _DEPTH.highest
    if late_s(least) >= 0.0:
        return least
    if late_s(most) <= 0.0:
        return most
    return float(bracketed_root(late_s, least, most, wanted="depth", steps=24))
