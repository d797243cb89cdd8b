"""Boiling a liquid down: how long it takes, and how much stronger it gets.

The balance is latent heat only: time = water removed x latent heat / heat into the liquid. What the
pan itself loses comes on top. Below the boil none of this holds. Numbers are rows of
``data/kitchen.csv`` [iapws-if97]_ [us-doe-cooking]_.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.models.openpan import depth_m, open_pan_flux_kg_m2_s
from stallwise.tables.humid_air import saturation_pressure_pa
from stallwise.tables.kitchen import kitchen_value

__all__ = [
    "BOIL_C",
    "RINGS",
    "BoilingDown",
    "boil_off_kg_h",
    "boil_time_s",
    "boiling_down",
    "brix_after",
    "concentration",
    "evaporation_heat_j",
    "heat_up_j",
    "heat_up_time_s",
    "left_after_m3",
    "net_power_w",
    "strength_after",
]

BOIL_C = 100.0
START_C = 20.0
RINGS = ("gas", "electric", "induction")


@dataclass(frozen=True)
class BoilingDown:
    """One reduction with its time band.

    Attributes
    ----------
    from_m3, to_m3 : float
        Volume before and after [m3].
    ratio : float
        How many times stronger salt, sugar and gelatin get.
    boil_s, boil_low_s, boil_high_s : float
        Time at the boil [s], and its band when the heat was not said; without pan losses.
    heat_up_s : float
        Time from a cool kitchen to the boil [s].
    power_w : float
        Heat into the liquid [W].
    power_known : bool
        Whether the heat was said by the cook.
    at_c : float
        Temperature that it is kept at [°C]: the boil there, or less.
    below_boil : bool
        Whether it is kept below the boil, where the air over the pan sets the pace.
    pan_m : float or None
        Inner width of the pan [m].
    depth_from_m, depth_to_m : float or None
        How deep it stands before and after [m], where the pan is known.
    """

    from_m3: float
    to_m3: float
    ratio: float
    boil_s: float
    boil_low_s: float
    boil_high_s: float
    heat_up_s: float
    power_w: float
    power_known: bool
    at_c: float = BOIL_C
    below_boil: bool = False
    pan_m: float | None = None
    depth_from_m: float | None = None
    depth_to_m: float | None = None


def concentration(from_m3: float, to_m3: float) -> float:
    """How many times stronger what does not boil away gets, by volume.

    Raises
    ------
    InputError
        Nothing left, or more left than there was.
    """
    if not 0.0 < to_m3 <= from_m3:
        raise InputError(
            f"boiling {from_m3 * 1e6:.0f} ml down to {to_m3 * 1e6:.0f} ml",
            "less than there was, and more than nothing",
        )
    return from_m3 / to_m3


def strength_after(before: float, from_m3: float, to_m3: float) -> float:
    """Strength after boiling down, in the unit of `before` (mg in 100 g, %, …)."""
    return before * concentration(from_m3, to_m3)


def brix_after(brix: float, from_kg: float, to_kg: float) -> float:
    """Sugar strength [°Bx] after boiling a mass down to another [kg]; it cannot pass 100.

    Raises
    ------
    InputError
        Nothing left, more left than there was, or less than the sugar alone weighs.
    """
    if not 0.0 < to_kg <= from_kg or brix * from_kg / to_kg > 100.0 + 1e-9:
        raise InputError(
            f"boiling {from_kg:g} kg of {brix:g} °Bx down to {to_kg:g} kg",
            f"{brix * from_kg / 100.0:g} kg (sugar alone) to {from_kg:g} kg",
        )
    return brix * from_kg / to_kg


def evaporation_heat_j(volume_m3: float) -> float:
    """Heat [J] that boils away a volume of water measured cool [m3]."""
    return volume_m3 * _si("water_density") * _si("latent_heat") * 1e3


def boil_time_s(from_m3: float, to_m3: float, power_w: float) -> float:
    """Time at the boil [s] with `power_w` going into the liquid [W], pan losses not counted.

    Raises
    ------
    InputError
        More left than there was, nothing left, or no heat.
    """
    concentration(from_m3, to_m3)
    _hot(power_w)
    return evaporation_heat_j(from_m3 - to_m3) / power_w


def left_after_m3(from_m3: float, time_s: float, power_w: float) -> float:
    """Volume left [m3] after a time at the boil [s] with `power_w` into the liquid [W]; never below 0.

    Raises
    ------
    InputError
        No heat, a negative time, or nothing in the pan.
    """
    _hot(power_w)
    if not (from_m3 > 0.0 and time_s >= 0.0):
        raise InputError(f"{from_m3 * 1e6:.0f} ml for {time_s:g} s", "something, for 0 s or longer")
    gone_kg = boil_off_kg_h(power_w) * time_s / 3600.0
    return max(from_m3 - gone_kg / _si("water_density"), 0.0)


def heat_up_j(mass_kg: float, from_c: float = START_C, to_c: float = BOIL_C) -> float:
    """Heat [J] that brings a mass of watery liquid [kg] from one temperature to another [°C]."""
    return mass_kg * _si("water_specific_heat") * 1e3 * (to_c - from_c)


def heat_up_time_s(
    mass_kg: float, power_w: float, from_c: float = START_C, to_c: float = BOIL_C
) -> float:
    """Time [s] to bring a mass of watery liquid [kg] to `to_c` with `power_w` into it [W]."""
    _hot(power_w)
    return heat_up_j(mass_kg, from_c, to_c) / power_w


def boil_off_kg_h(power_w: float) -> float:
    """Water boiled away in an hour [kg/h] with `power_w` into the liquid [W]."""
    return power_w / (_si("latent_heat") * 1e3) * 3600.0


def net_power_w(rated_w: float, ring: str) -> float:
    """Heat that reaches the liquid [W] from a ring of a rating [W].

    Parameters
    ----------
    rated_w : float
        Rating of the ring [W].
    ring : {"gas", "electric", "induction"}
        Kind of ring; the shares are second hand.
    """
    if ring not in RINGS:
        raise NotFoundError("kind of ring", ring, RINGS)
    _hot(rated_w)
    return rated_w * kitchen_value(f"ring_{ring}").value


def boiling_down(
    from_m3: float,
    to_m3: float,
    mass_kg: float,
    *,
    power_w: float | None = None,
    ring: str = "",
    pan_m: float | None = None,
    at_c: float | None = None,
    boil_c: float = BOIL_C,
) -> BoilingDown:
    """Time and strength of one reduction.

    Parameters
    ----------
    from_m3, to_m3 : float
        Volume before and after [m3].
    mass_kg : float
        Mass to bring to the boil [kg].
    power_w : float, optional
        Heat into the liquid [W], or the rating of `ring`; a home ring's usual band when not given.
    ring : str, optional
        ``gas``, ``electric`` or ``induction``.
    pan_m : float, optional
        Inner width of a round pan [m].
    at_c : float, optional
        Kept below the boil at this temperature [°C]; the pan must be known then.
    boil_c : float, default 100
        Where water boils at this elevation [°C].

    Raises
    ------
    InputError
        Kept below the boil in a pan of which nothing is known.
    """
    usual = kitchen_value("ring_net_power")
    low_w, net_w, high_w = usual.low, usual.value, usual.high
    if power_w is not None:
        low_w = net_w = high_w = net_power_w(power_w, ring) if ring else power_w
    known = power_w is not None
    depths = (None, None) if pan_m is None else (depth_m(from_m3, pan_m), depth_m(to_m3, pan_m))
    down = BoilingDown(
        from_m3=from_m3,
        to_m3=to_m3,
        ratio=concentration(from_m3, to_m3),
        boil_s=boil_time_s(from_m3, to_m3, net_w),
        boil_low_s=boil_time_s(from_m3, to_m3, high_w),
        boil_high_s=boil_time_s(from_m3, to_m3, low_w),
        heat_up_s=heat_up_time_s(mass_kg, net_w, to_c=at_c or boil_c),
        power_w=net_w,
        power_known=known,
        at_c=boil_c,
        pan_m=pan_m,
        depth_from_m=depths[0],
        depth_to_m=depths[1],
    )
    return down if at_c is None else _below_the_boil(down, at_c, boil_c)


def _below_the_boil(down: BoilingDown, at_c: float, boil_c: float) -> BoilingDown:
    """Take the pace of an open pan: its surface, not the ring, lets the water go."""
    if down.pan_m is None:
        raise InputError(
            f"kept at {at_c:.0f} °C, below the boil, in a pan of unknown width",
            'the width of the pan: pan = "24 cm"',
        )
    pressure_pa = float(saturation_pressure_pa(boil_c))
    flux = open_pan_flux_kg_m2_s(at_c, pressure_pa=pressure_pa)
    water_kg = (down.from_m3 - down.to_m3) * _si("water_density")
    area_m2 = math.pi * down.pan_m**2 / 4.0
    return replace(
        down,
        boil_s=water_kg / (flux.middle * area_m2),
        boil_low_s=water_kg / (flux.high * area_m2),
        boil_high_s=water_kg / (flux.low * area_m2),
        at_c=at_c,
        below_boil=True,
    )


def _hot(power_w: float) -> None:
    if not power_w > 0.0:
        raise InputError(f"{power_w:g} W of heat", "more than 0 W")


def _si(key: str) -> float:
    return kitchen_value(key).value
