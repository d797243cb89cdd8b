"""Compute the rows of the CSV files here that come from another library, and write them anew.

``python tests/published/regenerate.py`` replaces every row whose source is CoolProp, psychrolib
or scipy and leaves all others as they stand; ``--check`` only says what would change (exit
status 1). Our own code is never called: the expected values are the other library's alone.
"""

from __future__ import annotations

import csv
import io
import json
import math
import sys
from pathlib import Path

import CoolProp
import numpy as np
import psychrolib
import scipy
import scipy.constants
from CoolProp.CoolProp import HAPropsSI, PropsSI
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import gamma, j0, j1, jv

FOLDER = Path(__file__).parent
LIBRARIES = ("CoolProp", "psychrolib", "scipy")
COLUMNS = ["function", "arguments", "expected", "tolerance", "source", "place", "grade"]
COOLPROP = f"CoolProp {CoolProp.__version__}"
PSYCHROLIB = "psychrolib 2.5.0"
SCIPY = f"scipy {scipy.__version__}"
KELVIN = 273.15
SEA_PA = 101325.0
#: Same to within this share, two computations of one value are the same.
SAME = 1e-7


def row(function, arguments, expected, tolerance, source, place):
    return {
        "function": function,
        "arguments": json.dumps(arguments),
        "expected": f"{expected:.8g}",
        "tolerance": tolerance,
        "source": source,
        "place": place,
        "grade": "published",
    }


def water(quantity, temperature_c):
    return PropsSI(quantity, "T", temperature_c + KELVIN, "P", SEA_PA, "Water")


def properties():
    pure = {"water": 1, "protein": 0, "fat": 0, "ash": 0}
    # The fit of Choi and Okos is to be as good as this for water over the temperatures of a cook.
    table = [
        ("density_kg_m3", "D", "rel:0.003", (5, 10, 20, 30, 40, 50, 60, 70, 80, 95)),
        ("specific_heat_j_kg_k", "C", "rel:0.005", (10, 20, 30, 40, 50, 60, 70, 80, 90, 95)),
        ("conductivity_w_m_k", "L", "rel:0.012", (20, 30, 40, 50, 60, 70, 80, 85, 90, 95)),
    ]
    for name, letter, tolerance, temperatures in table:
        for t in temperatures:
            yield row(
                f"tables.properties.{name}",
                {"composition": pure, "temperature_c": t},
                water(letter, t),
                tolerance,
                COOLPROP,
                f"PropsSI {letter} of water at {t} °C and 101325 Pa",
            )
    # Of one substance alone, in parallel and in series are the same.
    for name in ("conductivity_parallel_w_m_k", "conductivity_series_w_m_k"):
        for t in (25, 55, 90):
            arguments = {"composition": pure, "temperature_c": t}
            place = f"PropsSI L of water at {t} °C and 101325 Pa"
            yield row(
                f"tables.properties.{name}", arguments, water("L", t), "rel:0.012", COOLPROP, place
            )
    for t in (20, 60, 95):
        spread = water("L", t) / water("D", t) / water("C", t)
        arguments = {"composition": pure, "temperature_c": t}
        place = f"PropsSI L over D times C of water at {t} °C and 101325 Pa"
        yield row(
            "tables.properties.diffusivity_m2_s", arguments, spread, "rel:0.015", COOLPROP, place
        )


