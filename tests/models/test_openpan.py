"""A pan: how deep it stands, and what leaves it below the boil."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.openpan import depth_m, open_pan_flux_kg_m2_s
from stallwise.models.reduction import boiling_down
from stallwise.tables.humid_air import pressure_at_elevation_pa

CUP = 236.5882365e-6


def test_three_cups_in_a_pan_of_16_cm_go_from_35_mm_to_9():
    down = boiling_down(3 * CUP, 0.75 * CUP, 0.71, power_w=1000.0, pan_m=0.16)
    assert round(down.depth_from_m * 1e3) == 35
    assert round(down.depth_to_m * 1e3) == 9
    assert down.depth_from_m / down.depth_to_m == pytest.approx(down.ratio)


@pytest.mark.parametrize(
    # From memory, to test the order of magnitude: a pool's evaporation, and a textbook's analogy.
    ("liquid_c", "pool", "analogy"),
    [(80.0, 6.36, 14.1), (90.0, 9.62, 28.9), (95.0, 11.7, 46.0)],
)
def test_an_open_pan_lies_between_a_pool_and_the_textbook(liquid_c, pool, analogy):
    flux = open_pan_flux_kg_m2_s(liquid_c)
    assert pool * 0.9 < flux.middle * 3600 < analogy
    assert flux.low < flux.middle < flux.high


@given(st.floats(40.0, 97.0), st.floats(0.1, 1.0))
def test_hotter_is_faster(liquid_c, more):
    assert open_pan_flux_kg_m2_s(liquid_c + more).middle > open_pan_flux_kg_m2_s(liquid_c).middle


def test_below_the_boil_the_pan_sets_the_pace():
    slow, wide = (
        boiling_down(3 * CUP, 0.75 * CUP, 0.71, pan_m=pan_m, at_c=90.0) for pan_m in (0.16, 0.32)
    )
    assert slow.below_boil
    assert slow.boil_low_s < slow.boil_s < slow.boil_high_s
    assert slow.boil_s == pytest.approx(4 * wide.boil_s)
    assert slow.boil_s > 3 * boiling_down(3 * CUP, 0.75 * CUP, 0.71, power_w=1000.0).boil_s


def test_high_up_the_boil_is_cooler_and_nearer():
    sea, up = (
        boiling_down(3 * CUP, CUP, 0.71, power_w=1000.0, boil_c=boil_c) for boil_c in (100.0, 93.0)
    )
    assert up.heat_up_s == pytest.approx(sea.heat_up_s * 73 / 80)
    with pytest.raises(OutOfRangeError, match="under the boil"):
        open_pan_flux_kg_m2_s(94.5, pressure_pa=float(pressure_at_elevation_pa(1600.0)))


@pytest.mark.parametrize(
    "call",
    [
        lambda: depth_m(1e-3, 0.0),
        lambda: depth_m(-1e-3, 0.2),
        lambda: boiling_down(2 * CUP, CUP, 0.5, at_c=90.0),
        lambda: boiling_down(2 * CUP, CUP, 0.5, pan_m=0.2, at_c=100.0),
        lambda: boiling_down(2 * CUP, CUP, 0.5, pan_m=0.2, at_c=20.0),
    ],
)
def test_pans_that_cannot_be_are_refused(call):
    with pytest.raises(InputError):
        call()
