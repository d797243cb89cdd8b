"""The time march: against series solutions, a fine grid, a second writing of it, and its own books."""

from __future__ import annotations

import dataclasses
import importlib.util
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.models import tenderness
from stallwise.models.kernel import march, members_like
from stallwise.models.transfer import plateau_temperature_c
from stallwise.tables.humid_air import boiling_point_c, hyland_wexler_pa, latent_heat_j_kg

spec = importlib.util.spec_from_file_location("kitchen", Path(__file__).parent / "kitchen.py")
kitchen = importlib.util.module_from_spec(spec)
spec.loader.exec_module(kitchen)

series = kitchen.beside("series.py")
twin = kitchen.beside("numpy_twin.py")
HOUR, SEA = kitchen.HOUR, kitchen.SEA
FOIL, PAPER, RACK, SHOULDER = kitchen.FOIL, kitchen.PAPER, kitchen.RACK, kitchen.SHOULDER
CLIMB = ((0.0, 107.0), (3600.0, 107.0), (7200.0, 135.0))


def run(members, pits, steps, *, pressure=SEA, cells=20):
    return march(members, pits, steps, pressure_pa=pressure, cells=cells)


def wrapped(kind, cover, at_s=np.inf, core_c=np.inf, unwrap_s=np.inf):
    return kind | cover | {
        "wrap_earliest_s": 0.0 if at_s == np.inf else at_s,
        "wrap_latest_s": at_s,
        "wrap_core_c": core_c,
        "unwrap_s": unwrap_s,
    }  # fmt: skip


# --- conduction --------------------------------------------------------------------------------


@pytest.mark.parametrize("shape_n", [1.0, 1.6875, 2.0, 3.0])
@pytest.mark.parametrize("biot", [0.5, 1.0, 2.0, 3.0])
def test_time_to_a_temperature_matches_the_series(shape_n, biot):
    radius, conductivity, capacity = 0.04, 0.46, 3.4e6
    member = members_like(1, **kitchen.PLAIN, shape_n=shape_n, radius_m=radius)
    pit = kitchen.one_pit(1, convection=biot * conductivity / radius, power=0.0, evaporates=False)
    unit = radius**2 * capacity / conductivity
    hours = 8.0 * unit / HOUR / biot
    grid = kitchen.steps(hours, pit=((0.0, 41.0),), every_s=120.0)
    left = 41.0 - run(member, pit, grid).core_c[0]
    times = np.arange(len(left)) * 120.0
    fourier = np.linspace(0.02, hours * HOUR / unit, 4000)
    exact = series.series_temperature(shape_n, biot, fourier)
    for theta in (0.9, 0.7, 0.5, 0.3, 0.1, 0.05):
        # both fall like exponentials: straight in the logarithm
        ours = np.interp(-np.log(theta), -np.log(left), times)
        right = np.interp(-np.log(theta), -np.log(exact), fourier) * unit
        assert ours == pytest.approx(right, rel=0.005), theta


def test_surface_of_a_slab():
    # slab, Bi = 1, Fo = 0.2: 0.643391 of the difference is left at the surface
    member = members_like(1, **kitchen.PLAIN, shape_n=1.0, radius_m=0.04)
    pit = kitchen.one_pit(1, convection=11.5, power=0.0, evaporates=False)
    seconds = 0.2 * 0.04**2 * 3.4e6 / 0.46
    grid = kitchen.steps(seconds / HOUR, pit=((0.0, 41.0),), every_s=seconds)
    left = 41.0 - run(member, pit, grid).surface_c[0, 1]
    assert left == pytest.approx(0.643391, abs=0.001)


CASES = {
    "shoulder bare": (SHOULDER, 16.0, ((0.0, 107.0),), ()),
    "shoulder hot": (SHOULDER, 12.0, ((0.0, 135.0),), ()),
    "shoulder foil at 70": (wrapped(SHOULDER, FOIL, core_c=70.0), 16.0, ((0.0, 114.0),), ()),
    "shoulder paper at 70": (wrapped(SHOULDER, PAPER, core_c=70.0), 16.0, ((0.0, 121.0),), ()),
    "rack bare": (RACK, 8.0, ((0.0, 107.0),), ()),
    "rack foil and open": (wrapped(RACK, FOIL, at_s=11400.0, unwrap_s=18007.0), 7.0, CLIMB, ()),
    "rack spritzed": (RACK, 6.0, ((0.0, 121.0),), tuple((t * 2400.0, 0.1) for t in range(3, 7))),
}