def saturation():
    for t in (5, 20, 40, 60, 80, 95, 100, 120, 150, 180):
        value = PropsSI("P", "T", t + KELVIN, "Q", 0, "Water")
        place = f"PropsSI P of saturated water at {t} °C"
        yield row(
            "tables.humid_air.saturation_pressure_pa",
            {"temperature_c": t}, value, "rel:0.0003", COOLPROP, place,
        )  # fmt: skip
    for t in (12, 74, 107):
        value = PropsSI("P", "T", t + KELVIN, "Q", 0, "Water")
        place = f"PropsSI P of saturated water at {t} °C"
        yield row(
            "tables.humid_air.hyland_wexler_pa",
            {"temperature_c": t}, value, "rel:0.0003", COOLPROP, place,
        )  # fmt: skip
    for t in (5, 10, 20, 40, 50, 60, 70, 80, 90, 100):
        heats = [PropsSI("H", "T", t + KELVIN, "Q", share, "Water") for share in (0, 1)]
        place = f"PropsSI H of steam less H of water, saturated at {t} °C"
        yield row(
            "tables.humid_air.latent_heat_j_kg",
            {"temperature_c": t}, heats[1] - heats[0], "rel:0.004", COOLPROP, place,
        )  # fmt: skip
    for p in (50_000, 60_000, 70_000, 75_000, 80_000, 84_307, 90_000, 95_000, 101_325, 105_000):
        value = PropsSI("T", "P", p, "Q", 0, "Water") - KELVIN
        place = f"PropsSI T of saturated water at {p} Pa"
        yield row(
            "tables.humid_air.boiling_point_c",
            {"pressure_pa": p}, value, "0.005", COOLPROP, place,
        )  # fmt: skip


def mixtures():
    psychrolib.SetUnitSystem(psychrolib.SI)
    cases = [
        (60, 0.02, 101325), (107, 0.02, 101325), (120, 0.08, 101325), (150, 0.04, 101325),
        (180, 0.15, 101325), (107, 0.04, 83523), (180, 0.02, 57726),
    ]  # fmt: skip
    name = "tables.humid_air.wet_bulb_c"
    for t, w, p in cases:
        value = HAPropsSI("B", "T", t + KELVIN, "W", w, "P", p) - KELVIN
        arguments = {"dry_bulb_c": t, "humidity_ratio": w, "pressure_pa": p}
        place = f"HAPropsSI B at {t} °C, W {w}, {p} Pa"
        yield row(name, arguments, value, "0.15", COOLPROP, place)
    # Above 130 °C psychrolib returns the dry bulb for humid air, so it is asked only below.
    for t, w, p in [(80, 0.04, 101325), (121, 0.01, 101325), (107, 0.08, 83523)]:
        value = psychrolib.GetTWetBulbFromHumRatio(t, w, p)
        arguments = {"dry_bulb_c": t, "humidity_ratio": w, "pressure_pa": p}
        place = f"GetTWetBulbFromHumRatio at {t} °C, W {w}, {p} Pa"
        yield row(name, arguments, value, "0.002", PSYCHROLIB, place)
    # CoolProp counts the real gas (the enhancement factor), we the perfect one: 0.4 to 1 %.
    name = "tables.humid_air.humidity_ratio_from_relative_humidity"
    for t, share in [(5, 0.8), (10, 0.6), (15, 0.9), (20, 0.5), (25, 0.6), (30, 0.4), (35, 0.9),
                     (40, 0.2), (60, 0.5), (80, 0.3)]:  # fmt: skip
        value = HAPropsSI("W", "T", t + KELVIN, "R", share, "P", SEA_PA)
        arguments = {"relative_humidity": share, "temperature_c": t}
        yield row(name, arguments, value, "rel:0.01", COOLPROP, f"HAPropsSI W at {t} °C, R {share}")
    for pv, p in [(1000, 101325), (5000, 101325), (20000, 84307), (60000, 101325)]:
        value = psychrolib.GetHumRatioFromVapPres(pv, p)
        arguments = {"vapour_pressure_pa": pv, "pressure_pa": p}
        place = f"GetHumRatioFromVapPres at {pv} Pa in {p} Pa"
        yield row(
            "tables.humid_air.humidity_ratio", arguments, value, "rel:1e-6", PSYCHROLIB, place
        )
    for w, p in [(0.005, 101325), (0.02, 101325), (0.08, 84307), (0.5, 101325)]:
        value = psychrolib.GetVapPresFromHumRatio(w, p)
        arguments = {"humidity_ratio": w, "pressure_pa": p}
        place = f"GetVapPresFromHumRatio at W {w} in {p} Pa"
        yield row(
            "tables.humid_air.vapour_pressure_pa", arguments, value, "rel:1e-6", PSYCHROLIB, place
        )
    for z in (-100, 180, 1600, 3000, 4500):
        value = psychrolib.GetStandardAtmPressure(z)
        place = f"GetStandardAtmPressure at {z} m"
        yield row(
            "tables.humid_air.pressure_at_elevation_pa",
            {"elevation_m": z}, value, "rel:1e-6", PSYCHROLIB, place,
        )  # fmt: skip


