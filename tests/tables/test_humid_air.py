"""Humid air: there and back, and the wet bulb over the whole box of pits and mountains."""

from __future__ import annotations

import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning
from stallwise.tables import humid_air
from stallwise.tables.humid_air import (
    boiling_point_c,
    humidity_ratio,
    humidity_ratio_from_relative_humidity,
    latent_heat_j_kg,
    pressure_at_elevation_pa,
    saturation_pressure_pa,
    vapour_pressure_pa,
    wet_bulb_c,
)

pressures = st.floats(50_000.0, 110_000.0)


@given(st.floats(0.0, 5.0), pressures)
def test_ratio_to_pressure_and_back(ratio, pressure):
    back = humidity_ratio(vapour_pressure_pa(ratio, pressure), pressure)
    assert back == pytest.approx(ratio, rel=1e-9, abs=1e-15)


@given(st.floats(10.0, 190.0))
def test_boiling_undoes_saturation(temperature):
    assert boiling_point_c(saturation_pressure_pa(temperature)) == pytest.approx(
        temperature, abs=1e-9
    )


@given(st.floats(1.0, 90.0), st.floats(60_000.0, 110_000.0))
def test_saturated_air_has_one_temperature(temperature, pressure):
    saturated = min(float(saturation_pressure_pa(temperature)), 0.99 * pressure)
    temperature = float(boiling_point_c(max(saturated, 1000.0)))
    saturated = float(saturation_pressure_pa(temperature))
    ratio = humidity_ratio(saturated, pressure)
    assert wet_bulb_c(temperature, ratio, pressure) == pytest.approx(temperature, abs=1e-6)


def box():
    """Every pit from fridge-cold to 180 °C, from sea level to 4500 m, from dry to near steam."""
    t, z, share = np.meshgrid(
        np.linspace(1.0, 180.0, 31), np.linspace(0.0, 4500.0, 10), np.linspace(0.0, 0.999, 21)
    )
    p = pressure_at_elevation_pa(z)
    most = np.minimum(saturation_pressure_pa(t), 0.95 * p)
    return t, humidity_ratio(share * most, p), p


def test_the_wet_bulb_solves_its_equation_everywhere():
    t, w, p = box()
    wet = wet_bulb_c(t, w, p)
    # Written out once more, from the other side: the humidity that this wet bulb means.
    ws = humid_air.VAPOUR_MASS_RATIO / (p / humid_air.hyland_wexler_pa(wet) - 1.0)
    meant = ((2501 - 2.326 * wet) * ws - 1.006 * (t - wet)) / (2501 + 1.86 * t - 4.186 * wet)
    np.testing.assert_allclose(meant, w, rtol=1e-9, atol=1e-12)
    assert np.all(wet <= t + 1e-6)
    assert np.all(wet < boiling_point_c(p))


def test_the_wet_bulb_rises_with_heat_and_humidity():
    t, w, p = box()
    wet = wet_bulb_c(t, w, p)
    assert np.all(wet_bulb_c(t + 1.0, w, p) > wet)
    dry = np.where(w > 1e-6, 0.9 * w, w)
    assert np.all(wet_bulb_c(t, dry, p) <= wet)


def test_one_number_gives_one_number():
    many = wet_bulb_c(np.array([107.0, 150.0]), 0.02)
    assert many == pytest.approx([float(wet_bulb_c(t, 0.02)) for t in (107.0, 150.0)])
    assert np.ndim(wet_bulb_c(107.0, 0.02)) == 0


def test_fog_is_refused():
    with pytest.raises(OutOfRangeError, match=r"at most 0\.0147"):
        wet_bulb_c(20.0, 0.02)


@pytest.mark.parametrize(
    "call",
    [
        lambda: humidity_ratio(-1.0),
        lambda: humidity_ratio(101_325.0),
        lambda: vapour_pressure_pa(-0.01),
        lambda: humidity_ratio_from_relative_humidity(60.0, 20.0),
        lambda: boiling_point_c(0.0),
        lambda: pressure_at_elevation_pa(50_000.0),
        lambda: wet_bulb_c(107.0, 0.02, -5.0),
    ],
)
def test_the_impossible_is_refused(call):
    with pytest.raises(OutOfRangeError):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: saturation_pressure_pa(-5.0),
        lambda: latent_heat_j_kg(150.0),
        lambda: wet_bulb_c(220.0, 0.02),
    ],
)
def test_beyond_a_correlation_a_warning(call):
    with pytest.warns(OutOfRangeWarning) as caught:
        call()
    assert caught[0].filename == __file__


def test_numba_compiles_the_bare_formula():
    compiled = numba.njit(humid_air.hyland_wexler_pa)
    assert compiled(60.0) == pytest.approx(float(saturation_pressure_pa(60.0)), rel=1e-14)