@pytest.mark.parametrize("name", CASES)
def test_core_stays_near_a_fine_grid_over_whole_cooks(name):
    kind, hours, pit, spritz = CASES[name]
    members, pits = kitchen.many(kind, 8, seed=1)
    coarse = run(members, pits, kitchen.steps(hours, pit=pit, spritz=spritz))
    fine = run(members, pits, kitchen.steps(hours, 5.0, pit=pit, spritz=spritz), cells=160)
    assert np.max(np.abs(coarse.core_c - fine.core_c)) < 0.3
    assert np.max(np.abs(coarse.loss_fraction - fine.loss_fraction)) < 0.002


def test_halving_the_step_quarters_the_error_also_across_events():
    members = members_like(1, **wrapped(SHOULDER, FOIL, at_s=5.0 * HOUR + 77.0, core_c=60.0))
    pits = kitchen.one_pit(1)
    cores = {
        step: run(members, pits, kitchen.steps(9.0, step, pit=((0.0, 110.0), (9000.0, 125.0))))
        for step in (480.0, 240.0, 120.0, 15.0)
    }
    best = cores[15.0].core_c[0, 12::4]
    errors = [np.max(np.abs(cores[s].core_c[0, 12::4] - best)) for s in (480.0, 240.0, 120.0)]
    assert errors[0] / errors[1] > 3.0
    assert errors[1] / errors[2] > 3.0


# --- a second writing ----------------------------------------------------------------------------


#: So thin and dry that it runs out of water on the way.
SCRAP = RACK | {"radius_m": 0.008, "water_fraction": 0.35, "water_low": 0.4, "dry_budget": 3.0}


@pytest.mark.parametrize(
    "kind",
    [SHOULDER, RACK | kitchen.BOX, SCRAP, SHOULDER | kitchen.OVEN],
    ids=["shoulder", "rack to a box", "scrap", "shoulder to an oven"],
)
def test_the_loop_equals_plain_numpy(kind):
    members, pits = kitchen.many(kind | FOIL, 20, seed=2)
    rng = np.random.default_rng(3)
    members["wrap_core_c"] = rng.uniform(60.0, 90.0, 20)
    members["wrap_earliest_s"] = HOUR * rng.uniform(1.0, 5.0, 20)
    members["wrap_latest_s"] = HOUR * rng.uniform(5.0, 9.0, 20)
    members["unwrap_s"] = HOUR * rng.uniform(6.0, 12.0, 20)
    members["finish_dose"] = rng.uniform(0.3, 1.5, 20)
    members["rest_s"] = HOUR * rng.uniform(0.0, 2.0, 20)
    members["lift_power"], members["lift_from_k"] = 0.25, 45.0
    grid = kitchen.steps(14.0, pit=CLIMB, spritz=((6000.0, 0.1), (9000.0, 0.2)))
    ours = run(members, pits, grid)
    other = twin.march(members, pits, grid, pressure_pa=SEA)
    assert np.isfinite(ours.wrapped_s).any()
    assert np.isfinite(ours.finish_s).any()
    for field in dataclasses.fields(ours):
        a, b = getattr(ours, field.name), getattr(other, field.name)
        assert np.array_equal(np.isfinite(a), np.isfinite(b)), field.name
        a, b = a[np.isfinite(a)], b[np.isfinite(b)]
        assert np.all(np.abs(a - b) <= 1e-8 * np.maximum(1.0, np.abs(b))), field.name


def test_how_members_are_shared_out_moves_no_number():
    members, pits = kitchen.many(SHOULDER, 70, seed=8)
    grid = kitchen.steps(6.0)
    whole = run(members, pits, grid)
    apart = [run(members[k : k + 10], pits[k : k + 10], grid) for k in range(0, 70, 10)]
    assert np.array_equal(whole.core_c, np.concatenate([part.core_c for part in apart]))
    assert np.array_equal(whole.evaporated, np.concatenate([part.evaporated for part in apart]))


