"""Salt that comes in with time, and what a curing salt comes to."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.models.curing import CAUTION, cure_words, nitrite_mg_kg
from stallwise.models.soaking import soaked_share, taken_share


@given(st.floats(0.0, 1e6), st.floats(0.0, 1e5), st.floats(0.005, 0.06))
def test_longer_and_thinner_take_more_and_never_more_than_all(time_s, more_s, thick_m):
    share = taken_share(time_s, thick_m, 3e-10)
    assert 0.0 <= share <= 1.0
    assert taken_share(time_s + more_s, thick_m, 3e-10) >= share - 2e-3
    assert taken_share(time_s, thick_m * 1.2, 3e-10) <= share + 2e-3


def test_both_laws_meet():
    thick_m, pace = 0.02, 3e-10
    at_s = 0.2 * thick_m**2 / pace
    assert taken_share(at_s * 1.0001, thick_m, pace) == pytest.approx(
        taken_share(at_s * 0.9999, thick_m, pace), abs=2e-3
    )


def test_twice_as_thick_takes_four_times_as_long():
    assert taken_share(4 * 3600, 0.02, 3e-10) == pytest.approx(taken_share(3600, 0.01, 3e-10))
    span = soaked_share(12 * 3600.0, 0.02)
    assert span.low < span.middle < span.high
    assert soaked_share(None, 0.02).low == 1.0


def test_nitrite_is_arithmetic_over_a_stated_strength():
    assert nitrite_mg_kg(1.92, 0.0625, 1.0) == pytest.approx(120.0)
    words = cure_words("Cure", 2.5, 0.0625, None)
    assert words[-1] == CAUTION
    assert not any("for each kg" in line for line in words)


def test_what_corned_beef_may_gain_is_quoted_where_water_goes_in():
    dry, wet = (cure_words("Cure", 12.5, 0.0625, 5.0, wet=wet, system="metric") for wet in (0, 1))
    assert "6.00 kg at most after its cure if it is brisket, else 5.50 kg" in " ".join(wet)
    assert "Corned" not in " ".join(dry)


@pytest.mark.parametrize(
    "call",
    [
        lambda: nitrite_mg_kg(1.0, 0.0, 1.0),
        lambda: nitrite_mg_kg(1.0, 6.25, 1.0),
        lambda: nitrite_mg_kg(-1.0, 0.0625, 1.0),
        lambda: nitrite_mg_kg(1.0, 0.0625, 0.0),
        lambda: taken_share(-1.0, 0.02, 3e-10),
    ],
)
def test_the_impossible_is_refused(call):
    with pytest.raises(InputError):
        call()
