"""Tender by time and temperature together."""

from __future__ import annotations

import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, OutOfRangeError
from stallwise.models.tenderness import dose, dose_rate_per_s, index, time_to_dose_s

FIT = (80e3, 2.8 * 3600.0)


@given(st.floats(50.0, 130.0))
def test_the_time_to_a_dose_gives_that_dose(temperature):
    time = float(time_to_dose_s(temperature, *FIT, 0.7))
    assert dose([temperature, temperature], [0.0, time], *FIT) == pytest.approx(0.7)


def test_endpoints_of_a_published_trial_come_out_in_their_order():
    # 75/0 < 80/0 < 75/3 < 85/0 < 80/3 < 90/0 < 85/3 < 90/3: end temperature [°C] over hours held,
    # the order of collagen solubility in 96 smoked briskets (Kerth, Wall & Grayson-Holter).
    doses = {}
    for end in (75, 80, 85, 90):
        for held in (0.0, 3.0):
            # Up to the stall in 5 h, then on at 3.5 K/h, then held.
            times = np.array([0.0, 5.0, 5.0 + (end - 65) / 3.5, 5.0 + (end - 65) / 3.5 + held])
            grid = np.linspace(0.0, times[-1], 2000)
            doses[end, held] = float(
                dose(np.interp(grid, times, [5, 65, end, end]), grid * 3600, *FIT)
            )
    order = [(75, 0), (80, 0), (75, 3), (85, 0), (80, 3), (90, 0), (85, 3), (90, 3)]
    assert sorted(doses, key=doses.get) == order


def test_the_sum_does_not_depend_on_how_often_one_looks():
    grid = np.linspace(0.0, 12 * 3600.0, 721)
    core = 5.0 + 90.0 * (1 - np.exp(-grid / 15000.0))
    minute = dose(core, grid, *FIT)
    assert dose(core[::5], grid[::5], *FIT) == pytest.approx(minute, rel=0.002)


def test_nothing_happens_in_the_cold():
    assert dose_rate_per_s(49.9, *FIT) == 0.0
    assert time_to_dose_s(49.9, *FIT) == np.inf


def test_members_on_the_leading_axis():
    t95 = np.array([2.0, 2.8, 4.0]) * 3600.0
    core = np.tile(np.linspace(60.0, 95.0, 50), (3, 1))
    times = np.linspace(0.0, 36000.0, 50)
    many = dose(core, times, 80e3, t95)
    assert many == pytest.approx([dose(core[0], times, 80e3, each) for each in t95])


@given(st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_the_index_orders_as_the_dose_does(low, high):
    low, high = sorted((low, high))
    assert 0.0 <= index(low) <= index(high) < 1.0


def test_what_is_refused():
    with pytest.raises(InputError, match="one for each time"):
        dose([60.0, 70.0], [0.0], *FIT)
    with pytest.raises(InputError, match="backwards"):
        dose([60.0, 70.0], [10.0, 0.0], *FIT)
    with pytest.raises(OutOfRangeError, match="time to tender"):
        dose([60.0, 70.0], [0.0, 10.0], 80e3, 0.0)
    with pytest.raises(OutOfRangeError, match="dose"):
        index(-0.1)


def test_numba_compiles_the_rate():
    assert numba.njit(dose_rate_per_s)(88.0, *FIT) == pytest.approx(
        float(dose_rate_per_s(88.0, *FIT))
    )
