"""A pit and pieces of meat for the sample cookbook, made up on purpose to be unlike the forecast.

Where the forecast cooks one generalised body with a budget of surface water, this cooks a
squashed body of revolution cell by cell (with a bone in it), in plain explicit steps. Water is
held by each cell and pressed out as the cell grows hot; it creeps to the surface, where its share
decides how fast it dries. Tenderness doubles every nine kelvin and is a mean over the muscle, not
a dose at the core. The pit is a fire of single splits that sags when nobody looks, with lids that
are opened, and the probes sit off centre, lag, read wrong and drop out.

Every constant here was chosen by hand so that the curves look like a cook's. Nothing was measured
and nobody cooked it. Run by ``make_sample.py`` only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

Array = np.ndarray

__all__ = ["Body", "Cooked", "Fire", "Pit", "Probe", "body_of", "cook", "fire", "read_probe"]

_DENSITY = 1050.0
_HEAT = 3350.0  # J/(kg K)
_LATENT = 2.35e6
_AIR_VAPOUR_PA = 3200.0
_RAW_WATER = 0.66  # kg of water per kg of raw meat
_STEPS_AN_HOUR = 360


@dataclass(frozen=True)
class Pit:
    """A fire as it was meant, and what went wrong with it.

    `points` are (hours, °C) joined by lines; `sags` (hours, K, minutes) a fire let down;
    `lids` hours at which the lid stood open for half a minute.
    """

    points: tuple[tuple[float, float], ...]
    wander_k: float = 4.0
    split_min: tuple[float, float] = (30.0, 46.0)
    sags: tuple[tuple[float, float, float], ...] = ()
    lids: tuple[float, ...] = ()


@dataclass(frozen=True)
class Fire:
    """Air at the grate over time, and when a split was laid on."""

    hours: Array
    grate_c: Array
    splits_h: tuple[float, ...]


@dataclass(frozen=True)
class Body:
    """A squashed body of revolution: half height and radius; `corner` 2 is round, 6 a slab."""

    half_height_m: float
    radius_m: float
    corner: float = 2.6
    cells: tuple[int, int] = (24, 28)
    bone_radius_m: float = 0.0
    start_c: float = 4.0
    air_film: float = 12.0  # W/(m2 K) by moving air
    glow_film: float = 6.0  # W/(m2 K) by radiation
    seep_bound: float = 0.1e-9  # m2/s
    seep_free: float = 500e-9  # m2/s, juice that was pressed out
    press_c: float = 69.5  # half of the juice is pressed out
    press_k: float = 0.6
    press_share: float = 0.23
    toughness_h: float = 2.9  # hours to tender at 95 °C
    place_k: float = 0.0


@dataclass(frozen=True)
class Cooked:
    """What came of a piece: temperatures in its cells, weight and tenderness over time."""

    hours: Array
    core_c: Array
    near_core_c: Array
    mass_kg: Array
    surface_water: Array
    tender: Array

    def when_tender(self, share: float = 1.0) -> float:
        """Hours until so much of the tenderness that is called tender."""
        if self.tender[-1] < share:
            return math.inf
        return float(self.hours[int(np.argmax(self.tender >= share))])

    def at(self, series: Array, hours: float) -> float:
        """Value of one of the series at an hour."""
        return float(np.interp(hours, self.hours, series))


@dataclass(frozen=True)
class Probe:
    """How a probe lies: constant error, lag, scatter and a slow drift over the cook."""

    error_k: float = 0.0
    lag_min: float = 0.5
    scatter_k: float = 0.3
    drift_k: float = 0.0


def fire(pit: Pit, hours: float, rng: np.random.Generator) -> Fire:
    """Burn one day: every split flares and dies down, the draught wanders, lids let heat out."""
    time = np.arange(round(hours * _STEPS_AN_HOUR) + 1) / _STEPS_AN_HOUR
    at, planned = zip(*pit.points, strict=True)
    heat = np.interp(time, at, planned)
    splits = []
    laid = 0.0
    while laid < hours:
        splits.append(laid)
        age_min = (time - laid) * 60
        lasts = rng.uniform(*pit.split_min)
        # Laid on it first cools the fire, then flares, then is embers.
        flare = np.where(age_min < 0, 0.0, (age_min / 11) * np.exp(1 - age_min / 11))
        heat += rng.uniform(3.0, 8.0) * flare - 3.5 * np.exp(-((age_min - 1.5) ** 2) / 3)
        laid += lasts / 60
    heat -= 3.0
    for start, depth, minutes in pit.sags:
        heat -= depth * np.exp(-(((time - start) * 60 / minutes) ** 2))
    for opened in pit.lids:
        age_min = (time - opened) * 60
        heat -= np.where(age_min < 0, 0.0, 21.0 * np.exp(-age_min / 3.5))
    keep = math.exp(-1 / (_STEPS_AN_HOUR * 0.42))
    kicks = rng.normal(0, pit.wander_k * math.sqrt(1 - keep**2), len(time))
    drift = np.empty_like(time)
    level = 0.0
    for i, kick in enumerate(kicks):
        level = keep * level + kick
        drift[i] = level
    return Fire(time, heat + drift, tuple(splits))


def cook(
    body: Body,
    burnt: Fire,
    *,
    wrap_h: float = math.inf,
    unwrap_h: float = math.inf,
    leak: float = 0.03,
    spritz_h: tuple[float, ...] = (),
) -> Cooked:
    """Cook one piece in a fire from its hour zero on.

    Parameters
    ----------
    body : Body
        The piece.
    burnt : Fire
        The pit.
    wrap_h, unwrap_h : float
        Hours.
    leak : float
        Share of the drying that a wrap lets through: foil 0.03, paper 0.3.
    spritz_h : tuple of float
        Hours of a spritz: wets the surface by a tenth of a kilogram per square metre.
    """
    grid = _Grid(body)
    return grid.march(burnt, (wrap_h, unwrap_h, leak), spritz_h)


def read_probe(values: Array, hours: Array, probe: Probe, rng: np.random.Generator) -> Array:
    """Read a temperature as a probe shows it."""
    shown = np.empty_like(values)
    keep = math.exp(-1 / (_STEPS_AN_HOUR * probe.lag_min / 60))
    level = values[0]
    for i, value in enumerate(values):
        level = keep * level + (1 - keep) * value
        shown[i] = level
    drift = probe.drift_k * hours / hours[-1]
    return shown + probe.error_k + drift + rng.normal(0, probe.scatter_k, len(values))


def body_of(body: Body, mass_kg: float, *, flat: bool = False) -> Body:
    """Grow or shrink a body to a mass; a `flat` one keeps its height."""
    for _ in range(8):
        factor = mass_kg / _Grid(body).mass_kg
        body = replace(
            body,
            radius_m=body.radius_m * factor ** (1 / 2 if flat else 1 / 3),
            half_height_m=body.half_height_m * (1.0 if flat else factor ** (1 / 3)),
        )
    return body


@dataclass
class _Grid:
    body: Body
    dr: float = field(init=False)
    dz: float = field(init=False)
    meat: Array = field(init=False)  # cells that are not air
    muscle: Array = field(init=False)  # cells that are neither air nor bone

    def __post_init__(self) -> None:
        body = self.body
        nr, nz = body.cells
        self.dr, self.dz = body.radius_m / nr, 2 * body.half_height_m / nz
        radius = (np.arange(nr) + 0.5) * self.dr
        height = (np.arange(nz) + 0.5) * self.dz - body.half_height_m
        share = (radius[:, None] / body.radius_m) ** body.corner
        share = share + np.abs(height[None, :] / body.half_height_m) ** body.corner
        self.meat = share <= 1.0
        bone = (radius[:, None] < body.bone_radius_m) & (
            np.abs(height[None, :] + 0.25 * body.half_height_m) < 1.01 * self.dz
        )
        self.muscle = self.meat & ~bone
        self._areas(radius)

    def _areas(self, radius: Array) -> None:
        nr, nz = self.body.cells
        ring = 2 * math.pi * radius
        side = 2 * math.pi * np.arange(1, nr + 1) * self.dr * self.dz
        self.volume = np.broadcast_to((ring * self.dr * self.dz)[:, None], (nr, nz))
        self.side = np.broadcast_to(side[:, None], (nr, nz))
        self.cap = np.broadcast_to((ring * self.dr)[:, None], (nr, nz))
        air = np.pad(~self.meat, 1, constant_values=True)
        air[0, :] = False  # the axis
        self.skin = self.meat * (
            air[2:, 1:-1] * self.side + (air[1:-1, 2:] * 1.0 + air[1:-1, :-2]) * self.cap
        )
        # Steps of cells have more surface than the body they stand for.
        self.skin = self.skin * (_surface_m2(self.body) / self.skin.sum())

    @property
    def mass_kg(self) -> float:
        return float((self.volume * self.meat).sum() * _DENSITY)

    def spread(self, value: Array, along: Array) -> Array:
        """Net inflow of cells by differences of `value`, conductance `along` each cell."""
        out = np.zeros_like(value)
        both_r = 2 * along[1:] * along[:-1] / np.maximum(along[1:] + along[:-1], 1e-30)
        flow = both_r * self.side[:-1] / self.dr * (value[1:] - value[:-1])
        out[:-1] += flow
        out[1:] -= flow
        both_z = 2 * along[:, 1:] * along[:, :-1] / np.maximum(along[:, 1:] + along[:, :-1], 1e-30)
        flow = both_z * self.cap[:, :-1] / self.dz * (value[:, 1:] - value[:, :-1])
        out[:, :-1] += flow
        out[:, 1:] -= flow
        return out

    def march(
        self, burnt: Fire, wrap: tuple[float, float, float], spritz_h: tuple[float, ...]
    ) -> Cooked:
        body, step_s = self.body, 3600 / _STEPS_AN_HOUR
        temp = np.full(self.meat.shape, body.start_c)
        water = np.where(self.muscle, _RAW_WATER, 0.0)
        soft = np.zeros_like(temp)
        heat_of_cell = _DENSITY * _HEAT * self.volume
        mass_of_cell = _DENSITY * self.volume
        wet = [round(hour * _STEPS_AN_HOUR) for hour in spritz_h]
        weight = self.volume * self.muscle
        core = (0, int(np.argmax(self.volume[0] * 0 + 1)) + self.meat.shape[1] // 2)
        near = (max(1, self.meat.shape[0] // 8), core[1] + max(1, self.meat.shape[1] // 14))
        outer = self.skin > 0
        rows = np.empty((len(burnt.hours), 5))
        dripped = evaporated = film = 0.0
        area = self.skin.sum()
        for i, hour in enumerate(burnt.hours):
            covered = wrap[0] <= hour < wrap[1]
            pit = float(burnt.grate_c[i]) + body.place_k
            # Heat: a wrap is a still gap of air, and takes half of the glow.
            draught = body.air_film * (1 + 0.012 * max(pit - 105, 0))
            film_w = 0.62 * draught + 0.5 * body.glow_film if covered else draught + body.glow_film
            held = _RAW_WATER - body.press_share / (
                1 + np.exp((body.press_c - temp) / body.press_k)
            )
            # Drying: by the share of water in the outermost cells; a spritz counts until it is gone.
            moist = 1 - np.exp(-((water / 0.30) ** 2.0))
            if i in wet:
                film += 0.10 * area
            share = np.maximum(moist, min(1.0, film / (0.05 * area)))
            gap = np.maximum(share * _vapour(temp) - _AIR_VAPOUR_PA, 0)
            dries = draught * 6.6e-9 * gap * (wrap[2] if covered else 1.0) * self.skin
            lost = float(dries.sum()) * step_s
            from_film = min(film, lost)
            film -= from_film
            flow = self.spread(temp, 0.46 * self.meat)
            flow = flow + film_w * self.skin * (pit - temp) - _LATENT * dries
            temp = temp + flow * step_s / heat_of_cell * self.meat
            if covered:  # juice boils in a wrap
                temp = np.minimum(temp, 98.5)
            moves = self.spread(np.maximum(water - held, 0), body.seep_free * self.muscle)
            moves = _DENSITY * (moves + self.spread(water, body.seep_bound * self.muscle))
            inside = 1 - from_film / lost if lost > 0 else 1.0
            water = water + (moves - dries * inside) * step_s / mass_of_cell
            # What a swollen outside cannot hold runs off (into the foil, or onto the deflector).
            spill = np.where(outer, np.maximum(water - 0.80, 0), 0.0)
            water = np.maximum(water - spill, 0.0)
            dripped += float((spill * mass_of_cell).sum())
            evaporated += lost - from_film
            rate = 2 ** ((temp - 95) / 9) * (temp > 55) / body.toughness_h / _STEPS_AN_HOUR
            soft += rate
            rendered = 0.05 / (1 + math.exp((78 - temp[core]) / 6)) * self.mass_kg
            rows[i] = (
                temp[core],
                temp[near],
                self.mass_kg - dripped - evaporated - rendered,
                float((water * self.skin).sum() / area),
                _feel(soft, weight),
            )
        return Cooked(burnt.hours, *(rows[:, k].copy() for k in range(5)))


def _feel(soft: Array, weight: Array) -> float:
    """Tenderness as a finger feels it: the mean over the muscle, the tough middle counted more."""
    gone = 1 - np.exp(-soft)
    mean = float((gone * weight).sum() / weight.sum())
    tough = float(gone[weight > 0].min())
    return (0.4 * mean + 0.6 * tough) / (1 - math.exp(-1))


def _vapour(temp_c: Array) -> Array:
    return 610.8 * np.exp(17.27 * temp_c / (temp_c + 237.3))


def _surface_m2(body: Body) -> float:
    """Surface of the body by rings along its outline."""
    turn = np.linspace(0, math.pi / 2, 400)
    power = 2 / body.corner
    radius = body.radius_m * np.cos(turn) ** power
    height = body.half_height_m * np.sin(turn) ** power
    length = np.hypot(np.diff(radius), np.diff(height))
    return float(2 * (2 * math.pi * (radius[1:] + radius[:-1]) / 2 * length).sum())