def transfer():
    # A soaking surface without radiation is a wet bulb, but for the Lewis number: 0 to 1.5 K lower.
    for t, w, p in [(80, 0.02, 101325), (107, 0.02, 101325), (107, 0.08, 101325),
                    (135, 0.04, 101325), (150, 0.08, 101325), (107, 0.04, 83523)]:  # fmt: skip
        value = HAPropsSI("B", "T", t + KELVIN, "W", w, "P", p) - KELVIN
        arguments = {
            "pit_c": t, "humidity_ratio": w, "convection_w_m2_k": 10, "wetness": 1,
            "emissivity": 0, "pressure_pa": p,
        }  # fmt: skip
        place = f"HAPropsSI B at {t} °C, W {w}, {p} Pa: the wet bulb, 0 to 1.5 K higher"
        yield row("models.transfer.plateau_temperature_c", arguments, value, "1.5", COOLPROP, place)
    for t in (0, 65, 107):
        value = 4 * scipy.constants.Stefan_Boltzmann * (t + KELVIN) ** 3
        arguments = {"emissivity": 1, "surface_c": t, "walls_c": t}
        place = f"4 constants.Stefan_Boltzmann T**3 at {t} °C"
        yield row(
            "models.transfer.radiative_coefficient_w_m2_k", arguments, value, "1e-6", SCIPY, place
        )
    # A film of dry air at the mean temperature: the vapour's own gas constant turns density into pressure.
    for t, h, p in [(20, 5, 101325), (80, 10, 101325), (120, 20, 83523)]:
        air = [PropsSI(letter, "T", t + KELVIN, "P", p, "Air") for letter in ("D", "C")]
        steam = scipy.constants.R / 0.01801528
        value = h / (air[0] * air[1]) * 0.83 ** (-2 / 3) / (steam * (t + KELVIN))
        arguments = {"convection_w_m2_k": h, "pressure_pa": p, "lewis_number": 0.83}
        place = (
            f"PropsSI D and C of air at {t} °C, {p} Pa; h / (D C) Le**(-2/3) over the vapour's R T"
        )
        yield row("models.transfer.lewis_conductance_kg_m2_s_pa", arguments, value, "rel:0.01",
                  COOLPROP, place)  # fmt: skip
    for ps, pv, p in [(20_000, 1_500, 101325), (70_000, 3_000, 101325), (50_000, 8_000, 83523)]:
        arguments = {"surface_vapour_pa": ps, "air_vapour_pa": pv, "pressure_pa": p}
        place = f"integrate.solve_ivp through a still film, {ps} to {pv} Pa in {p} Pa"
        yield row("models.transfer.stefan_factor", arguments, through_film(ps, pv, p), "rel:1e-6",
                  SCIPY, place)  # fmt: skip
    for t, pv, wetness in [(45, 2_000, 1), (70, 3_500, 0.3), (90, 1_600, 0.05)]:
        ps = PropsSI("P", "T", t + KELVIN, "Q", 0, "Water")
        value = wetness * 6e-8 * through_film(ps, pv, SEA_PA) * (ps - pv)
        arguments = {
            "wetness": wetness, "conductance_kg_m2_s_pa": 6e-8, "surface_c": t, "air_vapour_pa": pv,
        }  # fmt: skip
        place = f"integrate.solve_ivp through a still film over water at {t} °C, saturation from CoolProp"
        yield row("models.transfer.evaporation_flux_kg_m2_s", arguments, value, "rel:0.0005",
                  SCIPY, place)  # fmt: skip


def through_film(surface_pa, air_pa, pressure_pa):
    """Vapour through a still film that its own stream carries, over what diffusion alone would carry."""

    def end(flow):  # share of vapour y: dy/dx = -flow (1 - y) across a film one thick
        run = solve_ivp(lambda _, y: -flow * (1 - y), (0, 1), [surface_pa / pressure_pa],
                        rtol=1e-12, atol=1e-13)  # fmt: skip
        return run.y[0, -1] - air_pa / pressure_pa

    return brentq(end, 1e-9, 20, xtol=1e-13) * pressure_pa / (surface_pa - air_pa)


