"""The round body that stands in for a piece."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import jv

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.body import equivalent_body, equivalent_body_from_volume, first_eigenvalue

sizes = st.floats(0.01, 0.3)


@given(st.floats(1.0, 3.0), st.floats(-4.0, 6.0))
def test_the_eigenvalue_solves_its_equation(shape_n, log_biot):
    biot = 10.0**log_biot
    z = float(first_eigenvalue(shape_n, biot))
    left, right = z * jv(shape_n / 2, z), biot * jv(shape_n / 2 - 1, z)
    assert left == pytest.approx(right, rel=1e-7, abs=1e-9)
    assert 0.0 < z <= math.pi


def test_it_is_the_first_one():
    # Below z = n Bi is the whole truth, and the first root stays below the first zero for any Bi.
    assert first_eigenvalue(np.array([1.0, 2.0, 3.0]), 1e-6) ** 2 == pytest.approx(
        np.array([1, 2, 3]) * 1e-6, rel=1e-5
    )
    assert np.all(np.diff(first_eigenvalue(1.7, np.geomspace(1e-3, 1e6, 40))) > 0.0)


@given(sizes, sizes, sizes, st.floats(2.0, 60.0))
def test_volume_surface_and_slowest_mode_are_the_blocks(a, b, c, convection):
    k = 0.46
    body = equivalent_body([a, b, c], convection, k)
    assert body.radius_m == min(a, b, c)
    assert body.volume_per_area_m == pytest.approx(1 / (1 / a + 1 / b + 1 / c))
    z = first_eigenvalue(body.shape_n, convection * body.radius_m / (body.conductivity_factor * k))
    rate = body.conductivity_factor * (z / body.radius_m) ** 2
    block = sum((first_eigenvalue(1.0, convection * x / k) / x) ** 2 for x in (a, b, c))
    assert rate == pytest.approx(block, rel=1e-9)
    # Between n/(n + 2) of a body that heats as one and 1 of a slab.
    assert 1 / 3 < body.conductivity_factor <= 1.0 + 1e-12


def test_an_endless_block_is_a_slab():
    body = equivalent_body([0.03, math.inf, math.inf], 14.0, 0.46)
    assert (body.shape_n, body.radius_m) == (1.0, 0.03)
    assert body.conductivity_factor == pytest.approx(1.0, abs=1e-12)


def test_members_side_by_side():
    thick = np.array([0.03, 0.045, 0.2])
    many = equivalent_body([thick, 0.11, 0.145], 14.0, 0.46)
    for i, each in enumerate(thick):
        one = equivalent_body([0.145, each, 0.11], 14.0, 0.46)
        assert many.shape_n[i] == pytest.approx(one.shape_n)
        assert many.radius_m[i] == one.radius_m
        assert many.conductivity_factor[i] == pytest.approx(one.conductivity_factor)


def test_an_egg_lies_between_log_and_ball():
    # Volume and surface of a spheroid 5 x 5 x 10 cm half sizes, from the textbook formula.
    a, c = 0.05, 0.10
    e = math.sqrt(1 - a**2 / c**2)
    area = 2 * math.pi * a**2 * (1 + c / (a * e) * math.asin(e))
    body = equivalent_body_from_volume(a, 4 / 3 * math.pi * a**2 * c, area)
    assert 2.0 < body.shape_n < 3.0
    assert body.conductivity_factor == 1.0


def test_what_is_refused():
    with pytest.raises(InputError, match="2 sizes"):
        equivalent_body([0.04, 0.1], 14.0, 0.46)
    with pytest.raises(OutOfRangeError, match="half size"):
        equivalent_body([0.04, 0.1, -0.1], 14.0, 0.46)
    with pytest.raises(OutOfRangeError):
        equivalent_body([math.inf] * 3, 14.0, 0.46)
    with pytest.raises(OutOfRangeError, match="shape 6"):
        equivalent_body_from_volume(0.06, 0.001, 0.1)
    with pytest.raises(OutOfRangeError, match="Biot"):
        first_eigenvalue(2.0, 0.0)
