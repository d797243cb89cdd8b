"""Members, pits and steps that the kernel's tests share: a shoulder, a rack, a plain body."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np

from stallwise.models.kernel import Schedule, members_like
from stallwise.models.transfer import lewis_conductance_kg_m2_s_pa
from stallwise.tables.humid_air import STANDARD_PRESSURE_PA, vapour_pressure_pa

HOUR = 3600.0
SEA = STANDARD_PRESSURE_PA

MEAT = {
    "conductivity_slope": 0.0012,
    "density": 1020.0,
    "shrink": 0.8,
    "start_c": 4.0,
    "emissivity": 0.9,
    "juice_kept": 0.73,
    "dry_power": 3.0,
    "film_full": 0.1,
    "bark_budget": 0.6,
    "juice_limit": 0.235,
    "juice_mid_c": 64.3,
    "juice_spread_k": 4.5,
    "juice_tau_s": 4500.0,
    "fat_limit": 0.4,
    "fat_mid_c": 75.0,
    "fat_spread_k": 8.0,
    "fat_tau_s": 7200.0,
    "activation": 80e3,
    "dose_reference_c": 95.0,
    "dose_floor_c": 50.0,
    "rest_c": 20.0,
    "rest_h": 4.0,
    "rest_vapour_pa": 1600.0,
}
#: Places to rest in: the counter by itself is how a piece comes off.
OVEN = {
    "rest_share": 1.0, "rest_c": 66.0, "rest_h": 6.0, "rest_emissivity": 0.5, "rest_gap": 0.02,
    "rest_leak": 0.002,
}  # fmt: skip
BOX = {
    "rest_share": 1.0, "rest_h": 5.0, "rest_leak": 0.002, "rest_box_heat": 2e4,
    "rest_box_loss": 2.0,
}  # fmt: skip
#: Moments of a hold.
AFTER_S = np.array([*np.arange(0.0, 3600.0, 120.0), *np.arange(3600.0, 4 * HOUR + 1.0, 900.0)])
FOIL = {
    "wrap_share": 1.0,
    "wrap_emissivity": 0.5,
    "wrap_gap": 0.01,
    "wrap_leak": 0.002,
    "wrap_vent": 2e-6,
}
PAPER = {"wrap_share": 1.0, "wrap_emissivity": 0.9, "wrap_gap": 0.01, "wrap_wet": 0.6}
SHOULDER = MEAT | {
    "shape_n": 2.35,
    "radius_m": 0.0575,
    "conductivity": 0.25,
    "heat_capacity": 3.43e6,
    "fat_fraction": 0.12,
    "wetness": 0.30,
    "juice_feed": 1.0,
    "dry_budget": 1.5,
    "dose_rate": 1.1 / (2.8 * HOUR),
}
RACK = MEAT | {
    "shape_n": 1.31,
    "radius_m": 0.015,
    "conductivity": 0.215,
    "heat_capacity": 3.33e6,
    "fat_fraction": 0.23,
    "wetness": 0.10,
    "dry_budget": 0.7,
    "dose_rate": 1.6 / (2.8 * HOUR),
}
#: Nothing but conduction and convection.
PLAIN = {"density": 1000.0, "start_c": 40.0, "conductivity": 0.46, "heat_capacity": 3.4e6}


def beside(name):
    """Load a helper from the folder of tests; they are no package."""
    path = Path(__file__).resolve().parent / name
    if not path.exists():
        path = path.parents[1] / name
    spec = importlib.util.spec_from_file_location(f"beside_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def one_pit(
    members, *, convection=5.5, offset=0.0, power=2.0, humidity=0.022, evaporates=True, pressure=SEA
):
    table = np.zeros((members, 1, 6))
    table[:, 0, 0] = offset
    table[:, 0, 1] = convection
    table[:, 0, 2] = power
    table[:, 0, 3] = 110.0
    table[:, 0, 4] = vapour_pressure_pa(humidity, pressure)
    table[:, 0, 5] = lewis_conductance_kg_m2_s_pa(1.0, pressure) if evaporates else 0.0
    return table


def steps(hours, step_s=120.0, pit=((0.0, 107.0),), *, every_s=600.0, spritz=()):
    """A schedule without the plan's machinery: pit corners and spritzes lie on the grid."""
    end = round(hours * HOUR, 6)
    corners = [time for time, _ in pit if time < end] + [time for time, _ in spritz]
    rows = np.arange(0.0, end + 1e-3, every_s)
    times = np.unique(np.round([*np.arange(0.0, end, step_s), *rows, *corners, end], 6))
    at, values = np.array(pit, dtype=float).T
    nominal = np.stack(
        [np.interp(times[:-1], at, values), np.interp(times[1:], at, values)], axis=1
    )
    spray = np.zeros(len(times) - 1)
    for time, water in spritz:
        spray[np.searchsorted(times, time)] = water
    row_at = np.full(len(times), -1, dtype=np.int64)
    row_at[np.searchsorted(times, rows - 1e-4)] = np.arange(len(rows))
    later = np.zeros(len(spray), dtype=bool)
    pit_of_step = np.zeros(len(spray), dtype=np.int64)
    return Schedule(times, nominal, pit_of_step, spray, later, row_at, len(rows), AFTER_S)


def many(kind, count, seed=0):
    """Members of a kind with everything spread, and pits to match."""
    rng = np.random.default_rng(seed)
    table = members_like(count, **kind)

    def spread(log_sd):
        return np.exp(log_sd * rng.standard_normal(count))

    for name, log_sd in {
        "radius_m": 0.17,
        "wetness": 0.5,
        "dry_budget": 0.6,
        "juice_limit": 0.12,
        "juice_tau_s": 0.3,
        "pace": 0.08,
    }.items():
        table[name] *= spread(log_sd)
    table["pace_after"] = table["pace"]
    table["dry_power"] = rng.uniform(2.0, 4.0, count)
    table["juice_mid_c"] += 1.3 * rng.standard_normal(count)
    pits = one_pit(count, convection=5.5 * spread(0.4), offset=6.0 * rng.standard_normal(count))
    return table, pits
