"""The series that other tests lean on, against what can be known without it."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

spec = importlib.util.spec_from_file_location("series", Path(__file__).parent / "series.py")
series = importlib.util.module_from_spec(spec)
spec.loader.exec_module(series)

SHAPES = [1.0, 1.6875, 2.0, 3.0]


@pytest.mark.parametrize("shape_n", SHAPES)
def test_it_starts_at_one_temperature(shape_n):
    inside = series.series_temperature(shape_n, 2.0, 1e-3, np.array([0.0, 0.3, 0.6]))
    assert inside == pytest.approx([1.0, 1.0, 1.0], abs=1e-6)


@pytest.mark.parametrize("shape_n", SHAPES)
@pytest.mark.parametrize("biot", [0.1, 2.0, 50.0])
def test_heat_arrives_at_the_surface_as_fast_as_it_flows_in(shape_n, biot):
    step = 1e-5
    at, below = series.series_temperature(shape_n, biot, 0.2, np.array([1.0, 1.0 - step]))
    assert (below - at) / step == pytest.approx(biot * at, rel=1e-3)


@pytest.mark.parametrize("shape_n", SHAPES)
def test_inside_it_obeys_the_heat_equation(shape_n):
    x, fourier, h, tau = 0.5, 0.15, 1e-3, 1e-5
    low, here, high = series.series_temperature(shape_n, 2.0, fourier, np.array([x - h, x, x + h]))
    later, sooner = series.series_temperature(
        shape_n, 2.0, np.array([fourier + tau, fourier - tau]), x
    )
    bend = (high - 2 * here + low) / h**2 + (shape_n - 1) / x * (high - low) / (2 * h)
    assert (later - sooner) / (2 * tau) == pytest.approx(bend, rel=1e-4)


@pytest.mark.parametrize("shape_n", SHAPES)
def test_a_body_that_conducts_well_heats_as_one(shape_n):
    biot, fourier = 1e-4, 2000.0
    left = series.series_temperature(shape_n, biot, fourier)
    assert left == pytest.approx(np.exp(-shape_n * biot * fourier), rel=1e-3)


def test_a_cube_is_three_slabs():
    slab = series.series_temperature(1.0, 14.0 * 0.06 / 0.46, 0.4)
    cube = series.block_temperature([0.06] * 3, 14.0, 0.46, 0.4 * 0.06**2)
    assert cube == pytest.approx(slab**3)
