"""Lids, sags and fires that go out, as curves, and what they do to a cook."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stallwise.ground.errors import InputError
from stallwise.models.pitcurve import fire_out, lid_opened, sagging
from stallwise.models.plan import Facts, PitCurve, Spritz
from stallwise.models.schedule import pit_ahead

spec = importlib.util.spec_from_file_location(
    "forecasts", Path(__file__).with_name("test_forecast.py")
)
forecasts = importlib.util.module_from_spec(spec)
spec.loader.exec_module(forecasts)

HOUR = 3600.0
STEADY = PitCurve.steady(121.0)


def test_a_lid_is_forgotten_within_the_time_cooks_say():
    # common practice, no source: open for half a minute, back within 5 °F after 8 min (3 to 18)
    pit = lid_opened(STEADY, [HOUR])
    assert pit.at(HOUR - 1.0) == pytest.approx(121.0, abs=0.01)
    assert 121.0 - pit.at(HOUR) > 15.0
    after = HOUR + np.arange(0.0, 1801.0, 10.0)
    back = after[np.asarray(pit.at(after)) > 121.0 - 5.0 / 1.8][0] - HOUR
    assert 3.0 * 60.0 <= back <= 18.0 * 60.0
    assert pit.at(3.0 * HOUR) == pytest.approx(121.0, abs=0.2)


def test_openings_add_up_and_cold_air_makes_them_deeper():
    one = lid_opened(STEADY, [HOUR])
    two = lid_opened(STEADY, [HOUR, HOUR + 120.0])
    assert two.at(HOUR + 120.0) < one.at(HOUR + 120.0)
    assert two.at(HOUR + 120.0) > 20.0
    cold = lid_opened(STEADY, [HOUR], ambient_c=-15.0)
    assert cold.at(HOUR) < one.at(HOUR)
    # a held pit is not colder for the weather, only its dips are
    assert cold.at(0.5 * HOUR) == one.at(0.5 * HOUR) == 121.0
    assert lid_opened(STEADY, []) is STEADY
    with pytest.raises(InputError, match="share below 1"):
        lid_opened(STEADY, [0.0], dip=1.5)


def test_a_fire_that_goes_out_cools_like_any_body_and_comes_back():
    pit = fire_out(STEADY, HOUR, 3.0 * HOUR, ambient_c=1.0, cooling_s=HOUR)
    assert pit.at(0.5 * HOUR) == 121.0
    assert pit.at(2.0 * HOUR) == pytest.approx(1.0 + 120.0 / np.e)
    assert pit.at(3.0 * HOUR, before=True) == pytest.approx(1.0 + 120.0 / np.e**2)
    assert pit.at(3.0 * HOUR) == 121.0
    with pytest.raises(InputError, match="lit again"):
        fire_out(STEADY, HOUR, HOUR, ambient_c=1.0, cooling_s=HOUR)


def test_a_sag_falls_in_a_straight_line():
    pit = sagging(PitCurve((0.0, 2.0 * HOUR), (110.0, 120.0)), HOUR, 5.0 * HOUR, 40.0)
    assert pit.at(HOUR) == pytest.approx(115.0)
    assert pit.at(2.0 * HOUR) == pytest.approx(110.0)
    assert pit.at(5.0 * HOUR, before=True) == pytest.approx(80.0)
    assert pit.at(6.0 * HOUR) == pytest.approx(120.0)
    with pytest.raises(InputError, match="0 K or more"):
        sagging(pit, HOUR, 2.0 * HOUR, -5.0)


def middle(plan):
    return forecasts.hours(forecasts.made(plan, members=60))[1]


def test_a_shoulder_pays_for_a_sag_and_for_a_fire_that_went_out():
    usual = middle(forecasts.shoulder())
    sag = middle(forecasts.shoulder(pit=sagging(STEADY, 5.0 * HOUR, 9.0 * HOUR, 40.0)))
    out = fire_out(STEADY, 3.0 * HOUR, 5.0 * HOUR, ambient_c=10.0, cooling_s=0.5 * HOUR)
    assert 0.3 < sag - usual < 4.0
    assert 0.5 < middle(forecasts.shoulder(pit=out)) - usual < 4.0


def test_each_spritz_and_each_look_opens_the_lid():
    plan = forecasts.rack(spritz=(Spritz(2.0 * HOUR, 0.1),), openings_s=(HOUR,))
    pit = pit_ahead(plan)
    assert pit.at(HOUR) < 110.0
    assert pit.at(2.0 * HOUR) < 110.0
    # what has been read already holds the dips that there were
    read = Facts(1.5 * HOUR, pit=PitCurve((0.0, 1.5 * HOUR), (121.0, 121.0)))
    later = pit_ahead(replace(plan, facts=read))
    assert later.at(HOUR) == pytest.approx(121.0, abs=0.1)
    assert later.at(2.0 * HOUR) < 110.0
    many = tuple(900.0 * n for n in range(1, 24))
    assert 0.1 < middle(forecasts.rack(openings_s=many)) - middle(forecasts.rack()) < 2.5
