"""Limits of days that went wrong or were left half written; made-up clocks, pieces and pots.

Each states its facts and reads no verdict beyond the rule: what is not known is asked.
"""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.record.schema import MixUse, Rules, Weather
from tests.joins.cooks import DATE, line, record
from tests.joins.limit.test_limits import CHECKED, EVENING, f, limits, piece, trace, with_readings

CODE = Rules(food_code="2017", jurisdiction="our county")


def day_after(entry):
    return dataclasses.replace(entry, at=entry.at + dt.timedelta(days=1))


def checks(letter="A", count=1):
    return tuple(
        line(f"00:0{n}", "probe_check", letter, bath="ice", temperature_c=0.1 * n)
        for n in range(1, count + 1)
    )


# --- off the heat, into the box, into the cold -------------------------------------------------


def box(*looks, log=()):
    """A brisket off at 11:00 with a probe until then, and what was looked at since."""
    said = (
        *checks(count=2),
        line("00:10", "meat_on"),
        line("11:00", "off"),
        line("11:05", "rest_start"),
        *(line(at, "core_reading", "A", temperature_c=f(value)) for at, value in looks),
        *log,
    )
    cook = record(
        piece(cut="beef-brisket-whole", worked=["intact"], mass="12 lb"),
        log=tuple(sorted(said, key=lambda one: one.at)),
        weather=Weather(ambient="70 F"),
    )
    return with_readings(cook, trace("A", [(m, min(40 + m, 200)) for m in range(10, 661, 10)]))


def test_meat_that_read_hot_after_hours_in_a_box_was_not_cold_before():
    found = limits(box(("15:00", 172), log=[line("16:30", "chilled")]))["left_out", "A"]
    assert found.state == "met"
    assert "Counted from 15:00." in found.facts
    assert "Out for 1 h 30 min at most." in found.facts


def test_a_look_by_an_unchecked_thermometer_counts_but_does_not_meet():
    cook = box(("15:00", 172), log=[line("16:30", "chilled")])
    one_check = tuple(each for each in cook.log if each.id != "00:02-probe_check-A")
    found = limits(dataclasses.replace(cook, log=one_check))["left_out", "A"]
    assert found.state == "unknown"
    assert any("How far off is the probe" in need for need in found.needs)
    assert "Counted from 15:00." in found.facts


def test_meat_that_was_moved_to_an_oven_may_have_been_cold_in_between():
    log = [line("14:00", "moved", "A", to="oven"), line("16:30", "chilled")]
    found = limits(box(("15:00", 172), log=log))["left_out", "A"]
    assert found.state == "unknown"
    assert "Counted from 11:00." in found.facts


def test_a_look_below_the_line_starts_the_two_hours_before_it():
    log = [line("19:30", "chilled")]
    found = limits(box(("15:00", 172), ("17:00", 132), log=log))["left_out", "A"]
    assert found.state == "missed"
    assert any("2 h 30 min to 4 h 30 min" in fact for fact in found.facts)


def test_a_night_in_a_box_without_a_probe_is_asked_for_its_readings():
    found = limits(box())
    assert found["hot_hold", "A"].state == "unknown"
    assert found["left_out", "A"].state == "unknown"
    assert any("into the cold" in need for need in found["left_out", "A"].needs)


# --- cold, sliced, and hot again the next day ---------------------------------------------------


def again(*looks, rules=CODE):
    log = (
        CHECKED,
        line("08:00", "meat_on"),
        line("16:00", "off"),
        line("17:00", "chilled"),
        day_after(line("10:00", "reheating")),
        *(day_after(line(at, "reheated", temperature_c=f(value))) for at, value in looks),
    )
    cook = record(piece(worked=["intact"]), log=log)
    cook = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": rules}))
    return limits(cook, EVENING + dt.timedelta(hours=16))


def test_slices_that_are_hot_again_in_time():
    found = again(("10:40", 95), ("11:20", 168))
    assert found["reheat", ""].state == "met"
    assert found["reheat_time", ""].state == "met"
    assert "Hot after 1 h 20 min at most." in found["reheat_time", ""].facts


def test_slices_that_stayed_cool_past_two_hours():
    found = again(("10:40", 95), ("11:20", 121), ("12:05", 140))
    # Nobody read them hot: the temperature is still to come, the time is over.
    assert found["reheat", ""].state == "running"
    assert found["reheat_time", ""].state == "missed"
    assert "3-403.11" in found["reheat_time", ""].rule


