"""A pit's heat balance: what more of something does, a swing against an integrator, learning."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning
from stallwise.models.combustion import as_fired_heat_j_kg
from stallwise.models.fuel import (
    excess_air_ratio,
    fuel_rate_kg_s,
    log_loss_w_k,
    pit_heat_w,
    pit_humidity_ratio,
    split_interval_s,
    split_swing_k,
    warm_up_heat_j,
)
from stallwise.models.walls import outside_coefficient_w_m2_k, wall_loss_w_k

BACKYARD = {"wall_w_k": 26.4, "air_kg_s": 0.02}


@given(st.floats(90.0, 180.0), st.floats(-20.0, 35.0), st.floats(0.1, 10.0))
def test_a_hotter_pit_and_a_colder_day_burn_more(pit, outside, more):
    heat = pit_heat_w(**BACKYARD, pit_c=pit, ambient_c=outside)
    assert pit_heat_w(**BACKYARD, pit_c=pit + more, ambient_c=outside) > heat
    assert pit_heat_w(**BACKYARD, pit_c=pit, ambient_c=outside - more) > heat
    assert pit_heat_w(**BACKYARD, pit_c=pit, ambient_c=outside, meat_w=200.0) == heat + 200.0


@given(st.floats(1.0, 60.0), st.floats(0.0, 0.4), st.floats(5.0, 200.0), st.floats(0.5, 1.0))
def test_a_weighed_log_gives_back_the_loss_that_burnt_it(hours, moisture, loss, burnt):
    heat = as_fired_heat_j_kg(moisture)
    share = 0.56
    used = (
        3600.0
        * hours
        * fuel_rate_kg_s(
            pit_heat_w(share * loss, (1 - share) * loss / 1030.0, 115.0, 12.0), heat, burnt
        )
    )
    found = log_loss_w_k(used, heat, 3600.0 * hours, 115.0, 12.0, burnt=burnt)
    assert found == pytest.approx(loss, rel=1e-9)


@pytest.mark.parametrize("burn_s", [300.0, 1200.0, 2100.0])
def test_the_swing_is_that_of_an_integrated_lump(burn_s):
    heat_j, every_s, loss, capacity = 10e6, 2160.0, 47.0, 120.0 * 490.0
    power = heat_j / burn_s

    def slope(_, t, on):
        return ((power if on else 0.0) - loss * t) / capacity

    # Stepped from corner to corner until the swing repeats itself.
    high = low = np.array([heat_j / every_s / loss])
    for _ in range(40):
        high = solve_ivp(slope, (0, burn_s), low, args=(True,), rtol=1e-10, atol=1e-9).y[:, -1]
        low = solve_ivp(slope, (0, every_s - burn_s), high, args=(False,), rtol=1e-10, atol=1e-9).y[
            :, -1
        ]
    swing = split_swing_k(heat_j, every_s, burn_s, loss_w_k=loss, heat_j_k=capacity)
    assert swing == pytest.approx(high[0] - low[0], rel=1e-6)


@given(st.floats(60.0, 3000.0), st.floats(0.1, 0.9))
def test_heavier_steel_swings_less(every_s, part):
    def swing(capacity):
        return split_swing_k(5e6, every_s, part * every_s, loss_w_k=47.0, heat_j_k=capacity)

    assert swing(2e5) < swing(5e4)


def test_a_split_that_burns_until_the_next_keeps_the_pit_still():
    assert split_swing_k(1e7, 1800.0, 1800.0, loss_w_k=47.0, heat_j_k=6e4) == 0.0


def test_bare_steel_loses_as_much_as_the_table_of_pits_says():
    per_m2 = wall_loss_w_k(1.0, 110.0, 20.0)
    assert 10.0 < per_m2 < 16.0
    assert wall_loss_w_k(1.0, 110.0, 20.0, insulation_m2_k_w=0.5) < 2.0
    assert outside_coefficient_w_m2_k(3.0, 110.0, 20.0) - per_m2 == pytest.approx(12.3)


def test_splits_as_cooks_lay_them():
    """Common practice, no source: 0.6 to 1.2 kg lasts 38 min, 20 to 60, at 250 F."""
    rate = fuel_rate_kg_s(
        pit_heat_w(**BACKYARD, pit_c=121.1, ambient_c=20.0), as_fired_heat_j_kg(0.18), 0.9
    )
    assert all(20 < split_interval_s(kg, rate) / 60 < 60 for kg in (0.6, 0.7, 0.9, 1.2))


def test_everything_that_gives_water_makes_the_pit_more_humid():
    dry = pit_humidity_ratio(3e-4, 0.62, 0.02, 0.008)
    assert dry == pytest.approx(0.008 + 3e-4 * 0.62 / 0.02)
    # A shoulder adds 0.002, a pan at half a kilogram an hour seven times that.
    shoulder = pit_humidity_ratio(3e-4, 0.62, 0.02, 0.008, water_kg_s=0.15 / 3600)
    assert shoulder - dry == pytest.approx(0.0021, abs=1e-4)


def test_a_starved_fire_is_said():
    with pytest.warns(OutOfRangeWarning, match="burns clean"):
        assert excess_air_ratio(1e-4, 1e-4, 0.2, 6.0) < 1.0


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRangeError, match="hotter than the day"):
        pit_heat_w(**BACKYARD, pit_c=20.0, ambient_c=20.0)
    with pytest.raises(OutOfRangeError, match="over before the next"):
        split_swing_k(1e7, 1000.0, 1100.0, loss_w_k=47.0, heat_j_k=6e4)
    with pytest.raises(OutOfRangeError, match="metres per second"):
        outside_coefficient_w_m2_k(60.0, 110.0, 20.0)
    assert warm_up_heat_j(120.0, 20.0, 121.0) == pytest.approx(5.94e6, rel=1e-3)
