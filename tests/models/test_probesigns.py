"""A probe that does not read the core: moved, out of the meat, on bone, in the heat of the pit."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.models.tracestages import core_signs
from tests.models import traces as made
from tests.models.traces import HOUR

TIME = made.times(11.5)
CORE = made.noisy(made.curve(TIME, made.ONE))
PIT = np.full(len(TIME), 112.0)


def read(core_c, pit_c=PIT, **known):
    signs = core_signs(TIME, core_c, pit_s=TIME, pit_c=pit_c, **known)
    return {
        kind: [sign for sign in signs if sign.kind == kind]
        for kind in ("probe_moved", "probe_suspect", "stall", "off")
    }


def test_a_probe_left_alone_says_nothing_of_itself():
    found = read(CORE)
    assert not found["probe_moved"]
    assert not found["probe_suspect"]


@pytest.mark.parametrize("elsewhere_c", [25.0, 95.0, 108.0])
def test_pulled_out_and_put_back_breaks_no_stall(elsewhere_c):
    away = (TIME >= 5.0 * HOUR) & (TIME < 5.3 * HOUR)
    found = read(np.where(away, elsewhere_c, CORE))
    (moved,) = found["probe_moved"]
    assert moved.at_s == pytest.approx(5.0 * HOUR, abs=180.0)
    assert moved.until_s == pytest.approx(5.3 * HOUR, abs=180.0)
    assert len(found["stall"]) == 1


def test_tens_of_degrees_in_minutes_are_the_probe_and_not_a_large_piece():
    jump = 22.0 * np.clip((TIME - 2.0 * HOUR) / 600.0, 0.0, 1.0)
    (moved,) = read(CORE + jump)["probe_moved"]
    assert moved.at_s == pytest.approx(2.0 * HOUR, abs=300.0)
    assert "not the meat" in moved.why


def test_a_thin_piece_may_climb_as_fast():
    jump = 22.0 * np.clip((TIME - 2.0 * HOUR) / 600.0, 0.0, 1.0)
    assert not read(CORE + jump, half_m=0.012)["probe_moved"]


def test_a_probe_in_the_heat_of_the_pit_reads_no_meat_any_more():
    found = read(np.where(TIME > 6.0 * HOUR, 110.0, CORE))
    (moved,) = found["probe_moved"]
    assert "pit" in moved.why
    assert all(stall.until_s <= 6.1 * HOUR for stall in found["stall"])
    assert not found["off"]


def test_a_probe_that_fell_out_is_not_a_piece_that_cools():
    found = read(np.where(TIME > 6.0 * HOUR, 30.0 - (TIME / HOUR - 6.0), CORE))
    assert len(found["probe_moved"]) == 1
    assert not found["off"]


def test_a_probe_on_bone_swings_with_its_pit():
    pit_c = made.swinging(TIME)
    found = read(CORE + 0.4 * (pit_c - 110.0), pit_c)
    (suspect,) = found["probe_suspect"]
    assert "swings with the pit" in suspect.why
    assert not read(CORE, pit_c)["probe_suspect"]


def test_a_stall_of_a_probe_that_follows_the_pit_is_less_sure():
    pit_c = made.swinging(TIME)
    (sound,) = read(CORE, pit_c)["stall"]
    assert all(
        one.confidence < sound.confidence
        for one in read(CORE + 0.4 * (pit_c - 110.0), pit_c)["stall"]
    )


def test_moist_meat_is_not_hotter_than_boiling_water():
    (suspect,) = read(np.minimum(CORE * 1.2, 106.0))["probe_suspect"]
    assert "hotter than moist meat" in suspect.why
    assert suspect.confidence > 0.6