def test_without_a_food_code_only_the_temperature_is_asked():
    found = again(("10:40", 95), ("11:20", 168), rules=Rules())
    assert found["reheat", ""].state == "met"
    assert ("reheat_time", "") not in found


def kept(asked_days, *log):
    day = (
        line("12:00", "meat_on"),
        line("16:00", "off"),
        line("17:00", "served"),
        line("18:00", "chilled"),
    )
    cook = record(piece(), log=(*day, *log))
    cook = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": CODE}))
    return limits(cook, EVENING + dt.timedelta(days=asked_days))["date", "A"]


@pytest.mark.parametrize(
    ("asked_days", "later", "state"),
    [(0, (), "running"), (6, (), "running"), (7, (), "unknown"), (9, (("reheating", 8),), "missed"),
     (9, (("reheating", 6),), "unknown")],
)  # fmt: skip
def test_what_is_kept_runs_to_its_seventh_day(asked_days, later, state):
    log = [
        dataclasses.replace(each, at=each.at + dt.timedelta(days=days))
        for what, days in later
        for each in (line("12:00", what),)
    ]
    one = kept(asked_days, *log)
    assert one.state == state
    assert "Made on Saturday, day 1; day 7 is Friday 22 May." in one.facts
    if state == "unknown":
        assert any("thrown away by then" in need for need in one.needs)


# --- by the clock -------------------------------------------------------------------------------


def buffet(*log, rules=CODE):
    cook = record(piece(), log=(CHECKED, *log))
    return dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": rules}))


OUT = (
    line("12:00", "cooling_reading", food="beans", temperature_c=f(150)),
    line("12:05", "set_out", food="beans"),
)


def test_beans_set_out_by_the_clock_run_to_their_hour():
    noon = dt.datetime(DATE.year, DATE.month, DATE.day, 13, 0, tzinfo=dt.UTC)
    one = limits(buffet(*OUT), noon)["set_out", ""]
    assert one.state == "running"
    assert one.until == noon.replace(hour=16, minute=5)
    assert "3-501.19" in one.rule
    assert any("written down" in fact for fact in one.facts)
    # Food by the clock is not cooled in two stages.
    assert ("cooling", "") not in limits(buffet(*OUT), noon)


@pytest.mark.parametrize(
    ("cleared", "state"),
    [
        (("16:05", "thrown_away", {"food": "beans"}), "met"),
        (("16:06", "thrown_away", {"food": "beans"}), "missed"),
        (("15:00", "all_gone", {}), "met"),
        (("15:00", "thrown_away", {"food": "stock"}), "unknown"),
    ],
)
def test_what_was_set_out_is_cleared_by_its_hour(cleared, state):
    at, what, data = cleared
    assert limits(buffet(*OUT, line(at, what, **data)))["set_out", ""].state == state


def test_without_a_reading_the_clock_asks_and_without_a_code_it_is_silent():
    bare = limits(buffet(OUT[1], line("13:00", "all_gone")))["set_out", ""]
    assert bare.state == "unknown"
    assert any("as it was set out" in need for need in bare.needs)
    assert ("set_out", "") not in limits(buffet(*OUT, rules=Rules()))


# --- liquids ------------------------------------------------------------------------------------


WET = (MixUse(mix="wet"),)


def wet(*log, mixes=WET, kind="brine"):
    own = {"wet": {"name": "wet", "kind": kind, "for": "4 kg",
                   "lines": [{"ingredient": "water_tap", "amount": "2 kg"}]}}  # fmt: skip
    cook = record(piece(), log=(line("12:00", "meat_on"), *log))
    mixed = cook.cook.model_copy(update={"mixes": list(mixes)})
    return limits(dataclasses.replace(cook, mixes=own, cook=mixed))


SERVED = line("16:00", "served")


@pytest.mark.parametrize("kind", ["brine", "injection"])
def test_a_brine_touched_raw_meat_whether_or_not_anybody_says_so(kind):
    assert wet(kind=kind)["raw_liquid", ""].state == "running"
    after = wet(SERVED, kind=kind)["raw_liquid", ""]
    assert after.state == "unknown"
    assert any("rolling boil" in need for need in after.needs)


