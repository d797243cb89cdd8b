"""Heating of a round body by convection, as a series: what a numerical march is checked against.

Not in src, because scipy is slow to load. Written for real shape numbers n: 1 is the slab, 2 the
long cylinder, 3 the sphere (Carslaw & Jaeger, Conduction of Heat in Solids).
"""

from __future__ import annotations

import functools

import numpy as np
from scipy.optimize import brentq
from scipy.special import gamma, jv


def mode(shape_n, z):
    """Eigenfunction, 1 in the middle: cos z, J0(z) and sin z / z for n = 1, 2, 3."""
    order = shape_n / 2.0 - 1.0
    z = np.asarray(z, dtype=float)
    safe = np.where(z > 1e-9, z, 1.0)
    value = gamma(order + 1.0) * (2.0 / safe) ** order * jv(order, safe)
    return np.where(z > 1e-9, value, 1.0)


@functools.cache
def eigenvalues(shape_n, biot, count=60):
    """The first roots of z J_{n/2}(z) = Bi J_{n/2-1}(z), by scipy."""
    order = shape_n / 2.0 - 1.0

    def surplus(z):
        return z * jv(order + 1.0, z) - biot * jv(order, z)

    grid = np.arange(1e-6, (count + 3) * np.pi, 0.05)
    values = surplus(grid)
    starts = np.flatnonzero(np.sign(values[:-1]) != np.sign(values[1:]))
    return np.array([brentq(surplus, grid[i], grid[i + 1], xtol=1e-14) for i in starts[:count]])


def coefficients(shape_n, biot, count=60):
    """Weight of each mode for a body that starts at one temperature."""
    z = eigenvalues(shape_n, biot, count)
    return 2.0 * biot / ((z**2 + biot**2 + (2.0 - shape_n) * biot) * mode(shape_n, z))


def series_temperature(shape_n, biot, fourier, position=0.0, count=60):
    """What is left of the difference from the surroundings, 1 at the start and 0 at the end.

    ``position`` runs from 0 in the middle to 1 at the surface; ``fourier`` is alpha t / R**2.
    """
    z = eigenvalues(shape_n, biot, count)
    fourier, position = np.asarray(fourier, dtype=float), np.asarray(position, dtype=float)
    decay = np.exp(-(z**2) * fourier[..., None])
    terms = coefficients(shape_n, biot, count) * mode(shape_n, z * position[..., None]) * decay
    return np.sum(terms, axis=-1)


def block_temperature(half_dims_m, convection_w_m2_k, conductivity_w_m_k, alpha_t_m2):
    """Middle of a block: the product of three slabs (Newman 1936)."""
    product = 1.0
    for half in half_dims_m:
        biot = convection_w_m2_k * half / conductivity_w_m_k
        product = product * series_temperature(1.0, biot, np.asarray(alpha_t_m2) / half**2)
    return product
