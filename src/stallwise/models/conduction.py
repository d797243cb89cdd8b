"""A body that only conducts: how its inside follows its surroundings, exact in time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import InputError
from stallwise.ground.ranges import Floats, Range

__all__ = ["CELLS", "Relaxation", "relaxation"]

#: Shells from the middle to the surface; 24 come within 0.001 of the series.
CELLS = 24

_SHAPE = Range("shape", 1.0, 3.0, "", "1 a slab, 2 a log, 3 a ball")
_POSITIVE = Range("value", 1e-12, float("inf"), "", "more than nothing")
_NOT_NEGATIVE = Range("value", 0.0, float("inf"), "", "nothing or more")
# A parabola through the two inner shells; its slope in the middle is nil.
_MIDDLE = (1.125, -0.125)
_HALVINGS = 48
_SCAN = 97


@dataclass(frozen=True)
class Relaxation:
    """The ways in which one body, with what it lies in, settles to its surroundings.

    A state is an array (members, cells), middle first; the box it lies in, if any, comes last.

    Attributes
    ----------
    rates_per_s : array (members, nodes)
        How fast each mode dies.
    modes : array (members, nodes, nodes)
        Orthonormal modes of the state times the root of its heat capacity.
    roots : array (members, nodes)
        Root of the heat capacity of each node, for each square metre of surface.
    to_surface : array (members, 2)
        Weights of the outermost shell and of what lies outside it in the surface's temperature.
    cells : int
        Shells of the body itself.
    """

    rates_per_s: NDArray[np.float64]
    modes: NDArray[np.float64]
    roots: NDArray[np.float64]
    to_surface: NDArray[np.float64]
    cells: int

    @property
    def boxed(self) -> bool:
        """Whether the body lies in something that warms up with it."""
        return len(self.rates_per_s[0]) > self.cells

    def start(
        self, core_c: Floats, surface_c: Floats | None = None, box_c: Floats = 20.0
    ) -> NDArray[np.float64]:
        """State of a body that was heated for long: a parabola from core to surface.

        Parameters
        ----------
        core_c, surface_c : float or array (members,)
            Temperatures [°C]; one temperature all through without `surface_c`.
        box_c : float or array (members,), default 20
            What it is put into [°C]; not used without a box.

        Returns
        -------
        array (members, nodes)
        """
        members = len(self.rates_per_s)
        core = np.broadcast_to(np.asarray(core_c, dtype=np.float64), (members,))[:, None]
        outer = core if surface_c is None else np.broadcast_to(surface_c, (members,))[:, None]
        part = (np.arange(self.cells) + 0.5) / self.cells
        state = core + (outer - core) * part**2
        if not self.boxed:
            return state
        box = np.broadcast_to(np.asarray(box_c, dtype=np.float64), (members,))[:, None]
        return np.concatenate([state, box], axis=1)

    def after(
        self, state_c: NDArray[np.float64], surroundings_c: Floats, time_s: Floats
    ) -> NDArray[np.float64]:
        """State after a while.

        Parameters
        ----------
        state_c : array (members, nodes)
            Temperatures now [°C].
        surroundings_c : float or array (members,)
            What it settles to [°C].
        time_s : float or array (members,)
            How long [s].

        Returns
        -------
        array (members, nodes)
        """
        outside = self._outside(surroundings_c)
        parts = self._parts(state_c, outside)
        times = np.broadcast_to(np.asarray(time_s, dtype=np.float64), (len(parts),))
        with np.errstate(invalid="ignore"):  # a rate of 0 for ever
            fade = np.exp(-np.nan_to_num(self.rates_per_s * times[:, None], nan=0.0))
        left: NDArray[np.float64] = np.einsum("mij,mj->mi", self.modes, parts * fade)
        return outside + left / self.roots

    def core_c(
        self, state_c: NDArray[np.float64], surroundings_c: Floats, times_s: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Middle of the body at some times [s]; array (members, times)."""
        return self._watch(state_c, surroundings_c, times_s, (0, 1), np.array(_MIDDLE))

    def surface_c(
        self, state_c: NDArray[np.float64], surroundings_c: Floats, times_s: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Surface of the body at some times [s]; array (members, times)."""
        inner, outer = self.to_surface[:, :1], self.to_surface[:, 1:]
        last = self.cells - 1
        shell = self._watch(state_c, surroundings_c, times_s, (last,), np.ones(1))
        if self.boxed:
            beyond = self._watch(state_c, surroundings_c, times_s, (last + 1,), np.ones(1))
        else:
            beyond = np.broadcast_to(self._outside(surroundings_c), shell.shape)
        return inner * shell + outer * beyond

    def warmest_c(
        self, state_c: NDArray[np.float64], surroundings_c: Floats, times_s: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Hottest spot of the body at some times [s]; array (members, times)."""
        outside = self._outside(surroundings_c)
        times = np.asarray(times_s, dtype=np.float64)
        fade = np.exp(-self.rates_per_s[:, :, None] * times[None, None, :])
        body = slice(None, self.cells)
        heights = self.modes[:, body, :] * self._parts(state_c, outside)[:, None, :]
        spots = np.matmul(heights / self.roots[:, body, None], fade)
        hottest: NDArray[np.float64] = spots.max(axis=1)
        return outside + hottest

    def ends_c(
        self, state_c: NDArray[np.float64], surroundings_c: Floats
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Middle and surface in a state [°C]; two arrays (members,)."""
        middle = _MIDDLE[0] * state_c[:, 0] + _MIDDLE[1] * state_c[:, 1]
        beyond = state_c[:, -1] if self.boxed else self._outside(surroundings_c)[:, 0]
        outer = self.to_surface[:, 0] * state_c[:, self.cells - 1] + self.to_surface[:, 1] * beyond
        return middle, outer

    def mean_c(self, state_c: NDArray[np.float64]) -> NDArray[np.float64]:
        """Mean of the body by heat capacity [°C]; array (members,)."""
        heat = self.roots[:, : self.cells] ** 2
        mean: NDArray[np.float64] = np.sum(heat * state_c[:, : self.cells], axis=1) / heat.sum(1)
        return mean

    def time_until_below_s(
        self,
        state_c: NDArray[np.float64],
        surroundings_c: Floats,
        target_c: Floats,
        horizon_s: float,
    ) -> NDArray[np.float64]:
        """Time after which no spot of the body is hotter than a temperature again.

        Parameters
        ----------
        state_c : array (members, nodes)
            Temperatures now [°C].
        surroundings_c : float or array (members,)
            What it settles to [°C].
        target_c : float or array (members,)
            Temperature [°C].
        horizon_s : float
            How far to look [s].

        Returns
        -------
        array (members,)
            Time [s]; 0 where it is colder throughout, ``inf`` where it is not within `horizon_s`.
        """
        members = len(self.rates_per_s)
        target = np.broadcast_to(np.asarray(target_c, dtype=np.float64), (members,))

        def hot(time_s: NDArray[np.float64]) -> NDArray[np.bool_]:
            body = self.after(state_c, surroundings_c, time_s)[:, : self.cells]
            found: NDArray[np.bool_] = body.max(axis=1) > target
            return found

        low, high = np.zeros(members), np.full(members, float(horizon_s))
        late = hot(high)
        # The last moment of heat in the scan, for a box may warm up a while first.
        for share in np.linspace(0.0, 1.0, _SCAN) ** 3:
            low = np.where(hot(share * high), share * horizon_s, low)
        high = np.minimum(high, low + horizon_s * 3.0 / (_SCAN - 1))
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            still = hot(middle)
            low, high = np.where(still, middle, low), np.where(still, high, middle)
        never: NDArray[np.float64] = np.where(late, np.inf, high)
        cold = ~hot(np.zeros(members)) & (low <= 0.0)
        return np.where(cold, 0.0, never)

    def _watch(
        self,
        state_c: NDArray[np.float64],
        surroundings_c: Floats,
        times_s: NDArray[np.float64],
        nodes: tuple[int, ...],
        weights: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """Weighted temperature of a few nodes over time, without the rest of the state."""
        outside = self._outside(surroundings_c)
        shares = self.modes[:, nodes, :] / self.roots[:, nodes, None] * weights[None, :, None]
        heights = shares.sum(axis=1) * self._parts(state_c, outside)
        times = np.asarray(times_s, dtype=np.float64)
        fade = np.exp(-self.rates_per_s[:, :, None] * times[None, None, :])
        seen: NDArray[np.float64] = np.matmul(heights[:, None, :], fade)[:, 0, :]
        return outside + seen

    def _parts(
        self, state_c: NDArray[np.float64], outside: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        if state_c.shape != self.roots.shape:
            raise InputError(f"a state of shape {state_c.shape}", f"shape {self.roots.shape}")
        parts: NDArray[np.float64] = np.einsum(
            "mij,mi->mj", self.modes, (state_c - outside) * self.roots
        )
        return parts

    def _outside(self, surroundings_c: Floats) -> NDArray[np.float64]:
        members = len(self.rates_per_s)
        return np.broadcast_to(np.asarray(surroundings_c, dtype=np.float64), (members,))[:, None]


def relaxation(
    shape_n: Floats,
    radius_m: Floats,
    conductivity_w_m_k: Floats,
    heat_capacity_j_m3_k: Floats,
    exchange_w_m2_k: Floats,
    *,
    back_w_m2_k: Floats = 0.0,
    box_heat_j_m2_k: Floats | None = None,
    box_loss_w_m2_k: Floats = 0.0,
    cells: int = CELLS,
) -> Relaxation:
    """Cut a body into shells and find the modes in which it cools or warms.

    c V dT/dt = k A dT/dr between shells of equal thickness, whose area grows as r**(n - 1); the
    outermost gives h (T_s - T_out) off. The equations are linear, so they are solved by their
    eigenvectors, without time steps.

    Parameters
    ----------
    shape_n, radius_m : float or array (members,)
        Shape [-] and half thickness [m] of the body, as in `body.EquivalentBody`; for a layer that
        is cooled from above only, shape 1 and its whole depth.
    conductivity_w_m_k : float or array
        Conductivity [W/(m K)], the body's factor included.
    heat_capacity_j_m3_k : float or array
        Density times specific heat [J/(m3 K)].
    exchange_w_m2_k : float or array
        From the surface to the surroundings, or to the box [W/(m2 K)].
    back_w_m2_k : float or array, default 0
        From the other face of a layer [W/(m2 K)]; shape 1 only.
    box_heat_j_m2_k : float or array, optional
        Heat capacity of the box it lies in, for each square metre of the body [J/(m2 K)].
    box_loss_w_m2_k : float or array, default 0
        From the box to the surroundings, for each square metre of the body [W/(m2 K)].
    cells : int, default 24
        Shells.

    Returns
    -------
    Relaxation

    Raises
    ------
    InputError
        A back on a body that is no layer, or fewer than three shells.
    OutOfRangeError
        A value is not positive, or the shape not 1 to 3.

    References
    ----------
    [carslaw-jaeger]_

    Examples
    --------
    The middle of a slab of half thickness 4 cm at Biot 2 and Fourier 0.5:

    >>> slab = relaxation(1.0, 0.04, 0.5, 4e6, 25.0)
    >>> left = slab.core_c(slab.start(1.0), 0.0, np.array([0.5 * 0.04**2 / (0.5 / 4e6)]))
    >>> round(float(left[0, 0]), 3)
    0.66
    """
    _SHAPE.require(shape_n)
    for value in (radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k):
        _POSITIVE.require(value)
    for value in (back_w_m2_k, box_loss_w_m2_k):
        _NOT_NEGATIVE.require(value)
    least = 3
    if cells < least or (np.any(np.asarray(back_w_m2_k) > 0.0) and np.any(np.asarray(shape_n) > 1)):
        raise InputError(
            f"a body of shape {shape_n} in {cells} shells", "a layer, if it has a back"
        )
    boxed = box_heat_j_m2_k is not None
    given = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(value, dtype=np.float64))
            for value in (
                *(shape_n, radius_m, conductivity_w_m_k, heat_capacity_j_m3_k, exchange_w_m2_k),
                *(back_w_m2_k, 1.0 if box_heat_j_m2_k is None else box_heat_j_m2_k),
                box_loss_w_m2_k,
            )
        )
    )
    heat, links, leaks, to_surface = _network(given, cells, boxed=boxed)
    roots = np.sqrt(heat)
    # Symmetric: the heat flow matrix between roots of heat capacity.
    matrix = np.zeros((*roots.shape, roots.shape[1]))
    node = np.arange(roots.shape[1])
    matrix[:, node, node] = leaks
    matrix[:, node[:-1], node[:-1]] += links
    matrix[:, node[1:], node[1:]] += links
    matrix[:, node[:-1], node[1:]] = matrix[:, node[1:], node[:-1]] = -links
    matrix /= roots[:, :, None] * roots[:, None, :]
    rates, modes = np.linalg.eigh(matrix)
    return Relaxation(np.maximum(rates, 0.0), modes, roots, to_surface, cells)


def _network(given: tuple[Any, ...], cells: int, *, boxed: bool) -> tuple[Any, Any, Any, Any]:
    """Heat of each node, links between neighbours, leaks outwards; per m2 of surface."""
    shape, radius, conductivity, capacity, exchange, back, box_heat, box_loss = given
    edges = np.arange(cells + 1) / cells
    power = shape[:, None]
    heat = (capacity * radius / shape)[:, None] * np.diff(edges**power, axis=1)
    across = (conductivity * cells / radius)[:, None]
    links = across * edges[1:-1] ** (power - 1.0)
    half = 2.0 * across[:, 0]
    skin = 1.0 / (1.0 / half + 1.0 / exchange)
    to_surface = np.stack([half, exchange], axis=1) / (half + exchange)[:, None]
    leaks = np.zeros_like(heat)
    leaks[:, 0] = half * back / (half + back)
    if boxed:
        heat = np.concatenate([heat, box_heat[:, None]], axis=1)
        links = np.concatenate([links, skin[:, None]], axis=1)
        leaks = np.concatenate([leaks, box_loss[:, None]], axis=1)
    else:
        leaks[:, -1] += skin
    return heat, links, leaks, to_surface