def test_formulas_written_twice_are_the_same():
    from stallwise.models import kernel_loop

    temperatures = np.array([0.0, 4.0, 37.0, 64.3, 95.0, 99.9, 120.0])
    for t in temperatures:
        assert kernel_loop.saturation_pa(t) == pytest.approx(hyland_wexler_pa(t), rel=1e-12)
        near = (hyland_wexler_pa(t + 1e-4) - hyland_wexler_pa(t - 1e-4)) / 2e-4
        slope = kernel_loop.saturation_slope(t) * hyland_wexler_pa(t)
        assert slope == pytest.approx(near, rel=1e-6)
    member = members_like(1, **SHOULDER)
    for t in (49.9, 50.0, 80.0, 98.0):
        rate = tenderness.dose_rate_per_s(t, 80e3, 2.8 * HOUR / 1.1)
        assert kernel_loop.dose_rate(member[0], t) == pytest.approx(rate, rel=1e-12)
    assert latent_heat_j_kg(60.0) == pytest.approx(2.501e6 - 2361.0 * 60.0)


def test_a_dry_piece_at_95_is_tender_by_definition_after_t95():
    still = {"start_c": 95.0, "shape_n": 1.0, "radius_m": 0.02, "rest_s": np.inf}
    member = members_like(1, **(RACK | still), finish_dose=1.0)
    member["dose_rate"] = 1.0 / (2.8 * HOUR)
    member["shrink"] = 0.0
    pits = kitchen.one_pit(1, evaporates=False)
    made = run(member, pits, kitchen.steps(4.0, pit=((0.0, 95.0),)))
    assert made.finish_s[0] == pytest.approx(2.8 * HOUR, rel=1e-6)


# --- the books -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "cover", [{}, wrapped({}, FOIL, at_s=3.0 * HOUR), wrapped({}, PAPER, at_s=9000.0)]
)
def test_heat_in_is_heat_kept(cover):
    members, pits = kitchen.many(SHOULDER | cover, 10, seed=4)
    members["shrink"] = 0.0
    members["juice_limit"] = 0.0
    members["fat_limit"] = 0.0
    made = run(members, pits, kitchen.steps(12.0))
    assert made.heat_in == pytest.approx(made.stored, rel=1e-6)


def test_the_surface_takes_what_the_law_of_exchange_gives():
    # One step's heat and water, written out by hand from the temperatures it ended on.
    member = members_like(
        1, **(RACK | {"juice_limit": 0.0, "fat_limit": 0.0, "shrink": 0.0, "dry_budget": 1e9})
    )
    pits = kitchen.one_pit(1, power=0.0)
    made = run(member, pits, kitchen.steps(1.0, 0.5, every_s=0.5))
    surface = made.surface_c[0]
    ps = hyland_wexler_pa(surface)
    pv, lewis = pits[0, 0, 4], pits[0, 0, 5]
    water = 0.10 * lewis * 5.5 * SEA * np.log((SEA - pv) / (SEA - ps))
    kelvin, walls = surface + 273.15, 107.0 + 273.15
    heat = 5.5 * (107.0 - surface) + 0.9 * 5.670374419e-8 * (walls**4 - kelvin**4)
    heat -= water * latent_heat_j_kg(surface)
    middle = slice(100, None)  # past the first moments, in which the surface leaps
    gained = np.trapezoid(heat[middle], dx=0.5)
    part = run(member, pits, kitchen.steps(100 * 0.5 / HOUR, 0.5))
    assert gained == pytest.approx(made.stored[0] - part.stored[0], rel=1e-4)
    gone = np.trapezoid(water[middle], dx=0.5)
    assert gone == pytest.approx(made.evaporated[0] - part.evaporated[0], rel=1e-4)


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    kind=st.sampled_from([SHOULDER, RACK]),
    cover=st.sampled_from([FOIL, PAPER]),
    wrapped_h=st.floats(2.5, 4.0),
    opened_h=st.floats(0.5, 8.0),
    dries=st.booleans(),
)
def test_loss_is_water_juice_and_fat(seed, kind, cover, wrapped_h, opened_h, dries):
    kind = kind | ({"water_fraction": 0.6, "water_low": 0.25} if dries else {})
    at_s = wrapped_h * HOUR
    members, pits = kitchen.many(
        wrapped(kind, cover, at_s=at_s, unwrap_s=at_s + opened_h * HOUR), 4, seed
    )
    grid = kitchen.steps(9.0, pit=CLIMB, spritz=((6000.0, 0.2), (7200.0, 0.2)))
    made = run(members, pits, grid)
    mass = members["density"] * members["radius_m"] / members["shape_n"]
    parts = made.evaporated + made.dripped + made.rendered - made.sprayed
    assert made.loss_fraction[:, -1] * mass == pytest.approx(parts, rel=1e-6)
    for part in (made.evaporated, made.dripped, made.rendered, made.sprayed):
        assert np.all(part > 0.0)


