"""A probe in ice and boiling water."""

from __future__ import annotations

import pytest

from stallwise.models.probecheck import boiling_at_c, probe_check, probe_tolerance_k

F = 5 / 9


@pytest.mark.parametrize(
    ("read_f", "state"), [(32, "met"), (34, "met"), (30, "met"), (34.1, "missed"), (29.9, "missed")]
)
def test_ice_water_to_two_degrees(read_f, state):
    assert probe_check(round((read_f - 32) * F, 3), "ice").state == state


def test_boiling_water_goes_by_the_elevation():
    mountain = boiling_at_c(2042.0)
    assert probe_check(mountain, "boiling", 2042.0).state == "met"
    assert probe_check(100.0, "boiling", 2042.0).state == "missed"
    assert probe_check(100.0, "boiling").needs == ("elevation",)


def test_a_check_never_makes_a_probe_better_than_the_code_asks():
    assert probe_tolerance_k([]) is None
    assert probe_tolerance_k([0.0]) == pytest.approx(2 * F)
    assert probe_tolerance_k([-0.5, 3.0]) == 3.0
