"""Shells of a body against the series, a box against an integrator, heat that is not lost."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.conduction import relaxation
from stallwise.models.settling import core_after_c, core_time_s, surface_after_c

spec = importlib.util.spec_from_file_location(
    "series", Path(__file__).resolve().parents[1] / "series.py"
)
series = importlib.util.module_from_spec(spec)
spec.loader.exec_module(series)

SHAPES = [1.0, 1.6875, 2.0, 3.0]
RADIUS, K, CAPACITY = 0.05, 0.5, 3.6e6
TIME = RADIUS**2 * CAPACITY / K  # Fourier 1


def body(shape=1.6875, biot=2.0, **more):
    return relaxation(shape, RADIUS, K, CAPACITY, biot * K / RADIUS, **more)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("biot", [0.1, 0.5, 2.0, 10.0, 50.0])
def test_it_cools_as_the_series_says(shape, biot):
    fourier = np.array([0.05, 0.1, 0.2, 0.5, 1.0, 2.0])
    one = body(shape, biot)
    core = one.core_c(one.start(1.0), 0.0, fourier * TIME)[0]
    skin = one.surface_c(one.start(1.0), 0.0, fourier * TIME)[0]
    assert core == pytest.approx(series.series_temperature(shape, biot, fourier), abs=0.0011)
    ends = series.series_temperature(shape, biot, fourier, np.ones(6))
    assert skin == pytest.approx(ends, abs=0.0005)


def test_a_layer_with_two_like_faces_is_half_a_slab():
    both = relaxation(1.0, 2 * RADIUS, K, CAPACITY, 12.0, back_w_m2_k=12.0, cells=48)
    half = relaxation(1.0, RADIUS, K, CAPACITY, 12.0)
    times = np.array([0.3, 1.0, 3.0]) * TIME
    warmest = both.warmest_c(both.start(60.0), 5.0, times)
    assert warmest == pytest.approx(half.core_c(half.start(60.0), 5.0, times), abs=0.02)


def test_a_box_warms_and_cools_with_its_meat():
    link, box_heat, loss = 5.0, 40_000.0, 2.0
    one = relaxation(
        1.6875, RADIUS, K, CAPACITY, link, box_heat_j_m2_k=box_heat, box_loss_w_m2_k=loss
    )
    cells = one.cells
    edges = np.linspace(0.0, 1.0, cells + 1)
    heat = CAPACITY * RADIUS / 1.6875 * np.diff(edges**1.6875)
    inner = K * cells / RADIUS * edges[1:-1] ** 0.6875
    skin = 1.0 / (1.0 / link + RADIUS / cells / 2.0 / K)

    def slope(_, t):
        flow = np.append(inner, skin) * (t[:-1] - t[1:])
        gain = -np.append(flow, loss * (t[-1] - 20.0))
        gain[1:] += flow
        return gain / np.append(heat, box_heat)

    start = one.start(90.0, 95.0, 25.0)
    run = solve_ivp(slope, (0, 3e4), start[0], rtol=1e-9, atol=1e-8, t_eval=[3e3, 3e4],
                    method="LSODA")  # fmt: skip
    for place, time in enumerate((3e3, 3e4)):
        assert one.after(start, 20.0, time)[0] == pytest.approx(run.y[:, place], abs=1e-4)


@given(st.floats(1.0, 3.0), st.floats(0.05, 20.0), st.floats(100.0, 1e5))
def test_heat_that_leaves_the_meat_is_in_the_box(shape, biot, time):
    tight = body(shape, biot, box_heat_j_m2_k=50_000.0)
    start = tight.start(80.0, 60.0, 15.0)
    later = tight.after(start, 0.0, time)
    held = tight.roots**2
    assert np.sum(held * later) == pytest.approx(np.sum(held * start), rel=1e-9)
    assert later.max() <= 80.0 + 1e-6
    assert later.min() >= 15.0 - 1e-6


@given(st.floats(0.01, 5.0), st.floats(0.01, 5.0))
def test_a_while_and_another_are_one_long_while(first, second):
    one = body()
    start = one.start(90.0, 70.0)
    halfway = one.after(start, 20.0, first * TIME)
    at_once = one.after(start, 20.0, (first + second) * TIME)
    assert one.after(halfway, 20.0, second * TIME) == pytest.approx(at_once, abs=1e-8)


@given(st.floats(1.0, 3.0), st.floats(0.02, 0.12), st.floats(2.0, 300.0), st.floats(1.02, 1.5))
def test_thicker_and_better_wrapped_cool_later(shape, radius, exchange, more):
    def until(r, h):
        return core_time_s(
            21.0, start_c=57.0, surroundings_c=4.0, shape_n=shape, radius_m=r,
            conductivity_w_m_k=K, heat_capacity_j_m3_k=CAPACITY, exchange_w_m2_k=h,
        )  # fmt: skip

    assert until(radius * more, exchange) > until(radius, exchange)
    assert until(radius, exchange / more) > until(radius, exchange)


@given(st.floats(0.05, 0.95), st.sampled_from(SHAPES), st.floats(0.2, 20.0))
def test_the_time_to_a_temperature_is_where_it_is_reached(left, shape, biot):
    made = {
        "start_c": 5.0, "surroundings_c": 95.0, "shape_n": shape, "radius_m": RADIUS,
        "conductivity_w_m_k": K, "heat_capacity_j_m3_k": CAPACITY,
        "exchange_w_m2_k": biot * K / RADIUS,
    }  # fmt: skip
    target = 95.0 - 90.0 * left
    time = core_time_s(target, **made)
    assert core_after_c(time, **made) == pytest.approx(target, abs=0.3)
    assert surface_after_c(time, **made) > core_after_c(time, **made) - 1e-9


def test_many_members_at_once_are_each_alone():
    radius = np.array([0.03, 0.05, 0.08])
    made = {
        "start_c": 60.0, "surroundings_c": 4.0, "shape_n": 2.0, "conductivity_w_m_k": K,
        "heat_capacity_j_m3_k": CAPACITY, "exchange_w_m2_k": 9.0,
    }  # fmt: skip
    together = core_time_s(21.0, radius_m=radius, **made)
    assert together == pytest.approx([core_time_s(21.0, radius_m=r, **made) for r in radius])


def test_a_target_off_the_way_is_never_reached():
    made = {
        "surroundings_c": 4.0, "shape_n": 2.0, "radius_m": 0.05, "conductivity_w_m_k": K,
        "heat_capacity_j_m3_k": CAPACITY, "exchange_w_m2_k": 9.0,
    }  # fmt: skip
    found = core_time_s(np.array([3.0, 4.0, 70.0, 60.0]), start_c=60.0, **made)
    assert found == pytest.approx([np.inf, np.inf, np.inf, 0.0])
    assert core_time_s(4.0, start_c=4.0, **made) == 0.0


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError, match="layer"):
        body(2.0, 1.0, back_w_m2_k=5.0)
    with pytest.raises(OutOfRangeError, match="slab"):
        body(4.0)
    with pytest.raises(InputError, match="shape"):
        body().after(np.zeros((1, 3)), 0.0, 1.0)
