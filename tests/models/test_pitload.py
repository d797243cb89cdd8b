"""Cold meat in a hot pit: deeper with more meat, a hotter pit, less steel; back within the hour."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.models.pitload import loading

PIT = {"convection_w_m2_k": 6.0, "loss_w_k": 47.0, "steel_kg": 120.0, "outside_c": 15.0}


def test_an_opened_lid_alone_is_back_as_practice_says():
    # Half a minute open at 225 to 250 F: back within 5 F in 3 to 18 min.
    found = loading(0.0, 115.0, **PIT)
    assert found.dip_k == pytest.approx(25.0)
    assert 180.0 <= found.back_s <= 1080.0


def test_by_hand_without_a_lid():
    # 1 m2 at 115 C: h = 6 + 8.55 radiated; 14.55 x 85 K over 61.55 W/K is 20.1 K, 46.6 % of it by 600 s.
    found = loading(1.0, 115.0, **PIT | {"outside_c": 115.0})
    assert found.dip_k == pytest.approx(9.37, rel=0.01)
    # From then on it comes back with 58800 J/K over 47 W/K: 1251 s ln(9.37 / 2.8) after 600 s.
    assert found.back_s == pytest.approx(600.0 + 1251.0 * 1.208, abs=90.0)


@given(st.floats(0.05, 5.0), st.floats(0.05, 5.0), st.floats(90.0, 200.0))
def test_more_meat_is_never_less_of_a_dip(one, other, pit_c):
    less, more = sorted((one, other))
    assert loading(less, pit_c, **PIT).dip_k <= loading(more, pit_c, **PIT).dip_k + 1e-9
    assert loading(less, pit_c, **PIT).back_s <= loading(more, pit_c, **PIT).back_s + 60.0


def test_a_light_pit_is_back_sooner():
    light = PIT | {"steel_kg": 30.0}
    assert loading(1.0, 120.0, **light).back_s < loading(1.0, 120.0, **PIT).back_s


def test_a_pit_that_is_not_lit_does_not_fall():
    assert loading(1.0, 10.0, **PIT).dip_k == 0.0
