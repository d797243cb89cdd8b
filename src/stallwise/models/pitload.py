"""Cold meat put into a hot pit: how far the pit falls before its fire has answered."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stallwise.ground.ranges import Range
from stallwise.models.transfer import radiative_coefficient_w_m2_k
from stallwise.tables.parameters import parameter

__all__ = ["Loading", "loading"]

_AREA = Range("surface of the meat", 0.0, 200.0, "m2")
_PIT = Range("pit", -40.0, 400.0, "°C")
#: How far is looked, and how closely [s].
_LONGEST_S, _STEP_S = 4 * 3600.0, 60.0


@dataclass(frozen=True)
class Loading:
    """How far the pit falls [K], and when a fire that is fed has brought it back [s]."""

    dip_k: float
    back_s: float


def loading(
    surface_m2: float,
    pit_c: float,
    *,
    convection_w_m2_k: float,
    loss_w_k: float,
    steel_kg: float,
    outside_c: float,
) -> Loading:
    """Fall of a pit when cold meat is laid into it, and the time until it is back.

    The lid is opened for it as for a look. Meat draws h A (T_pit - T_surface), with convection and radiation in h and a surface that has
    warmed half way to its plateau. The fire burns on as before for ``pit.loading.answer``; walls of
    heat C lose K = loss + h A for each kelvin: dT = Q / K (1 - exp(-t K / C)). Once the fire has
    answered, what the meat has taken comes back with C / loss.

    Parameters
    ----------
    surface_m2 : float
        Surface of all that goes on in one visit [m2].
    pit_c : float
        Pit before [°C].
    convection_w_m2_k : float
        At the meat [W/(m2 K)].
    loss_w_k : float
        Walls and smoke together [W/K].
    steel_kg : float
        What holds heat in the pit, as steel [kg].
    outside_c : float
        Air outside, which comes in at the lid [°C].

    Returns
    -------
    Loading

    References
    ----------
    [incropera]_
    """
    _AREA.require(surface_m2)
    _PIT.require(pit_c)
    surface_c = parameter("pit.loading.surface").value
    grey, heat_j_k = (
        parameter("meat.emissivity").value,
        steel_kg * parameter("fuel.steel_heat").value,
    )
    radiation = float(radiative_coefficient_w_m2_k(grey, surface_c, pit_c))
    taken_w_k = (convection_w_m2_k + radiation) * surface_m2
    lost_w_k = loss_w_k + taken_w_k
    rate = lost_w_k / heat_j_k
    full_k = taken_w_k * max(pit_c - surface_c, 0.0) / lost_w_k
    answer_s = parameter("pit.loading.answer").value
    time_s = np.arange(0.0, _LONGEST_S, _STEP_S)
    drawn_k = full_k * (1.0 - np.exp(-rate * np.minimum(time_s, answer_s)))
    walls = loss_w_k / heat_j_k
    drawn_k *= np.exp(-walls * np.maximum(time_s - answer_s, 0.0))
    lid_k = parameter("pit.opening.dip").value * max(pit_c - outside_c, 0.0)
    missing_k = drawn_k + lid_k * np.exp(-3.0 * time_s / parameter("pit.opening.recovery").value)
    low = time_s[missing_k > parameter("pit.loading.near").value]
    return Loading(float(missing_k.max()), float(low[-1]) + _STEP_S if len(low) else 0.0)