def test_loss_is_at_least_the_juice_that_came_out():
    members, pits = kitchen.many(SHOULDER, 10, seed=6)
    members["juice_spread_k"] = 0.5
    members["juice_tau_s"] = 60.0  # all juice is out as soon as it is warm
    made = run(members, pits, kitchen.steps(30.0, pit=((0.0, 125.0),)))
    assert np.all(made.loss_fraction[:, -1] >= members["juice_limit"] - 1e-9)


# --- physics -------------------------------------------------------------------------------------


@pytest.mark.parametrize("pressure", [SEA, 83_523.0])
@pytest.mark.parametrize("kind", [SHOULDER, RACK], ids=["shoulder", "rack"])
def test_inside_foil_nothing_passes_the_boiling_point(kind, pressure):
    members, pits = kitchen.many(wrapped(kind, FOIL, at_s=2.0 * HOUR), 20, seed=7)
    pits = kitchen.one_pit(20, convection=pits[:, 0, 1], offset=pits[:, 0, 0], pressure=pressure)
    made = run(members, pits, kitchen.steps(12.0, pit=((0.0, 163.0),)), pressure=pressure)
    moist = made.loss_fraction[:, 15:] < 0.6  # what has boiled dry is no longer held down
    assert np.max(made.surface_c[:, 15:][moist]) < boiling_point_c(pressure) + 1.0


def test_a_surface_that_stays_wet_sits_on_the_plateau():
    # 4.5 W/(m2 K), 107 C, 0.02 kg/kg: the table of steady surfaces has 63.7 C at a wetness of 0.35
    member = members_like(1, **(RACK | {"wetness": 0.35, "dry_budget": 1e9, "juice_limit": 0.0}))
    made = run(member, kitchen.one_pit(1, convection=4.5, humidity=0.02), kitchen.steps(8.0))
    steady = plateau_temperature_c(107.0, 0.02, convection_w_m2_k=4.5, wetness=0.35, emissivity=0.9)
    assert steady == pytest.approx(63.7, abs=0.3)
    assert made.surface_c[0, -1] == pytest.approx(steady, abs=0.3)


def test_more_humid_air_holds_the_stall_higher():
    members = members_like(4, **(SHOULDER | {"dry_budget": 1e9}))
    pits = kitchen.one_pit(4, humidity=np.array([0.01, 0.02, 0.05, 0.10]))
    made = run(members, pits, kitchen.steps(10.0))
    assert np.all(np.diff(made.surface_c[:, 30]) > 0.5)


def test_paper_lies_between_foil_and_bare():
    kinds = [SHOULDER, wrapped(SHOULDER, PAPER, core_c=70.0), wrapped(SHOULDER, FOIL, core_c=70.0)]
    members = np.concatenate([members_like(1, **kind) for kind in kinds])
    members["finish_dose"] = 1.0
    made = run(members, kitchen.one_pit(3), kitchen.steps(24.0, pit=((0.0, 114.0),)))
    assert np.all(np.diff(made.finish_s) < 0.0)
    assert np.all(np.diff(made.loss_at_finish) < 0.0)


