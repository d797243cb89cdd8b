"""Time march of an ensemble of pieces: heat, water, juice, fat and tenderness of one piece of meat.

The compiled loop lies in `kernel_loop`, which is imported when it is first needed.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

import numpy as np
import platformdirs

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["CELLS", "HELD", "MEMBER", "PIT", "Marched", "Schedule", "march", "members_like"]

#: Cells between the core and the surface.
CELLS = 20

#: One row a member. Times in seconds since meat on, temperatures in C, the rest in SI units.
MEMBER = np.dtype(
    [
        # body: area grows as r**(n - 1); see `models.body`
        ("shape_n", "f8"),
        ("radius_m", "f8"),
        ("conductivity", "f8"),  # W/(m K) at 40 C, body factor included
        ("conductivity_slope", "f8"),  # 1/K
        ("heat_capacity", "f8"),  # J/(m3 K)
        ("density", "f8"),
        ("water_fraction", "f8"),
        ("water_low", "f8"),  # share of that water below which drying slows in proportion
        ("fat_fraction", "f8"),
        ("shrink", "f8"),  # volume lost per mass lost
        ("start_c", "f8"),
        # surface
        ("emissivity", "f8"),
        ("lift_power", "f8"),  # convection grows with this power of air less surface
        ("lift_from_k", "f8"),
        ("wetness", "f8"),
        ("juice_feed", "f8"),  # m2 h/kg
        ("juice_kept", "f8"),
        ("dry_budget", "f8"),  # kg/m2
        ("dry_power", "f8"),
        ("film_full", "f8"),  # kg/m2
        ("bark_budget", "f8"),  # kg/m2
        # juice and fat
        ("juice_limit", "f8"),
        ("juice_mid_c", "f8"),
        ("juice_spread_k", "f8"),
        ("juice_tau_s", "f8"),
        ("fat_limit", "f8"),
        ("fat_mid_c", "f8"),
        ("fat_spread_k", "f8"),
        ("fat_tau_s", "f8"),
        # wrap
        ("wrap_earliest_s", "f8"),
        ("wrap_latest_s", "f8"),
        ("wrap_core_c", "f8"),
        ("unwrap_s", "f8"),
        ("wrap_share", "f8"),
        ("wrap_emissivity", "f8"),
        ("wrap_gap", "f8"),  # m2 K/W
        ("wrap_wet", "f8"),
        ("wrap_leak", "f8"),
        ("wrap_vent", "f8"),  # kg/(m2 s Pa)
        # finish and rest
        ("dose_rate", "f8"),  # 1/s at the reference temperature
        ("activation", "f8"),  # J/mol
        ("dose_reference_c", "f8"),
        ("dose_floor_c", "f8"),
        ("by_core", "?"),
        ("finish_dose", "f8"),
        ("finish_core_c", "f8"),
        ("finish_forced_s", "f8"),
        ("rest_s", "f8"),
        ("rest_c", "f8"),
        ("rest_h", "f8"),  # W/(m2 K); in a box, from the meat to the towels
        ("rest_share", "f8"),  # covered anew for the rest; 0: as it came off
        ("rest_emissivity", "f8"),
        ("rest_gap", "f8"),
        ("rest_leak", "f8"),
        ("rest_vapour_pa", "f8"),
        ("rest_box_heat", "f8"),  # J/K of towels and box for a m2 of first surface; 0: no box
        ("rest_box_loss", "f8"),  # W/(m2 K)
        # clock seconds per model second, before and after the as-of instant
        ("pace", "f8"),
        ("pace_after", "f8"),
    ]
)

#: Members from which on a second thread is worth its start.
_WORTH_SHARING = 32

#: Columns of the pit table, one row for each pit that the piece visits.
PIT = ("offset_k", "heating", "power", "power_from_c", "vapour_pa", "lewis")

#: Columns of what is kept of a hold.
HELD = ("core_c", "mid_c", "surface_c", "loss_fraction", "dose")

_NEVER = {
    "wrap_earliest_s",
    "wrap_latest_s",
    "wrap_core_c",
    "unwrap_s",
    "finish_dose",
    "finish_core_c",
    "finish_forced_s",
}
_ONE = {
    "pace",
    "pace_after",
    "water_fraction",
    "dry_budget",
    "dry_power",
    "film_full",
    "juice_spread_k",
    "juice_tau_s",
} | {
    "fat_spread_k",
    "fat_tau_s",
    "shape_n",
}


@dataclass(frozen=True)
class Schedule:
    """What all members share: the steps and what happens in them.

    Attributes
    ----------
    times : array (steps + 1,)
        Ends of the steps [s].
    nominal_c : array (steps, 2)
        Pit as planned or read, at the start and the end of each step [C].
    pit_of_step : array (steps,) of int
        Row of the pit table in force.
    spray : array (steps,)
        Water that stays on the meat when it is sprayed at the start of the step [kg/m2].
    later : array (steps,) of bool
        True after the as-of instant.
    row_at : array (steps + 1,) of int
        Row of the outputs written at each time, -1 for none; the first is 0.
    rows : int
        Rows of the outputs.
    after_s : array (points,)
        Moments of the hold, from 0, rising [s after each member's own finish].
    """

    times: NDArray[np.float64]
    nominal_c: NDArray[np.float64]
    pit_of_step: NDArray[np.int64]
    spray: NDArray[np.float64]
    later: NDArray[np.bool_]
    row_at: NDArray[np.int64]
    rows: int
    after_s: NDArray[np.float64] = field(default_factory=lambda: np.zeros(1))


@dataclass(frozen=True)
class Marched:
    """What a march gives, one row a member; a moment not reached is inf.

    Attributes
    ----------
    core_c, mid_c, surface_c, loss_fraction, dose : arrays (members, rows)
        At the recorded times; `mid_c` half way between core and surface. After its rest a piece
        stays as it is.
    wrapped_s, unwrapped_s, bark_s, finish_s : arrays (members,)
        Moments [s]; the bark is set when the surface has dried by its budget.
    evaporated, dripped, rendered, sprayed : arrays (members,)
        Sums until the end [kg per m2 of first surface].
    heat_in, stored : arrays (members,)
        Heat through the surface and heat in the body [J per m2 of first surface]; equal without shrinking.
    loss_at_finish : array (members,)
        Share of the first mass lost when finished, nan if not reached.
    held : array (members, points, 5)
        From the finish on, at `Schedule.after_s`: columns `HELD`; nan if not finished.
    """

    core_c: NDArray[np.float64]
    mid_c: NDArray[np.float64]
    surface_c: NDArray[np.float64]
    loss_fraction: NDArray[np.float64]
    dose: NDArray[np.float64]
    wrapped_s: NDArray[np.float64]
    unwrapped_s: NDArray[np.float64]
    bark_s: NDArray[np.float64]
    finish_s: NDArray[np.float64]
    evaporated: NDArray[np.float64]
    dripped: NDArray[np.float64]
    rendered: NDArray[np.float64]
    sprayed: NDArray[np.float64]
    heat_in: NDArray[np.float64]
    stored: NDArray[np.float64]
    loss_at_finish: NDArray[np.float64]
    held: NDArray[np.float64]


def members_like(count: int, **values: Any) -> NDArray[Any]:
    """Table of members; what is not given is zero, or switched off where zero would not be.

    Parameters
    ----------
    count : int
        Members, 1 or more.
    **values : float or array (count,)
        Fields of `MEMBER`.

    Returns
    -------
    array (count,) of MEMBER
    """
    table = np.zeros(count, MEMBER)
    for name in MEMBER.names or ():
        if name in _NEVER:
            table[name] = np.inf
        elif name in _ONE:
            table[name] = 1.0
    for name, value in values.items():
        table[name] = value
    return table


def march(
    members: NDArray[Any],
    pits: NDArray[np.float64],
    schedule: Schedule,
    *,
    pressure_pa: float,
    cells: int = CELLS,
) -> Marched:
    """March every member through the schedule.

    Parameters
    ----------
    members : array (members,) of MEMBER
        See `members_like`.
    pits : array (members, pits, 6)
        Columns `PIT`: offset of the air at the meat from the reading [K], convection [W/(m2 K)], its growth
        power with the pit above a temperature [C], vapour pressure [Pa], evaporation per convection
        [kg K/(J Pa)] (see `models.transfer`).
    schedule : Schedule
        Steps and events that all members share.
    pressure_pa : float
        Air pressure [Pa].
    cells : int, optional
        Cells between core and surface, 3 or more.

    Returns
    -------
    Marched

    References
    ----------
    [alexander-1977]_, [hyland-wexler-1983]_, [lewis-chilton-colburn]_, [incropera]_
    """
    kernel_loop = _compiled()
    count = len(members)
    core, mid, surface, loss, dose = (np.full((count, schedule.rows), np.nan) for _ in range(5))
    moments, sums = np.empty((count, 4)), np.empty((count, 7))
    held = np.empty((count, len(schedule.after_s), len(HELD)))
    steps = kernel_loop.Steps(
        times=schedule.times,
        nominal=schedule.nominal_c,
        pit_of_step=schedule.pit_of_step,
        spray=schedule.spray,
        later=schedule.later,
        row_at=schedule.row_at,
        after=schedule.after_s,
    )
    results = (core, mid, surface, loss, dose, moments, sums, held)
    table = np.ascontiguousarray(pits, dtype=np.float64)

    def march_part(part: slice) -> None:
        made = kernel_loop.Marched(*(array[part] for array in results))
        kernel_loop.march(members[part], table[part], steps, float(pressure_pa), int(cells), made)

    # members know nothing of each other: how they are shared out moves no number
    if count < _WORTH_SHARING:
        march_part(slice(0, count))
    else:
        half = count // 2
        with ThreadPoolExecutor(1) as other:
            first = other.submit(march_part, slice(0, half))
            march_part(slice(half, count))
            first.result()
    wrapped, unwrapped, bark, finish = moments.T.copy()
    evaporated, dripped, rendered, sprayed, heat_in, stored, loss_at_finish = sums.T.copy()
    return Marched(
        core_c=core,
        mid_c=mid,
        surface_c=surface,
        loss_fraction=loss,
        dose=dose,
        wrapped_s=wrapped,
        unwrapped_s=unwrapped,
        bark_s=bark,
        finish_s=finish,
        evaporated=evaporated,
        dripped=dripped,
        rendered=rendered,
        sprayed=sprayed,
        heat_in=heat_in,
        stored=stored,
        loss_at_finish=loss_at_finish,
        held=held,
    )


@cache
def _compiled() -> ModuleType:
    """Load the loop, numba with it, its machine code kept in the user's cache folder."""
    import numba  # slow to load

    config: Any = numba.config
    folder = config.CACHE_DIR
    if not folder:
        config.CACHE_DIR = str(platformdirs.user_cache_path("stallwise") / "compiled")
    try:
        return import_module("stallwise.models.kernel_loop")
    finally:
        config.CACHE_DIR = folder  # other people's functions go where they went
