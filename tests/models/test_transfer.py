"""What crosses the surface: limits that must hold, directions in which things must go."""

from __future__ import annotations

import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning
from stallwise.models import transfer
from stallwise.models.transfer import (
    evaporation_flux_kg_m2_s,
    lewis_conductance_kg_m2_s_pa,
    plateau_temperature_c,
    radiative_coefficient_w_m2_k,
    stefan_factor,
    vapour_diffusivity_m2_s,
)
from stallwise.tables.humid_air import (
    hyland_wexler_pa,
    pressure_at_elevation_pa,
    vapour_pressure_pa,
    wet_bulb_c,
)

OFFSET = {"convection_w_m2_k": 4.5, "emissivity": 0.9}


@pytest.mark.slow
@pytest.mark.parametrize("temperature", [20.0, 80.0, 150.0])
def test_the_lewis_number_is_that_of_air(temperature):
    from CoolProp.CoolProp import PropsSI  # seconds to load

    conductivity, density, heat = (
        PropsSI(name, "T", temperature + 273.15, "P", 101325.0, "Air") for name in "LDC"
    )
    lewis = conductivity / density / heat / vapour_diffusivity_m2_s(temperature)
    assert lewis == pytest.approx(transfer.LEWIS_NUMBER, rel=0.02)


@given(st.floats(0.0, 101_000.0), st.floats(0.0, 95_000.0))
def test_stefan_flow_only_helps(surface, air):
    factor = float(stefan_factor(surface, air))
    lower = min(surface, 0.97 * 101_325.0, air)
    higher = max(min(surface, 0.97 * 101_325.0), air)
    # The logarithmic mean of the air left lies between its two ends.
    assert 101_325.0 / (101_325.0 - lower) <= factor * (1 + 1e-7)
    assert factor <= 101_325.0 / (101_325.0 - higher) * (1 + 1e-7)


def test_vapour_condenses_on_cold_meat():
    beta = lewis_conductance_kg_m2_s_pa(5.0)
    assert evaporation_flux_kg_m2_s(1.0, beta, 5.0, vapour_pressure_pa(0.02)) < 0.0
    assert evaporation_flux_kg_m2_s(0.0, beta, 60.0, 0.0) == 0.0


def test_salt_holds_water_back():
    beta = lewis_conductance_kg_m2_s_pa(5.0)
    plain = evaporation_flux_kg_m2_s(0.5, beta, 60.0, 0.0)
    assert evaporation_flux_kg_m2_s(0.5, beta, 60.0, 0.0, water_activity=0.9) < plain


@pytest.mark.parametrize("ratio", [0.02, 0.04, 0.08])
@pytest.mark.parametrize("pit", [80.0, 107.0, 150.0])
def test_soaking_and_shaded_it_is_the_wet_bulb(pit, ratio):
    surface = plateau_temperature_c(pit, ratio, convection_w_m2_k=10.0, wetness=1.0, emissivity=0.0)
    assert -1.5 < surface - wet_bulb_c(pit, ratio) < 0.0


@given(st.floats(0.01, 1.0), st.floats(0.0, 0.2), st.floats(80.0, 150.0), st.floats(2.0, 30.0))
def test_the_balance_closes(wetness, ratio, pit, convection):
    surface = plateau_temperature_c(
        pit, ratio, convection_w_m2_k=convection, wetness=wetness, emissivity=0.9
    )
    heat = (convection + radiative_coefficient_w_m2_k(0.9, surface, pit)) * (pit - surface)
    air = vapour_pressure_pa(ratio)
    flux = evaporation_flux_kg_m2_s(wetness, lewis_conductance_kg_m2_s_pa(convection), surface, air)
    assert flux * (2.501e6 - 2361.0 * surface) == pytest.approx(heat, rel=1e-6, abs=1e-6)
    # Never below the dew point, never above the pit.
    assert hyland_wexler_pa(surface) >= air * (1 - 1e-9)
    assert surface <= pit


def test_what_moves_the_plateau():
    base = plateau_temperature_c(107.0, 0.02, wetness=0.35, **OFFSET)
    assert plateau_temperature_c(107.0, 0.05, wetness=0.35, **OFFSET) > base + 1.0
    assert plateau_temperature_c(121.0, 0.02, wetness=0.35, **OFFSET) > base + 3.0
    assert plateau_temperature_c(107.0, 0.02, wetness=0.1, **OFFSET) > base + 10.0
    assert plateau_temperature_c(107.0, 0.02, wetness=0.35, walls_c=130.0, **OFFSET) > base + 3.0
    assert (
        plateau_temperature_c(107.0, 0.02, wetness=0.35, inward_w_m2=100.0, **OFFSET) < base - 1.0
    )
    high = pressure_at_elevation_pa(1600.0)
    assert plateau_temperature_c(107.0, 0.02, wetness=0.35, pressure_pa=high, **OFFSET) < base - 2.0


def test_dry_it_is_the_pit():
    assert plateau_temperature_c(107.0, 0.02, wetness=0.0, **OFFSET) == pytest.approx(107.0)


def test_dry_meat_in_sight_of_hot_walls_is_hotter_than_the_air():
    surface = plateau_temperature_c(107.0, 0.02, wetness=0.0, walls_c=150.0, **OFFSET)
    assert 107.0 < surface < 150.0


def test_members_side_by_side():
    wetness = np.array([1.0, 0.35, 0.1])
    many = plateau_temperature_c(107.0, 0.02, wetness=wetness, **OFFSET)
    assert many == pytest.approx(
        [plateau_temperature_c(107.0, 0.02, wetness=w, **OFFSET) for w in wetness]
    )


def test_the_impossible_and_the_unusual():
    with pytest.raises(OutOfRangeError, match="wetness"):
        plateau_temperature_c(107.0, 0.02, wetness=1.5, **OFFSET)
    with pytest.raises(OutOfRangeError, match="convection"):
        plateau_temperature_c(107.0, 0.02, convection_w_m2_k=0.0, wetness=0.5, emissivity=0.9)
    with pytest.warns(OutOfRangeWarning, match="pit temperature 300"):
        plateau_temperature_c(300.0, 0.02, wetness=0.5, **OFFSET)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (radiative_coefficient_w_m2_k, (0.9, 65.0, 107.0)),
        (vapour_diffusivity_m2_s, (80.0, 83_523.0)),
        (lewis_conductance_kg_m2_s_pa, (10.0, 83_523.0, 0.83)),
        (stefan_factor, (20_000.0, 3_000.0, 83_523.0)),
    ],
)
def test_numba_compiles_the_formulas(formula, arguments):
    assert numba.njit(formula)(*arguments) == pytest.approx(float(formula(*arguments)), rel=1e-13)
