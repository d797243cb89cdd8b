"""The fuel of whole cooks: what cooks burn, what the weather adds, what a log teaches."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stallwise.ground.errors import NotFoundError, OutOfRangeError
from stallwise.models.fire import FIRE_KINDS, Day, Fire, fuel_forecast
from stallwise.models.firelesson import FireSeen, fire_lesson
from stallwise.models.learning import CookLesson, Habits, fold, knowledge_of
from stallwise.models.plan import PitCurve

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
    arrays = set(found.__dataclass_fields__) - {"together"}
    assert all(getattr(found, name).shape == (200,) for name in arrays)


def test_wet_wood_burns_away_faster_and_wets_the_pit():
    seasoned, green = burn(Fire(moisture=0.15)), burn(Fire(moisture=0.40))
    assert np.all(green.rate_kg_s > 1.3 * seasoned.rate_kg_s)
    assert np.all(green.humidity_ratio > seasoned.humidity_ratio)
    assert np.all(green.split_interval_s < seasoned.split_interval_s)


def seen(fire=Fire(), day=Day(), kg=24.0, **more):  # noqa: B008
    """A fire that burnt so much over fourteen hours at 250 °F, without meat."""
    more = {"day_known": True, "fuel_doubt": 0.05, "span_s": 14 * HOUR, "pit_c": 121.0, **more}
    given = {"meat_kg": 0.0, "from_cold": False, "start_s": None, "start_c": 121.0, **more}
    return FireSeen(fire, day, fuel_kg=kg, **given)


def learned(*fires):
    habits = Habits()
    for one in fires:
        habits = fold(habits, CookLesson(pits=fire_lesson([one])))
    return knowledge_of(habits, "test").pits.get("pit", {})


def test_fires_that_were_counted_narrow_the_next_answer():
    taught = burn(learned=learned(seen(), seen(kg=25.0)), meat_kg=0.0)

    def width(kg):
        return math.log(np.quantile(kg, 0.9) / np.quantile(kg, 0.1))

    assert width(taught.cook_kg) < 0.6 * width(burn().cook_kg)
    assert np.median(taught.cook_kg) == pytest.approx(24.2, rel=0.04)
    assert np.median(burn(meat_kg=0.0).cook_kg) < 20.0


def test_what_is_learned_on_a_windy_night_is_a_calm_days_loss():
    windy = Day(0.0, 5.0)
    kg = float(np.median(burn(day=windy, meat_kg=0.0).cook_kg))
    for fires in ([seen(day=windy, kg=kg)], [seen(day=windy, kg=kg)] * 4):
        assert learned(*fires)["pit.loss.offset"].value == pytest.approx(47.0, rel=0.05)


def test_what_was_not_followed_for_long_or_makes_no_sense_teaches_nothing():
    for one in (seen(span_s=HOUR), seen(kg=0.0), seen(kg=0.4), seen(pit_c=15.0)):
        taught = learned(one)
        assert "pit.loss.offset" not in taught


def test_a_slow_start_is_learned_and_a_cold_day_makes_it_slower():
    slow = learned(*[seen(kg=0.0, start_s=7200.0)] * 4)["pit.start.offset"]
    assert 5800.0 < slow.value < 7000.0
    start = {"pit.start.offset": slow}
    assert np.median(burn(learned=start).start_s) == pytest.approx(slow.value, rel=0.02)
    cold = np.median(burn(day=Day(-10.0, 2.0), learned=start).start_s / burn(learned=start).start_s)
    assert 1.2 < cold < 2.5
    # The cold of those days is taken out of what is learned.
    frost = learned(*[seen(kg=0.0, day=Day(-10.0), start_s=7200.0)] * 4)["pit.start.offset"]
    assert frost.value < slow.value


def test_a_time_somebody_wrote_gives_way_as_logs_come_in():
    written = Fire(start_s=2400.0)
    assert np.median(burn(written).start_s) == pytest.approx(2400.0, rel=0.02)
    taught = learned(*[seen(kg=0.0, start_s=6000.0)] * 5)
    assert np.median(burn(written, learned=taught).start_s) > 4300.0


def test_smaller_splits_swing_the_pit_less():
    found = burn()
    assert np.all(found.half_swing_k < 0.6 * found.swing_k)
    assert 10.0 < np.median(found.swing_k) < 35.0


def test_wind_cannot_take_away_what_the_inside_holds_back():
    calm, breezy, windy = (float(Day(20.0, v).walls(121.0)) for v in (0.0, 2.0, 5.0))
    assert calm == pytest.approx(1.0)
    assert 1.2 < breezy < 1.5 < windy < 2.0
    assert float(Day(-5.0).walls(107.0)) < 1.0 < float(Day(20.0).walls(150.0))


def test_rain_boils_off_the_steel():
    wet = np.median(burn(day=Day(rain=True)).rate_kg_s / burn().rate_kg_s)
    assert 1.05 < wet < 1.35


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