def conduction():
    def slab(z, biot):
        return z * math.sin(z) - biot * math.cos(z)

    def cylinder(z, biot):
        return z * j1(z) - biot * j0(z)

    def sphere(z, biot):
        return math.sin(z) * (1 - biot) - z * math.cos(z)

    def real(z, biot):
        return z * jv(1.6875 / 2, z) - biot * jv(1.6875 / 2 - 1, z)

    cases = [
        (slab, 1, 0.1, "z sin z = Bi cos z"), (slab, 1, 1, "z sin z = Bi cos z"),
        (slab, 1, 10, "z sin z = Bi cos z"), (cylinder, 2, 0.5, "z J1 = Bi J0"),
        (cylinder, 2, 2, "z J1 = Bi J0"), (cylinder, 2, 10, "z J1 = Bi J0"),
        (sphere, 3, 0.5, "1 - z cot z = Bi"), (sphere, 3, 2, "1 - z cot z = Bi"),
        (sphere, 3, 10, "1 - z cot z = Bi"), (real, 1.6875, 2, "z J_{n/2} = Bi J_{n/2-1}"),
    ]  # fmt: skip
    for function, n, biot, equation in cases:
        ends = {1: (1e-9, math.pi / 2), 2: (1e-9, 2.4048), 3: (1e-6, math.pi), 1.6875: (1e-9, 2.1)}
        value = brentq(function, *ends[n], args=(biot,), xtol=1e-14)
        arguments = {"shape_n": n, "biot": biot}
        place = f"optimize.brentq of {equation}"
        yield row("models.body.first_eigenvalue", arguments, value, "1e-6", SCIPY, place)


def alike(n, radius, reach, decay):
    """Factor on the conductivity at which a body of shape n loses its slowest mode as fast as `decay`."""

    def surplus(factor):
        biot = reach * radius / factor
        z = brentq(lambda z: z * jv(n / 2, z) - biot * jv(n / 2 - 1, z), 1e-9, math.pi, xtol=1e-13)
        return factor * (z / radius) ** 2 - decay

    return brentq(surplus, 0.1, 3.0, xtol=1e-12)


def slowest(half, reach):
    """Decay of a plate's slowest mode over its diffusivity [1/m2]; `reach` is h / k."""
    biot = reach * half
    return (brentq(lambda z: z * math.tan(z) - biot, 1e-9, math.pi / 2 - 1e-9) / half) ** 2


def bodies():
    for sides in ([0.05, 0.08, 0.11], [0.03, 0.125, 0.2], [0.06, 0.06, 0.06]):
        reach = 14.0 / 0.46
        value = alike(
            sum(sides[0] / side for side in sides), sides[0], reach,
            sum(slowest(side, reach) for side in sides),
        )  # fmt: skip
        arguments = {"half_dims_m": sides, "convection_w_m2_k": 14, "conductivity_w_m_k": 0.46}
        yield row("models.body.equivalent_body:conductivity_factor", arguments, value, "1e-6", SCIPY,
                  "optimize.brentq: slowest modes of three plates together, and of the round body"
                  )  # fmt: skip
    for diameter, fill, exchange in [(0.30, 0.20, 8), (0.24, 0.10, 25), (0.40, 0.40, 100)]:
        across, along, reach = diameter / 2, fill / 2, exchange / 0.5
        biot = reach * across
        zeta = brentq(lambda z, biot=biot: z * j1(z) - biot * j0(z), 1e-9, 2.4048)
        radius = min(across, along)
        value = alike(radius * (2 / across + 1 / along), radius, reach,
                      (zeta / across) ** 2 + slowest(along, reach))  # fmt: skip
        arguments = {
            "diameter_m": diameter, "fill_m": fill, "exchange_w_m2_k": exchange,
            "conductivity_w_m_k": 0.5,
        }  # fmt: skip
        yield row("models.vessel.pot_body:conductivity_factor", arguments, value, "1e-6", SCIPY,
                  "optimize.brentq: slowest modes of log and plate together, and of the round body"
                  )  # fmt: skip


