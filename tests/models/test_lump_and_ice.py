"""Stirred pots: directions, limits and heat balances."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError
from stallwise.models.ice import (
    ice_bath_temperature_c,
    ice_bath_time_s,
    ice_needed_kg,
    iced_temperature_c,
)
from stallwise.models.lump import (
    lump_time_s,
    mean_exchange_w_m2_k,
    newton_temperature_c,
    newton_time_s,
    surface_loss_w_m2,
    time_constant_s,
)

BATH = {"mass_kg": 8.0, "start_c": 90.0, "conductance_w_k": 60.0, "ice_kg": 6.0, "water_kg": 4.0}


@given(st.floats(-20.0, 110.0), st.floats(-20.0, 110.0), st.floats(1.0, 1e5), st.floats(60.0, 1e5))
def test_newton_goes_there_and_back(start, outside, time, constant):
    reached = newton_temperature_c(start, outside, time, constant)
    if abs(reached - outside) > 1e-3:
        back = newton_time_s(start, reached, outside, constant)
        assert newton_temperature_c(start, outside, back, constant) == pytest.approx(reached)


def test_newton_never_arrives_and_never_turns_back():
    assert math.isinf(newton_time_s(60.0, 4.0, 4.0, 3600.0))
    assert math.isinf(newton_time_s(60.0, 61.0, 4.0, 3600.0))
    assert math.isinf(newton_time_s(60.0, 3.0, 4.0, 3600.0))
    assert newton_time_s(60.0, 60.0, 4.0, 3600.0) == 0.0


@given(st.floats(30.0, 99.0), st.floats(0.0, 1.0), st.floats(2.0, 20.0))
def test_steam_only_helps_to_cool(surface, wetness, convection):
    dry = surface_loss_w_m2(surface, 20.0, convection_w_m2_k=convection)
    wet = surface_loss_w_m2(surface, 20.0, convection_w_m2_k=convection, wetness=wetness)
    assert wet >= dry > 0.0


def test_a_constant_exchange_is_its_own_mean():
    mean = mean_exchange_w_m2_k(80.0, 10.0, 4.0, convection_w_m2_k=7.0, emissivity=0.0)
    assert mean == pytest.approx(7.0)
    time = lump_time_s(
        80.0, 10.0, 4.0, volume_per_area_m=0.03, heat_capacity_j_m3_k=4e6, convection_w_m2_k=7.0,
        emissivity=0.0,
    )  # fmt: skip
    constant = time_constant_s(0.03, 7.0, 4e6)
    assert time == pytest.approx(newton_time_s(80.0, 10.0, 4.0, constant))


def test_an_open_pot_steams_itself_cool():
    """At 85 °C steam carries off several times what air and radiation do."""
    pot = {"volume_per_area_m": 0.05, "heat_capacity_j_m3_k": 4.1e6, "convection_w_m2_k": 5.0}
    shut = lump_time_s(85.0, 57.0, 22.0, **pot)
    assert lump_time_s(85.0, 57.0, 22.0, wetness=1.0, **pot) < 0.35 * shut


@given(st.floats(0.1, 50.0), st.floats(5.0, 100.0), st.floats(0.0, 1.0), st.floats(-25.0, 0.0))
def test_the_ice_that_is_needed_is_enough_and_no_more(mass, start, share, ice_c):
    target = share * start
    ice = ice_needed_kg(mass, start, target, ice_c=ice_c)
    assert iced_temperature_c(mass, start, ice, ice_c=ice_c) == pytest.approx(target, abs=1e-6)
    assert iced_temperature_c(mass, start, 2 * ice + 10 * mass, ice_c=ice_c) == 0.0


@given(st.floats(0.0, 20.0), st.floats(0.5, 20.0), st.floats(0.0, 86_400.0))
def test_more_ice_is_never_warmer(ice, more, time):
    bath = {**BATH, "water_kg": 10.0}
    less = ice_bath_temperature_c(time, **{**bath, "ice_kg": ice})
    # The same weight of bath, more of it ice.
    iced = ice_bath_temperature_c(time, **{**bath, "ice_kg": ice + more, "water_kg": 10.0})
    assert 0.0 <= iced <= less + 1e-9 <= 90.0 + 1e-9


def test_pot_and_bath_end_alike():
    heat, latent = 4190.0, 333_550.0
    end = (8.0 * 90.0 * heat - 6.0 * latent) / (18.0 * heat)
    assert ice_bath_temperature_c(1e6, **BATH) == pytest.approx(end)
    assert math.isinf(ice_bath_time_s(end - 0.1, **BATH))
    assert ice_bath_time_s(95.0, **BATH) == 0.0


@given(st.floats(14.0, 89.0))
def test_a_bath_goes_there_and_back(target):
    assert ice_bath_temperature_c(ice_bath_time_s(target, **BATH), **BATH) == pytest.approx(target)


def test_baths_come_in_arrays():
    found = ice_bath_temperature_c(np.array([0.0, 600.0]), **{**BATH, "ice_kg": np.array([6, 20])})
    assert found[0] == pytest.approx(90.0)
    assert found.shape == (2,)


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRangeError, match="below the start"):
        ice_needed_kg(1.0, 10.0, 20.0)
    with pytest.raises(OutOfRangeError, match="ice temperature"):
        ice_needed_kg(1.0, 60.0, 20.0, ice_c=5.0)
    with pytest.raises(OutOfRangeError, match="target over start"):
        mean_exchange_w_m2_k(60.0, 3.0, 4.0, convection_w_m2_k=5.0)
