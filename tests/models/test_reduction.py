"""Boiling down and brines: the balances hold whichever way they are asked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.models import brines, reduction

CUP = 236.5882365e-6


@given(st.floats(1e-5, 1e-1), st.floats(0.01, 1.0), st.floats(0.01, 1.0), st.floats(100.0, 5e3))
def test_two_reductions_are_one(from_m3, first, second, power_w):
    half, end = from_m3 * first, from_m3 * first * second
    whole = reduction.boil_time_s(from_m3, end, power_w)
    parts = reduction.boil_time_s(from_m3, half, power_w) + reduction.boil_time_s(
        half, end, power_w
    )
    assert whole == pytest.approx(parts, rel=1e-9, abs=1e-6)
    assert reduction.concentration(from_m3, end) == pytest.approx(
        reduction.concentration(from_m3, half) * reduction.concentration(half, end)
    )


@given(st.floats(100.0, 4e3), st.floats(1.1, 3.0))
def test_more_heat_is_never_slower(power_w, more):
    slow = reduction.boiling_down(3 * CUP, CUP, 0.7, power_w=power_w)
    fast = reduction.boiling_down(3 * CUP, CUP, 0.7, power_w=power_w * more)
    assert fast.boil_s < slow.boil_s
    assert fast.heat_up_s < slow.heat_up_s
    assert slow.boil_low_s == slow.boil_s == slow.boil_high_s


def test_a_ring_gives_only_its_share():
    gas = reduction.boiling_down(3 * CUP, 0.75 * CUP, 0.7085, power_w=2637.6, ring="gas")
    assert gas.boil_s / 60 == pytest.approx(18.9, abs=0.1)  # 9,000 Btu/h at 40 %


@pytest.mark.parametrize(
    "call",
    [
        lambda: reduction.concentration(CUP, 2 * CUP),
        lambda: reduction.concentration(CUP, 0.0),
        lambda: reduction.boil_time_s(2 * CUP, CUP, 0.0),
        lambda: reduction.boil_time_s(2 * CUP, CUP, float("nan")),
        lambda: reduction.brix_after(60.0, 1.0, 0.5),
        lambda: reduction.net_power_w(1000.0, "wood"),
        lambda: brines.brine_strength(0.0, 0.0),
    ],
)
def test_the_impossible_is_refused(call):
    with pytest.raises(InputError):
        call()


def test_kinds_of_ring_are_named():
    with pytest.raises(NotFoundError, match="induction"):
        reduction.net_power_w(1000.0, "inducton")


@given(st.floats(0.5, 10.0), st.floats(0.1, 10.0), st.floats(0.001, 0.05))
def test_salt_by_mass_is_the_upper_reading_and_lands_on_the_share(meat_kg, water_kg, share):
    salt_g = share * (meat_kg + water_kg) * 1e3
    by_mass = brines.brine_uptake_g(salt_g, meat_kg, water_kg)
    assert by_mass == pytest.approx(meat_kg * share * 1e3)
    assert brines.brine_uptake_water_g(salt_g, meat_kg, water_kg) < by_mass