def layers():
    alpha = 0.5 / 3.6e6
    for time, target, exchange in [(7200, 21, 10), (14400, 30, 25), (3600, 40, 60)]:
        share = (target - 4) / (60 - 4)

        def late(half, time=time, share=share, exchange=exchange):
            return series_left(1, exchange * half / 0.5, alpha * time / half**2, 0.0) - share

        arguments = {
            "time_s": time, "target_c": target, "start_c": 60, "surroundings_c": 4,
            "top_w_m2_k": exchange, "bottom_w_m2_k": exchange, "conductivity_w_m_k": 0.5,
            "heat_capacity_j_m3_k": 3.6e6,
        }  # fmt: skip
        yield row("models.vessel.layer_for_time_m", arguments, 2 * brentq(late, 0.003, 0.08),
                  "rel:0.003", SCIPY,
                  f"optimize.brentq of the series of a plate, 60 to {target} °C in {time} s")  # fmt: skip


def swings():
    for split, every, burn, loss, store in [(9e6, 2400, 1200, 40, 1.2e5), (9e6, 1800, 900, 45, 6e4),
                                            (1.2e7, 3600, 900, 30, 3e5)]:  # fmt: skip
        t = 0.0
        for _ in range(80):  # until one turn is as the last
            levels = [t]
            for span, heat in ((burn, split / burn), (every - burn, 0.0)):
                run = solve_ivp(lambda _, y, heat=heat, loss=loss, store=store: (heat - loss * y) / store,
                                (0, span), [t], rtol=1e-10, atol=1e-9)  # fmt: skip
                t = run.y[0, -1]
                levels.append(t)
        arguments = {"split_j": split, "interval_s": every, "burn_s": burn, "loss_w_k": loss,
                     "heat_j_k": store}  # fmt: skip
        yield row("models.fuel.split_swing_k", arguments, max(levels) - min(levels), "rel:1e-6",
                  SCIPY, f"integrate.solve_ivp of one lump heated {burn} of every {every} s")  # fmt: skip


def series_left(n, biot, fourier, position):
    """Share of the first difference that is left in a slab (1), cylinder (2) or ball (3)."""
    order = n / 2.0 - 1.0

    def root(z):
        return z * jv(order + 1.0, z) - biot * jv(order, z)

    def mode(z):
        return gamma(order + 1.0) * (2.0 / z) ** order * jv(order, z) if z > 0.0 else 1.0

    grid = np.arange(1e-6, 160.0, 0.02)
    signs = np.sign(root(grid))
    starts = np.flatnonzero(signs[:-1] != signs[1:])
    zeros = [brentq(root, grid[i], grid[i + 1], xtol=1e-14) for i in starts]
    return sum(
        2.0 * biot / ((z * z + biot * biot + (2.0 - n) * biot) * mode(z))
        * mode(z * position) * math.exp(-z * z * fourier)
        for z in zeros
    )  # fmt: skip