def test_a_spritz_cools_the_surface_for_a_while():
    member = members_like(1, **RACK)
    pits = kitchen.one_pit(1)
    dry = run(member, pits, kitchen.steps(4.0, every_s=60.0)).surface_c[0]
    spritz = ((7200.0, 0.1),)
    wet = run(member, pits, kitchen.steps(4.0, every_s=60.0, spritz=spritz)).surface_c[0]
    assert np.array_equal(wet[:121], dry[:121])
    assert np.min(wet[121:126] - dry[121:126]) < -5.0
    assert wet[-1] == pytest.approx(dry[-1], abs=1.0)


def test_after_its_rest_a_piece_stays_as_it_is():
    member = members_like(1, **RACK, finish_dose=1.0, rest_s=HOUR)
    made = run(member, kitchen.one_pit(1), kitchen.steps(14.0))
    done = int(made.finish_s[0] // 600) + 1
    rested = int((made.finish_s[0] + HOUR) // 600) + 1
    assert made.core_c[0, rested] < made.core_c[0, done] - 5.0
    assert np.all(made.core_c[0, rested:] == made.core_c[0, rested])


def test_wrap_fires_when_told():
    core = members_like(3, **wrapped(SHOULDER, FOIL, core_c=65.0))
    core["wrap_earliest_s"] = [0.0, 12.0 * HOUR, 0.0]
    core["wrap_latest_s"] = [np.inf, 13.0 * HOUR, 2.0 * HOUR]
    made = run(core, kitchen.one_pit(3), kitchen.steps(14.0, every_s=120.0))
    at = int(made.wrapped_s[0] // 120)
    assert made.core_c[0, at] < 65.0 < made.core_c[0, at + 1]
    assert made.wrapped_s[1:].tolist() == [12.0 * HOUR, 2.0 * HOUR]


@settings(max_examples=40)
@given(
    seed=st.integers(0, 10_000),
    kind=st.sampled_from([SHOULDER, RACK]),
    more=st.sampled_from(["thicker", "colder", "lower"]),
    by=st.floats(0.02, 0.3),
)
def test_thicker_colder_or_in_a_lower_pit_is_never_earlier(seed, kind, more, by):
    lift = {"lift_power": 0.25, "lift_from_k": 45.0} if seed % 2 else {}
    dries = {"water_fraction": 0.6, "water_low": 0.25}
    members, pits = kitchen.many(kind | {"finish_dose": 1.0} | lift | dries, 6, seed)
    pit = 118.0
    usual = run(members, pits, kitchen.steps(30.0, pit=((0.0, pit),))).finish_s
    if more == "thicker":
        members["radius_m"] *= 1.0 + by
    elif more == "colder":
        members["start_c"] -= 15.0 * by
    else:
        pit -= 30.0 * by
    slower = run(members, pits, kitchen.steps(30.0, pit=((0.0, pit),))).finish_s
    assert np.all(slower >= usual - 1e-6)


# --- machine code --------------------------------------------------------------------------------

ASK = """
import numpy as np, numba
from stallwise.models import kernel
member = kernel.members_like(1, shape_n=1.0, radius_m=0.02, conductivity=0.4, heat_capacity=3e6,
                             density=1000.0, start_c=4.0)
times = np.array([0.0, 60.0])
one = kernel.Schedule(times, np.full((1, 2), 100.0), np.zeros(1, np.int64), np.zeros(1),
                      np.zeros(1, bool), np.array([0, 1]), 2)
kernel.march(member, np.ones((1, 1, 6)), one, pressure_pa=101325.0)
from stallwise.models import kernel_loop
print(sum(kernel_loop.march.stats.cache_hits.values()), repr(numba.config.CACHE_DIR))
"""


@pytest.mark.slow
def test_machine_code_is_kept_in_the_users_cache_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    said = [
        subprocess.run(
            [sys.executable, "-c", ASK], capture_output=True, text=True, check=True
        ).stdout
        for _ in range(2)
    ]
    assert [line.split() for line in said] == [["0", "''"], ["1", "''"]]
    assert list(tmp_path.rglob("stallwise/compiled/**/*.nbc"))
