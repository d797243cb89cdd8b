"""A pit and a piece of meat for the sample cookbook, made up on purpose to be unlike the forecast.

Where the forecast cooks one generalised body with a wetness budget, this cooks a
two-dimensional cross-section with explicit steps, another drying law, a wandering pit with
reloads, and probes that sit off centre, read wrong and drop out. Nothing here was measured;
nobody cooked it. Run by ``tools/make_sample.py`` only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

__all__ = ["Piece", "PitPlan", "Simulated", "simulate"]

_STEP_S = 15.0
_CELL_M = 0.004


@dataclass(frozen=True)
class PitPlan:
    """Planned pit: (hours, °C) points, joined by straight lines."""

    points: tuple[tuple[float, float], ...]
    offset_k: float = 0.0
    wander_k: float = 5.0
    reload_h: float = 0.7


@dataclass(frozen=True)
class Piece:
    """Cross-section and what is done to it."""

    thickness_m: float
    width_m: float
    start_c: float = 4.0
    wrap_h: float | None = None
    wrap_keeps: float = 0.04
    wetness: float = 0.42
    dry_kg_m2: float = 2.3
    heat_w_m2_k: float = 15.0
    tender_rate: float = 1.0


@dataclass(frozen=True)
class Simulated:
    """Every quarter minute: hours, true pit, probe pit, probe core, tenderness dose."""

    hours: np.ndarray
    pit_c: np.ndarray
    pit_probe_c: np.ndarray
    core_c: np.ndarray
    core_probe_c: np.ndarray
    dose: np.ndarray
    loss_kg_m2: np.ndarray

    def tender_h(self) -> float:
        """Hours until the dose reaches one."""
        return float(self.hours[int(np.argmax(self.dose >= 1.0))])


def simulate(piece: Piece, pit: PitPlan, *, hours: float, seed: int) -> Simulated:
    """Cook one piece for so many hours."""
    rng = np.random.default_rng(seed)
    steps = int(hours * 3600 / _STEP_S)
    time_h = np.arange(steps) * _STEP_S / 3600
    pit_c = _wandering(pit, time_h, rng)
    nx = max(5, round(piece.thickness_m / 2 / _CELL_M))
    ny = max(nx, round(piece.width_m / 2 / _CELL_M))
    temp = np.full((nx, ny), piece.start_c)
    diffusivity, conductivity = 1.37e-7, 0.45
    number = diffusivity * _STEP_S / _CELL_M**2
    dried = dose = 0.0
    off_x, off_y = int(0.15 * nx), int(0.2 * ny)
    core = np.empty(steps)
    probe = np.empty(steps)
    doses = np.empty(steps)
    losses = np.empty(steps)
    for i in range(steps):
        wrapped = piece.wrap_h is not None and time_h[i] >= piece.wrap_h
        wet = piece.wetness * (0.9 * math.exp(-0.7 * (dried / piece.dry_kg_m2) ** 2.2) + 0.1)
        heat = piece.heat_w_m2_k * (0.72 if wrapped else 1.0)
        edge = np.pad(temp, ((1, 1), (1, 1)), mode="edge")
        for side in (edge[-1, 1:-1], edge[1:-1, -1]):
            steam = wet * (piece.wrap_keeps if wrapped else 1.0) * _steam(side)
            flux = heat * (pit_c[i] - side) - 2.35e6 * steam
            side[:] = side + flux * _CELL_M / conductivity  # a view: the edge of the padded grid
            dried += float(steam.mean()) * _STEP_S / 2
        temp = temp + number * (
            edge[2:, 1:-1] + edge[:-2, 1:-1] + edge[1:-1, 2:] + edge[1:-1, :-2] - 4 * temp
        )
        np.minimum(temp, 99.0 if wrapped else 130.0, out=temp)
        core[i] = temp[0, 0]
        probe[i] = temp[off_x, off_y]
        rate = math.exp(-83_000 / 8.314 * (1 / (core[i] + 273.15) - 1 / 368.15))
        dose += piece.tender_rate * rate * _STEP_S / (2.75 * 3600) * (core[i] > 52)
        doses[i], losses[i] = dose, dried
    noise = rng.normal(0, 0.25, steps)
    return Simulated(
        time_h,
        pit_c,
        pit_c + rng.normal(0, 1.2, steps) + 2.0,
        core,
        probe + 0.4 + noise,
        doses,
        losses,
    )


def _steam(surface_c: np.ndarray) -> np.ndarray:
    """Evaporation [kg/(m2 s)] of a wet surface: a plain exponential, not the forecast's law."""
    return 6.6e-8 * np.clip(611 * np.exp(17.3 * surface_c / (surface_c + 238)) - 3200, 0, None)


def _wandering(pit: PitPlan, time_h: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    planned = np.interp(time_h, *zip(*pit.points, strict=True))
    keep = math.exp(-_STEP_S / (22 * 60))
    kicks = rng.normal(0, pit.wander_k * math.sqrt(1 - keep**2), len(time_h))
    wander = np.empty(len(time_h))
    level = 0.0
    for i, kick in enumerate(kicks):
        level = keep * level + kick
        wander[i] = level
    phase = (time_h % pit.reload_h) / pit.reload_h
    return planned + pit.offset_k + wander + 5.0 * np.sin(2 * np.pi * phase) * (1 - phase)