def test_a_sauce_did_not_unless_it_is_said():
    assert ("raw_liquid", "") not in wet(SERVED, kind="sauce")
    said = wet(SERVED, kind="sauce", mixes=(MixUse(mix="wet", touched_raw=True),))
    assert said["raw_liquid", ""].state == "unknown"
    apart = wet(SERVED, mixes=(MixUse(mix="wet", touched_raw=False),))
    assert ("raw_liquid", "") not in apart


@pytest.mark.parametrize(
    ("what", "food", "state"),
    [
        ("boiled", "marinade", "met"),
        ("boiled", None, "met"),
        ("thrown_away", "marinade", "met"),
        ("boiled", "stock", "unknown"),
        ("thrown_away", "leftovers", "unknown"),
    ],
)
def test_it_is_boiled_or_thrown_away_by_name(what, food, state):
    data = {} if food is None else {"food": food}
    assert wet(line("13:00", what, **data), SERVED)["raw_liquid", ""].state == state


def test_the_words_that_the_question_offers_are_words_of_the_log():
    from stallwise.joins.log.vocabulary import words

    phrases = {phrase for word in words().values() for phrase in word.phrases}
    for said in ("{food} boiled", "{food} thrown away", "set out {food}", "all gone"):
        assert said in phrases
    assert words()["thrown_away"].key == "thrown_away"


# --- what a probe cannot have read --------------------------------------------------------------

WHOLE_DAY = (line("00:00", "meat_on"), line("09:00", "off"), line("09:30", "sliced"))


def test_celsius_read_as_fahrenheit_is_not_believed():
    # 4 to 93 °C taken for °F: far below freezing as it goes on, and never warm.
    told = trace("A", [(m, 4 + m * 89 / 540) for m in range(0, 571, 10)])
    cook = with_readings(
        record(piece(worked=["intact"], start_core="38 F"), log=(CHECKED, *WHOLE_DAY)), told
    )
    found = limits(cook)
    assert found["minimum", "A"].state == "unknown"
    assert any("°F or °C" in need for need in found["minimum", "A"].needs)


def test_a_probe_hotter_than_its_pit_is_set_aside_until_another_takes_over():
    wild = trace("A", [(m, 147 if m < 420 else 339) for m in range(60, 540, 10)], place="flat")
    second = trace("A", [(m, 154 + (m - 450) * 0.3) for m in range(450, 571, 10)], place="point")
    cook = with_readings(
        record(piece(worked=["intact"]), log=(*checks(count=2), *WHOLE_DAY)), wild, second
    )
    found = limits(cook)
    assert found["minimum", "A"].state == "unknown"
    assert any("°F or °C" in need for need in found["minimum", "A"].needs)
    assert "flat: read what no core on a fire can" in " ".join(
        found["probe_check", ""].facts
    ).replace("Flat", "flat")


# --- fast, slow, and silent days ----------------------------------------------------------------


def test_an_injected_shoulder_in_the_wind_that_was_quick_is_judged_by_its_readings_alone():
    points = [(m, min(36 + 0.65 * m, 195)) for m in range(10, 251, 10)]
    log = (CHECKED, line("00:00", "meat_on"), line("04:10", "off"), line("04:30", "pulled"))
    cook = record(
        piece(worked=["injected"], start_core="36 F"), log=log, weather=Weather(ambient="20 F")
    )
    found = limits(with_readings(cook, trace("A", points)))
    assert found["come_up", "A"].state == "met"
    assert found["minimum", "A"].state == "met"
    assert "Injected: not intact" in " ".join(found["come_up", "A"].facts)


def test_meat_that_is_tough_may_have_its_temperature_and_a_number_says_nothing_of_tender():
    log = (
        CHECKED,
        line("12:00", "meat_on"),
        line("16:00", "core_reading", "A", temperature_c=f(175)),
        line("16:01", "off"),
        line("17:30", "sliced"),
    )
    cook = record(piece(cut="beef-brisket-flat", mass="3 lb", worked=["intact"]), log=log)
    one = limits(cook)["minimum", "A"]
    assert one.state == "met"
    said = " ".join([one.says, *one.facts, one.name]).casefold()
    assert "tender" not in said