def settling():
    inside = {"radius_m": 0.04, "conductivity_w_m_k": 0.5, "heat_capacity_j_m3_k": 3.6e6}
    alpha = 0.5 / 3.6e6
    equations = "series over optimize.brentq of z J_{n/2} = Bi J_{n/2-1}"

    def body(n, biot):
        return {**inside, "shape_n": n, "exchange_w_m2_k": biot * 0.5 / 0.04}

    for n, biot, fourier in [(1, 0.5, 0.5), (1, 2, 0.2), (1, 10, 0.5), (2, 0.5, 1), (2, 2, 0.5),
                             (2, 10, 0.1), (3, 0.5, 0.5), (3, 2, 0.2), (3, 10, 0.2),
                             (1.6875, 2, 0.5)]:  # fmt: skip
        value = 4.0 + 56.0 * series_left(n, biot, fourier, 0.0)
        arguments = {"time_s": fourier * 0.04**2 / alpha, "start_c": 60, "surroundings_c": 4}
        place = f"{equations}, n {n}, Bi {biot}, Fo {fourier}, the middle"
        yield row("models.settling.core_after_c", {**arguments, **body(n, biot)}, value, "0.06",
                  SCIPY, place)  # fmt: skip
    for n, biot, fourier in [(1, 1, 0.2), (1, 5, 0.1), (2, 1, 0.5), (2, 5, 0.2), (3, 2, 0.1),
                             (3, 0.5, 1)]:  # fmt: skip
        value = 4.0 + 56.0 * series_left(n, biot, fourier, 1.0)
        arguments = {"time_s": fourier * 0.04**2 / alpha, "start_c": 60, "surroundings_c": 4}
        place = f"{equations}, n {n}, Bi {biot}, Fo {fourier}, the surface"
        yield row("models.settling.surface_after_c", {**arguments, **body(n, biot)}, value, "0.05",
                  SCIPY, place)  # fmt: skip
    for n, biot, share in [(1, 1, 0.3), (1, 10, 0.1), (2, 2, 0.5), (2, 0.5, 0.1), (3, 2, 0.3),
                           (1.6875, 5, 0.2)]:  # fmt: skip
        fourier = brentq(
            lambda fo, n=n, biot=biot, share=share: series_left(n, biot, fo, 0.0) - share,
            0.02, 20, xtol=1e-10,
        )  # fmt: skip
        arguments = {"target_c": 4 + 56 * share, "start_c": 60, "surroundings_c": 4}
        place = f"optimize.brentq of the series, n {n}, Bi {biot}, {share} of the difference left"
        yield row("models.settling.core_time_s", {**arguments, **body(n, biot)},
                  fourier * 0.04**2 / alpha, "rel:0.003", SCIPY, place)  # fmt: skip


def lump():
    sigma = scipy.constants.Stefan_Boltzmann

    def loss(t, outside, convection, emissivity, wetness):
        dry = convection * (t - outside) + emissivity * sigma * (
            (t + KELVIN) ** 4 - (outside + KELVIN) ** 4
        )
        # Lewis relation with Le 0.83 and Stefan flow into dry air, saturation from CoolProp.
        steam = PropsSI("P", "T", t + KELVIN, "Q", 0, "Water")
        beta = 0.621945 * convection / (1006.0 * SEA_PA) * 0.83 ** (-2.0 / 3.0)
        flow = beta * SEA_PA * math.log(SEA_PA / (SEA_PA - steam))
        return dry + wetness * flow * (2_501_000.0 - 2_361.0 * t)

    cases = [
        (85, 21, 4, 0.05, 5, 0.9, 0.0), (85, 21, 4, 0.05, 5, 0.9, 1.0), (57.2, 5, 3, 0.025, 10, 0.3, 0),
        (95, 60, 22, 0.03, 5, 0.9, 0.3), (4, 60, 75, 0.02, 8, 0.9, 0),
    ]  # fmt: skip
    for start, target, outside, size, convection, emissivity, wetness in cases:

        def slope(
            _, t, outside=outside, size=size, convection=convection, emissivity=emissivity,
            wetness=wetness,
        ):  # fmt: skip
            return [-loss(t[0], outside, convection, emissivity, wetness) / (4.1e6 * size)]

        def there(_, t, target=target):
            return t[0] - target

        there.terminal = True
        run = solve_ivp(slope, (0, 1e7), [start], events=there, rtol=1e-10, atol=1e-8)
        arguments = {
            "start_c": start, "target_c": target, "surroundings_c": outside,
            "volume_per_area_m": size, "heat_capacity_j_m3_k": 4.1e6,
            "convection_w_m2_k": convection, "emissivity": emissivity, "wetness": wetness,
        }  # fmt: skip
        place = f"integrate.solve_ivp of the balance, {start} to {target} °C in {outside} °C"
        time = run.t_events[0][0]
        yield row("models.lump.lump_time_s", arguments, time, "rel:0.001", SCIPY,
                  place + (", saturation from CoolProp" if wetness else ""))  # fmt: skip
        if emissivity > 0.5 and start > target:
            ratio = (start - outside) / (target - outside)
            exchange = {k: v for k, v in arguments.items() if k[:4] not in {"volu", "heat"}}
            yield row("models.lump.mean_exchange_w_m2_k", exchange,
                      4.1e6 * size * math.log(ratio) / time, "rel:0.001", SCIPY,
                      f"the constant that takes as long: {place}")  # fmt: skip
    for t, outside, convection, emissivity in [(60, 4, 5, 0.9), (95, 22, 4, 0.3), (10, 60, 8, 0.9)]:
        arguments = {
            "surface_c": t, "surroundings_c": outside, "convection_w_m2_k": convection,
            "emissivity": emissivity,
        }  # fmt: skip
        yield row("models.lump.surface_loss_w_m2", arguments,
                  loss(t, outside, convection, emissivity, 0.0), "rel:1e-6", SCIPY,
                  f"constants.Stefan_Boltzmann, {t} °C in {outside} °C")  # fmt: skip


