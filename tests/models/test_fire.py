"""The fuel of whole cooks: what cooks burn, what the weather adds, what a log teaches."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stallwise.ground.errors import NotFoundError, OutOfRangeError
from stallwise.models.fire import FIRE_KINDS, Day, Fire, fuel_forecast
from stallwise.models.fuel import taught_loss
from stallwise.models.plan import Learned, PitCurve

HOUR = 3600.0


def burn(fire=Fire(), day=Day(), pit_c=121.0, hours=14.0, **more):  # noqa: B008
    more = {"seed": 1, "members": 200, "meat_kg": 6.0, **more}
    return fuel_forecast(fire, day, PitCurve.steady(pit_c), hours * HOUR, **more)


def test_a_brisket_and_a_rib_cook_on_a_backyard_offset():
    """Common practice, no source: 14 to 18 kg in 14 h, 5 to 7 kg in 5 h."""
    for hours, usual in [(14.0, 16.0), (5.0, 6.0)]:
        low, middle, high = np.quantile(burn(hours=hours).cook_kg, [0.1, 0.5, 0.9])
        assert low < usual < high
        assert middle == pytest.approx(usual, rel=0.25)


def test_the_warm_up_is_the_steel_and_half_the_loss():
    steel = 120.0 * 490.0 * 101.0
    lost = 0.5 * 47.0 * 101.0 * 4200.0
    heat = (18.5e6 * 0.82 - 2.44e6 * 0.18) * 0.9
    assert np.median(burn().warm_up_kg) == pytest.approx((steel + lost) / heat, rel=0.15)


def test_a_cold_windy_night_takes_half_as_much_again():
    """Common practice, no source: 20 to 110 % more."""
    ratio = burn(day=Day(0.0, 2.0)).rate_kg_s / burn().rate_kg_s
    assert np.all((ratio > 1.2) & (ratio < 2.1))


def test_the_humidity_is_the_one_the_forecast_of_meat_starts_from():
    from stallwise.tables.parameters import parameter

    offset = np.median(burn().humidity_ratio)
    assert offset == pytest.approx(parameter("pit.humidity.offset").value, rel=0.15)
    pan = np.median(burn(Fire(pit_kind="water pan", fuel="charcoal")).humidity_ratio)
    closed = np.median(burn(Fire(pit_kind="closed", fuel="charcoal")).humidity_ratio)
    assert pan > closed > offset


@pytest.mark.parametrize("kind", FIRE_KINDS)
@pytest.mark.parametrize("fuel", ["hardwood", "charcoal"])
def test_every_fire_gets_the_air_it_needs(kind, fuel):
    found = burn(Fire(pit_kind=kind, fuel=fuel))
    assert np.all(found.excess_air_ratio > 1.0)
    assert np.all(found.warm_up_kg > 0.0)
    assert all(getattr(found, name).shape == (200,) for name in found.__dataclass_fields__)


def test_wet_wood_burns_away_faster_and_wets_the_pit():
    seasoned, green = burn(Fire(moisture=0.15)), burn(Fire(moisture=0.40))
    assert np.all(green.rate_kg_s > 1.3 * seasoned.rate_kg_s)
    assert np.all(green.humidity_ratio > seasoned.humidity_ratio)
    assert np.all(green.split_interval_s < seasoned.split_interval_s)


def test_a_weighed_log_narrows_the_next_answer():
    value, spread = taught_loss(47.0, 0.4, np.array([70.0, 72.0]), 0.2)
    taught = burn(learned={"pit.loss.offset": Learned(value, spread)})

    def width(kg):
        return math.log(np.quantile(kg, 0.9) / np.quantile(kg, 0.1))

    assert width(taught.cook_kg) < 0.6 * width(burn().cook_kg)
    assert np.median(taught.cook_kg) > 1.25 * np.median(burn().cook_kg)


def test_a_pit_that_climbs_burns_as_its_mean_does():
    climb = PitCurve((0.0, 4 * HOUR), (107.0, 135.0))
    risen = fuel_forecast(Fire(), Day(), climb, 4 * HOUR, seed=1, members=50)
    steady = burn(pit_c=121.0, hours=4.0, members=50, meat_kg=0.0)
    # Radiation bends the loss of the walls a little, and only in the wind.
    assert risen.cook_kg == pytest.approx(steady.cook_kg)


def test_each_member_has_its_own_end():
    ends = np.array([5.0, 10.0, np.inf]) * HOUR
    found = fuel_forecast(Fire(), Day(), PitCurve.steady(121.0), ends, seed=1, members=3)
    assert found.cook_kg[:2] / found.rate_kg_s[:2] == pytest.approx(ends[:2])
    assert math.isinf(found.cook_kg[2])
    assert np.all(np.isfinite(found.rate_kg_s))


def test_a_pit_has_the_same_fire_whatever_else_burns():
    assert np.array_equal(burn().cook_kg, burn().cook_kg)
    assert not np.array_equal(burn().cook_kg, burn(Fire(pit_name="other")).cook_kg)


def test_what_has_no_fire_is_refused():
    with pytest.raises(NotFoundError, match="offset"):
        Fire(pit_kind="oven")
    with pytest.raises(NotFoundError, match="hardwood"):
        Fire(fuel="hardwoods")
    with pytest.raises(OutOfRangeError, match="hotter than the day"):
        burn(day=Day(50.0), pit_c=40.0)