def test_a_night_without_readings_is_not_bridged():
    before = [(m, 45 + 0.2 * m) for m in range(0, 120, 15)]
    after = [(m, 150 + 0.05 * (m - 480)) for m in range(480, 840, 15)]
    log = (CHECKED, line("00:00", "meat_on"), line("14:00", "off"), line("14:30", "sliced"))
    cook = record(piece(worked=["injected"], start_core="40 F"), log=log)
    found = limits(with_readings(cook, trace("A", before + after)))
    climb = found["come_up", "A"]
    # It passed 130 °F somewhere between 01:45 and 08:00.
    assert climb.state == "unknown"
    assert any("coldest spot" in need for need in climb.needs)
    assert "130 °F by 08:00." in " ".join(climb.facts)


def test_a_bird_is_judged_at_its_colder_spot_and_a_moved_probe_by_each():
    log = (*checks(count=2), line("12:00", "meat_on"), line("16:00", "off"), SERVED)
    breast = trace(
        "A", [(m, min(60 + (m - 720) * 0.5, 168)) for m in range(720, 961, 10)], "breast"
    )
    thigh = trace("A", [(m, min(60 + (m - 720) * 0.4, 150)) for m in range(720, 961, 10)], "thigh")
    bird = record(piece(cut="turkey-opened-flat", mass="12 lb"), log=log)
    assert limits(with_readings(bird, breast))["minimum", "A"].state == "met"
    both = limits(with_readings(bird, breast, thigh))["minimum", "A"]
    assert both.state == "missed"
    assert "148 °F" in " ".join(both.facts)


def test_a_spot_that_reads_colder_after_the_piece_was_cut_up_takes_nothing_back():
    log = (
        *checks(count=2),
        line("06:00", "meat_on"),
        line("16:00", "off"),
        line("16:10", "sliced"),
        line("16:20", "core_reading", "A", temperature_c=f(165), spot="flat"),
    )
    points = [(m, min(40 + (m - 360) * 0.3, 195)) for m in range(370, 971, 10)]
    cook = record(piece(cut="beef-brisket-whole", worked=["intact"]), log=log)
    assert limits(with_readings(cook, trace("A", points)))["minimum", "A"].state == "met"


def test_a_tolerance_is_a_difference_in_a_metric_book_too():
    log = (CHECKED, *WHOLE_DAY)
    cook = with_readings(
        record(piece(worked=["intact"], start_core="3 C"), log=log),
        trace("A", [(m, min(38 + m, 147)) for m in range(0, 571, 10)]),
    )
    metric = dataclasses.replace(cook, book=cook.book.model_copy(update={"units": "metric"}))
    # 147 °F less 2 °F is 145 °F, less 1.11 K and never less 33.
    for each in (cook, metric):
        assert limits(each)["minimum", "A"].state == "met"


def test_a_quarter_past_five_after_a_clock_went_back_is_an_hour_longer():
    from zoneinfo import ZoneInfo

    zone = ZoneInfo("America/New_York")
    night = dt.datetime(2026, 11, 1, 0, 30, tzinfo=zone)
    morning = dt.datetime(2026, 11, 1, 6, 0, tzinfo=zone)
    log = tuple(
        dataclasses.replace(one, at=at.astimezone(dt.UTC))
        for one, at in (
            (CHECKED, night - dt.timedelta(minutes=20)),
            (line("00:00", "meat_on"), night),
            (line("00:01", "core_reading", "A", temperature_c=f(142)), morning),
        )
    )
    cook = record(piece(worked=["injected"], start_core="40 F"), log=log)
    cook = dataclasses.replace(
        cook, cook=cook.cook.model_copy(update={"time_zone": "America/New_York"})
    )
    found = limits(cook, morning.astimezone(dt.UTC) + dt.timedelta(minutes=1))["come_up", "A"]
    # From half past twelve to six on the wall, with the hour that came twice: six and a half.
    assert found.state == "unknown"
    assert "On the way up for 6 h 30 min at most." in found.facts


def test_a_row_of_less_than_a_second_is_met_by_one_look():
    log = (
        CHECKED,
        line("12:00", "meat_on"),
        line("15:00", "core_reading", "A", temperature_c=f(168)),
        line("15:05", "off"),
    )
    for edition, state in (("2017", "met"), ("2013", "running")):
        cook = record(piece(cut="chicken-whole", mass="4 lb", worked=["intact"]), log=log)
        rules = Rules(food_code=edition, jurisdiction="our county")
        cook = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": rules}))
        # Fifteen seconds are not seen in one look.
        assert limits(cook)["food_code", "A"].state == state