def ice():
    latent, heat = 333_550.0, 4190.0
    cases = [(8, 90, 60, 6, 4), (8, 90, 60, 20, 10), (4, 57.2, 25, 1.5, 3), (12, 80, 100, 3, 0.5)]
    for mass, start, conductance, ice_kg, water_kg in cases:

        def slope(_, heats, mass=mass, conductance=conductance, ice_kg=ice_kg, water_kg=water_kg):
            pot, bath = heats
            # The bath's heat counts from melted ice: below it there is ice, and 0 °C.
            bath_c = max(bath - ice_kg * latent, 0.0) / ((ice_kg + water_kg) * heat)
            flow = conductance * (pot / (mass * heat) - bath_c)
            return [-flow, flow]

        times = (600.0, 1800.0, 5400.0)
        run = solve_ivp(
            slope, (0, times[-1]), [mass * heat * start, 0.0], t_eval=times, rtol=1e-9, atol=1e-3,
            max_step=10.0,
        )  # fmt: skip
        bath = {
            "mass_kg": mass, "start_c": start, "conductance_w_k": conductance, "ice_kg": ice_kg,
            "water_kg": water_kg,
        }  # fmt: skip

        def cold(_, heats, mass=mass):
            return heats[0] / (mass * heat) - 20.0

        cold.terminal = True
        down = solve_ivp(
            slope, (0, 1e5), [mass * heat * start, 0.0], events=cold, rtol=1e-9, atol=1e-3,
            max_step=10.0,
        )  # fmt: skip
        if down.t_events[0].size:
            yield row(
                "models.ice.ice_bath_time_s", {"target_c": 20, **bath}, down.t_events[0][0],
                "rel:0.001", SCIPY, f"integrate.solve_ivp of pot and bath, {ice_kg} kg of ice",
            )  # fmt: skip
        for time, pot in zip(times, run.y[0], strict=True):
            if time == times[0] and ice_kg > 3:
                continue
            yield row(
                "models.ice.ice_bath_temperature_c", {"time_s": time, **bath}, pot / mass / heat,
                "0.01", SCIPY, f"integrate.solve_ivp of pot and bath, {ice_kg} kg of ice, {time} s",
            )  # fmt: skip


MAKERS = {
    "properties": [properties],
    "humid_air": [saturation, mixtures],
    "transfer": [transfer],
    "conduction": [conduction, bodies],
    "cooling": [settling, lump, ice, layers],
    "fuel": [swings],
}


def same(old, new):
    if len(old) != len(new):
        return False
    return all(
        {k: v for k, v in a.items() if k != "expected"}
        == {k: v for k, v in b.items() if k != "expected"}
        and np.isclose(float(a["expected"]), float(b["expected"]), rtol=SAME, atol=0.0)
        for a, b in zip(old, new, strict=True)
    )


def main(arguments):
    changed = []
    for stem, makers in MAKERS.items():
        path = FOLDER / f"{stem}.csv"
        with path.open(encoding="utf-8", newline="") as file:
            before = list(csv.DictReader(file))
        kept = [each for each in before if not each["source"].startswith(LIBRARIES)]
        old = [each for each in before if each["source"].startswith(LIBRARIES)]
        new = [each for maker in makers for each in maker()]
        if same(old, new):
            continue
        changed.append(path.name)
        if "--check" not in arguments:
            text = io.StringIO()
            writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(kept + new)
            path.write_text(text.getvalue(), encoding="utf-8")
    sys.stdout.write(f"{', '.join(changed) or 'nothing'} changed\n")
    return 1 if changed and "--check" in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
