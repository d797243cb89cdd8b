"""Limits of whole cooks: what cooks have asked about, and what is missing, said and asked.

The food-safety questions are told with made-up clocks and pieces; where a cook has left a fact
out the answer is a question, and no test here reads a verdict beyond its rule.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import time

import pytest

from stallwise.joins.limit.limits import cook_limits
from stallwise.record.readings import Readings
from stallwise.record.schema import MixUse, Piece, Rules, Weather
from tests.joins.cooks import DATE, line, record

EVENING = dt.datetime(DATE.year, DATE.month, DATE.day, 23, 0, tzinfo=dt.UTC)
CHECKED = line("00:01", "probe_check", bath="ice", temperature_c=0.0)
#: Words that a rule does not say.
BEYOND = re.compile(
    r"\b(safe|unsafe|fine|done|ok|compliant|pasteuri[sz]ed|sterile|dangerous)\b", re.IGNORECASE
)


def f(degrees):
    return round((degrees - 32) / 1.8, 3)


def piece(**given):
    return Piece(**{"letter": "A", "cut": "pork-shoulder-boneless", "mass": "7 lb"} | given)


def limits(cook, until=EVENING):
    found = cook_limits(cook, cook.cook, until)
    for one in found.limits:
        assert not BEYOND.search(" ".join([one.says, *one.facts, *one.needs, one.name])), one
        assert one.rule
        assert one.grade
    return {(one.limit, one.piece): one for one in found.limits}


def trace(letter, points, place="core", channel=None):
    """Readings of a probe: minutes after midnight and °F."""
    midnight = dt.datetime(DATE.year, DATE.month, DATE.day, tzinfo=dt.UTC)
    at = tuple(midnight + dt.timedelta(minutes=minute) for minute, _ in points)
    return Readings(
        "probe.csv",
        channel or f"{place} {letter}",
        letter,
        "",
        place,
        at,
        tuple(f(v) for _, v in points),
    )


def with_readings(cook, *readings):
    return dataclasses.replace(cook, readings=readings)


# --- what cooks have asked ---------------------------------------------------------------------


def test_the_fire_died_and_it_took_five_hours_and_a_quarter():
    night = (
        line("00:00", "meat_on"),
        line("01:00", "pit_reading", temperature_c=f(210)),
        line("03:00", "pit_reading", temperature_c=f(160)),
        line("05:15", "core_reading", "A", temperature_c=f(140)),
    )
    cook = record(piece(), log=night)
    climb = limits(cook)["come_up", "A"]
    assert climb.state == "unknown"
    assert "5 h 15 min after it went on." in climb.facts
    asked = " ".join(climb.needs)
    assert "intact" in asked
    assert "How cold was it inside" in asked
    assert "How far off is the probe?" in asked
    # Said what was missing, the rule is quoted on what was read: here at the core.
    told = record(piece(worked=["boned and rolled"], start_core="38 F"), log=(CHECKED, *night))
    answer = limits(told)["come_up", "A"]
    assert answer.state == "met"
    assert "not intact" in " ".join(answer.facts)
    assert "6 h or less" in answer.says
    assert "FSIS" in answer.rule


def test_one_reading_late_in_the_day_is_not_the_moment_it_passed_its_line():
    log = (
        CHECKED,
        line("01:30", "meat_on"),
        line("15:09", "core_reading", "A", temperature_c=f(200)),
    )
    found = limits(record(piece(worked=["intact"], start_core="39 F"), log=log))
    assert any(fact.startswith("145 °F passed by 15:09") for fact in found["minimum", "A"].facts)
    climb = " ".join(found["come_up", "A"].facts)
    assert climb.startswith("130 °F by 15:09.")
    # The one length of time is told once.
    assert climb.count("13 h 39 min") == 1


def test_a_start_that_nobody_wrote_down_is_asked_and_never_taken_from_the_pit():
    log = (
        CHECKED,
        line("04:00", "pit_reading", temperature_c=f(300)),
        line("08:00", "core_reading", "A", temperature_c=f(142)),
    )
    facts = {"worked": ["boned and rolled"], "start_core": "40 F"}
    cook = record(piece(**facts), log=log, rules=Rules(four_hours=True))
    for limit in ("come_up", "four_hours"):
        one = limits(cook)[limit, "A"]
        assert one.state == "unknown"
        assert any("When did it go on" in need for need in one.needs)
    # Had it gone on at four, it sits on the line of the house rule: on it is within it, and a
    # second more is not known to be, whatever the clock is rounded to.
    on = record(piece(**facts), log=(*log, line("04:00", "meat_on")), rules=Rules(four_hours=True))
    at_line = limits(on)["four_hours", "A"]
    assert (at_line.state, at_line.grade) == ("met", "common practice, no source")
    assert "On the way up for 4 h at most." in at_line.facts
    early = dataclasses.replace(log[2], at=log[2].at + dt.timedelta(seconds=1))
    late = record(
        piece(**facts),
        log=(CHECKED, log[1], early, line("04:00", "meat_on")),
        rules=Rules(four_hours=True),
    )
    over = limits(late)["four_hours", "A"]
    assert over.state == "unknown"
    assert "On the way up for 4 h 1 min at most." in over.facts


def test_two_rules_are_quoted_with_their_source_and_the_house_picks():
    cook = record(piece(), log=(line("06:00", "meat_on"),))
    assert ("four_hours", "A") not in limits(cook)
    both = limits(record(piece(), log=cook.log, rules=Rules(four_hours=True)))
    assert both["four_hours", "A"].grade == "common practice, no source"
    assert "2021" in both["come_up", "A"].rule
    assert both["come_up", "A"].grade == "published"


def test_an_injected_shoulder_is_not_intact_and_counts_at_the_core():
    log = (
        CHECKED,
        line("07:15", "meat_on"),
        line("12:15", "core_reading", "A", temperature_c=f(165)),
        line("15:15", "core_reading", "A", temperature_c=f(205)),
    )
    own = {"pork-injection": {"name": "injection", "kind": "injection", "for": "4 kg",
                              "lines": [{"ingredient": "water", "amount": "300 g"}]}}  # fmt: skip
    by_mix = record(piece(start_core="38 F"), log=log)
    by_mix = dataclasses.replace(
        by_mix,
        mixes=own,
        cook=by_mix.cook.model_copy(update={"mixes": [MixUse(mix="pork-injection", on=["A"])]}),
    )
    by_word = record(piece(worked=["injected"], start_core="38 F"), log=log)
    for cook in (by_mix, by_word):
        one = limits(cook)["come_up", "A"]
        assert "Injected: not intact, so it is counted at the core." in one.facts
        assert one.state == "met"
        assert "On the way up for 5 h at most." in one.facts


def test_a_hold_through_the_night_needs_a_probe_in_it():
    log = (
        CHECKED,
        line("04:00", "meat_on"),
        line("05:30", "core_reading", "A", temperature_c=f(160)),
        line("05:31", "off"),
    )
    cook = record(piece(worked=["intact"]), log=log)
    hold = limits(cook)["hot_hold", "A"]
    assert hold.state == "unknown"
    assert any("while it was held" in need for need in hold.needs)
    out = limits(cook)["left_out", "A"]
    assert out.state == "unknown"
    held = with_readings(cook, trace("A", [(m, 160) for m in range(240, 1380, 10)]))
    assert limits(held)["hot_hold", "A"].state == "running"
    cold = trace("A", [(m, 160 if m < 900 else 139) for m in range(240, 1380, 10)])
    found = limits(with_readings(cook, cold))["hot_hold", "A"]
    assert found.state == "missed"
    assert "Below 140 °F at 15:00." in found.facts


def test_a_box_that_cools_is_told_in_readings_and_a_gap_is_a_gap():
    log = (CHECKED, line("01:00", "meat_on"), line("11:00", "off"))
    cook = record(piece(), log=log)
    box = [(660, 194), (670, 192), (780, 174)]
    found = limits(
        with_readings(cook, trace("A", box)), dt.datetime(2026, 5, 16, 13, tzinfo=dt.UTC)
    )
    assert found["hot_hold", "A"].state == "unknown"
    assert found["left_out", "A"].state in {"running", "unknown"}


def test_of_three_probes_the_coldest_counts():
    log = (line("00:00", "meat_on"), *(
        line(f"00:0{n}", "probe_check", "A", bath="ice", temperature_c=0.1 * n) for n in (1, 2, 3)
    ))  # fmt: skip
    probes = [trace("A", [(m, value) for m in range(0, 600, 10)], place=spot)
              for spot, value in (("point", 210), ("middle", 206), ("flat", 202))]  # fmt: skip
    one = limits(with_readings(record(piece(), log=log), *probes))["minimum", "A"]
    assert "The coldest probe, less its tolerance, got to 200 °F." in one.facts
    assert not any("How far off" in need for need in one.needs)
    # Three probes and two checks: the third is asked for.
    short = with_readings(record(piece(), log=log[:-1]), *probes)
    assert any("How far off" in need for need in limits(short)["minimum", "A"].needs)


def test_a_chicken_that_stands_at_150_has_not_reached_its_line():
    log = (
        CHECKED,
        line("12:00", "meat_on"),
        line("16:00", "core_reading", "A", temperature_c=f(150)),
    )
    cook = record(piece(cut="chicken-whole", mass="3.5 lb"), log=log)
    found = limits(cook, dt.datetime(2026, 5, 16, 16, 5, tzinfo=dt.UTC))
    one = found["minimum", "A"]
    assert one.state == "running"
    assert "165 °F" in one.says
    assert "148 °F" in " ".join(one.facts)
    assert ("come_up", "A") in found


def test_ribs_by_the_clock_have_no_temperature_and_are_asked_for_one():
    log = (line("12:30", "meat_on"), line("18:30", "off"), line("18:45", "served"))
    cook = record(piece(cut="pork-spare-ribs-whole", count=2, mass="3 lb"), log=log)
    one = limits(cook)["minimum", "A"]
    assert (one.state, one.facts) == ("unknown", ())
    assert any("coldest spot" in need for need in one.needs)


@pytest.mark.parametrize(
    ("elevation", "read_f", "state"),
    [
        ("0 m", 212, "met"),
        ("6700 ft", 200, "met"),
        ("6700 ft", 212, "missed"),
        ("4054 m", 188, "met"),
    ],
)
def test_boiling_water_is_judged_at_the_cooks_elevation(elevation, read_f, state):
    check = line("10:00", "probe_check", "A", bath="boiling", temperature_c=f(read_f))
    one = limits(record(piece(), log=(check,), elevation=elevation))["probe_check", "A"]
    assert one.state == state
    assert "at a rolling boil" in one.facts[0].lower()


def test_boiling_water_says_nothing_where_nobody_knows_how_high():
    # Right at sea level, and far too high on a mountain: it checks no probe.
    check = line("00:02", "probe_check", "A", bath="boiling", temperature_c=100.0)
    found = limits(hot_day(log=(check, *WHOLE_DAY)))
    assert found["probe_check", "A"].state == "unknown"
    assert any("How high is the kitchen" in need for need in found["probe_check", "A"].needs)
    assert found["minimum", "A"].state == "unknown"
    cook = hot_day(log=(check, *WHOLE_DAY))
    low = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"elevation": "20 m"}))
    assert limits(low)["minimum", "A"].state == "met"
    rows = {row.name: row.reach for row in cook_limits(cook, cook.cook, EVENING).temperatures}
    assert "at sea level, 1 °F lower for every 550 ft" in rows["Probe in ice, in boiling water"]


def test_a_probe_in_both_baths_is_one_probe():
    both = (
        line("00:01", "probe_check", "A", bath="ice", temperature_c=0.0),
        line("00:02", "probe_check", "A", bath="boiling", temperature_c=100.0),
    )
    cook = hot_day(log=(*both, *WHOLE_DAY))
    cook = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"elevation": "20 m"}))
    second = dataclasses.replace(cook.readings[0], place="point", channel="point")
    assert limits(cook)["minimum", "A"].state == "met"
    assert limits(with_readings(cook, *cook.readings, second))["minimum", "A"].state == "unknown"


def stock(*readings):
    return [
        line(at, "cooling_reading", food="stock", temperature_c=f(value)) for at, value in readings
    ]


def test_a_pot_of_stock_is_counted_in_two_stages():
    pot = stock(("18:00", 140), ("18:10", 136), ("19:50", 67), ("22:30", 39))
    one = limits(record(piece(), log=(CHECKED, *pot)))["cooling", ""]
    # 136 °F less two degrees of doubt may be under 135: the clock began at 18:00.
    assert one.state == "met"
    assert "Counted from 18:00." in one.facts
    assert "within 2 h" in one.says
    late = limits(record(piece(), log=(CHECKED, *pot[1:])))["cooling", ""]
    assert late.state == "unknown"
    assert any("When was it last hot" in need for need in late.needs)
    slow = stock(("18:00", 140), ("18:10", 130), ("20:30", 90))
    missed = limits(record(piece(), log=(CHECKED, *slow)))["cooling", ""]
    assert missed.state == "missed"
    assert "Above 70 °F still at 20:30." in missed.facts
    # Two hours to 41 °F is no rule of this code; 70 °F by then is.
    unchecked = limits(record(piece(), log=tuple(pot)))["cooling", ""]
    assert unchecked.state == "unknown"


def test_growth_is_an_estimate_that_warns_and_meets_nothing():
    log = [CHECKED, *(
        line(clock, "cooling_reading", food="stock", temperature_c=f(value))
        for clock, value in (("12:00", 150), ("12:10", 133), ("15:00", 100), ("18:00", 85), ("22:00", 60))
    )]  # fmt: skip
    cook = record(piece(), log=tuple(log))
    found = cook_limits(cook, cook.cook, EVENING)
    growth = next(one for one in found.estimates if one.estimate == "growth")
    assert growth.low < growth.high
    assert growth.warns
    assert [warning.key for warning in found.warnings] == ["limits.growth", "limits.cooling"]
    assert "3-501.14" in found.warnings[1].text
    later = cook_limits(cook, cook.cook, EVENING + dt.timedelta(days=3))
    assert [warning.key for warning in later.warnings] == ["limits.growth"]
    assert growth.text.startswith("Estimate:")
    assert all(one.state != "met" for one in found.limits if one.limit == "cooling")


# --- what is missing ---------------------------------------------------------------------------

HOT = tuple(range(0, 600, 10))
WHOLE_DAY = (
    line("00:00", "meat_on"),
    line("09:00", "off"),
    line("09:30", "sliced"),
)


def hot_day(piece_=None, log=(CHECKED, *WHOLE_DAY), value=200):
    cook = record(piece_ or piece(worked=["intact"], start_core="38 F"), log=log)
    return with_readings(cook, trace("A", [(m, min(38 + m, value)) for m in HOT]))


def test_a_whole_day_with_every_fact_is_met():
    found = limits(hot_day())
    assert found["minimum", "A"].state == "met"
    assert found["come_up", "A"].state == "met"


def test_missing_species_is_unknown_and_asked():
    cook = hot_day(piece(cut="goat", worked=["intact"], start_core="38 F"))
    goat = {"goat": {"like": "lamb-shoulder", "name": "Goat", "species": "goat",
                     "source": "own-measurement", "grade": "own measurement"}}  # fmt: skip
    one = limits(dataclasses.replace(cook, cuts=goat))["minimum", "A"]
    assert one.state == "unknown"
    assert any("What animal" in need for need in one.needs)


def test_unknown_intactness_is_asked_and_lends_no_kinder_line():
    cook = hot_day(piece(start_core="38 F"), value=150)
    found = limits(cook)
    assert found["come_up", "A"].state == "unknown"
    # Enough for a whole piece, too little for ground meat: not known until it is said.
    assert found["minimum", "A"].state == "unknown"
    assert any("intact" in need for need in found["minimum", "A"].needs)
    assert limits(hot_day(piece(worked=["intact"]), value=150))["minimum", "A"].state == "met"
    assert limits(hot_day(piece(worked=["ground"]), value=150))["minimum", "A"].state == "missed"


def test_a_stuffed_piece_asks_for_the_middle_of_its_stuffing():
    one = limits(hot_day(piece(worked=["stuffed"])))["stuffing", "A"]
    assert one.state == "unknown"
    assert any("stuffing" in need for need in one.needs)


def test_one_probe_in_four_birds_says_nothing_of_three():
    birds = {"cut": "chicken-whole", "mass": "4 lb", "worked": ["intact"], "start_core": "38 F"}
    assert limits(hot_day(piece(**birds)))["minimum", "A"].state == "met"
    four = limits(hot_day(piece(**birds, count=4)))["minimum", "A"]
    assert four.state == "unknown"
    assert "4 alike, 1 of them read." in four.facts
    assert any("What did the others" in need for need in four.needs)
    # What the one has missed is missed.
    assert limits(hot_day(piece(**birds, count=4), value=150))["minimum", "A"].state == "missed"


def test_a_probe_with_no_check_meets_nothing():
    found = limits(hot_day(log=WHOLE_DAY))
    for key in (("minimum", "A"), ("come_up", "A"), ("probe_check", "")):
        assert found[key].state == "unknown"
        assert any("How far off is the probe" in need for need in found[key].needs)


def test_a_probe_far_off_in_ice_is_missed_and_costs_its_whole_error():
    off = line("00:01", "probe_check", "A", bath="ice", temperature_c=4.0)
    found = limits(hot_day(log=(off, *WHOLE_DAY), value=150))
    assert found["probe_check", "A"].state == "missed"
    # 150 °F less 7.2 °F is short of 145 °F.
    assert found["minimum", "A"].state == "missed"


def test_a_check_that_nobody_read_is_no_check():
    blank = line("00:01", "probe_check", "A", bath="ice")
    found = limits(hot_day(log=(blank, *WHOLE_DAY)))
    assert found["probe_check", ""].state == "unknown"
    assert found["minimum", "A"].state == "unknown"


def test_the_sheet_to_print_goes_by_the_rule_that_the_limit_goes_by():
    cook = hot_day(piece(cut="beef-brisket-whole", worked=["injected"]))
    found = cook_limits(cook, cook.cook, EVENING).temperatures
    assert found[0].rule == limits(cook)["minimum", "A"].rule
    assert "mechanically tenderised" in found[0].rule
    lines = {row.name: row.reach for row in found}
    assert lines["Into the cold"] == "within 2 h, 1 h above 90 °F"
    assert lines["Cooling, licensed kitchens"] == "135 to 70 °F in 2 h, to 41 °F in 6 h in all"


def test_readings_in_the_wrong_unit_are_not_believed():
    cook = record(piece(worked=["intact"], start_core="38 F"), log=(CHECKED, *WHOLE_DAY))
    celsius_read_as_given = trace("A", [(m, min(38 + m, 203) * 1.8 + 32) for m in HOT])
    found = limits(with_readings(cook, celsius_read_as_given))
    assert found["minimum", "A"].state == "unknown"
    assert any("°F or °C" in need for need in found["minimum", "A"].needs)


def test_a_log_that_starts_late_is_unknown():
    cook = record(piece(worked=["injected"]), log=(CHECKED, *WHOLE_DAY))
    late = trace("A", [(m, min(38 + m, 200)) for m in HOT if m > 120])
    found = limits(with_readings(cook, late))["come_up", "A"]
    assert found.state == "unknown"
    assert any("How cold was it inside" in need for need in found.needs)


def test_a_probe_on_the_surface_answers_for_an_intact_piece_and_is_no_core():
    from stallwise.joins.learn.probed import core_probes

    slow = [(m, min(38 + 0.2 * m, 200)) for m in HOT]
    quick = [(m, min(38 + m, 200)) for m in HOT]
    core, skin = trace("A", slow), trace("A", quick, place="surface")
    log = (
        *WHOLE_DAY,
        *(line(f"00:0{n}", "probe_check", "A", bath="ice", temperature_c=0.1 * n) for n in (1, 2)),
    )
    cook = with_readings(record(piece(worked=["intact"], start_core="38 F"), log=log), core, skin)
    found = limits(cook)["come_up", "A"]
    assert found.state == "met"
    assert "Intact: counted at the surface." in found.facts
    assert [one.place for one in core_probes(cook.readings, "A")] == ["core"]
    # Without it the core alone cannot say.
    alone = limits(with_readings(cook, core))["come_up", "A"]
    assert alone.state == "unknown"
    assert any("What did the surface read" in need for need in alone.needs)


def test_a_gap_while_it_was_held_is_unknown():
    log = (CHECKED, line("00:00", "meat_on"), line("05:00", "off"), line("09:30", "sliced"))
    whole = hot_day(log=log)
    assert limits(whole)["hot_hold", "A"].state == "met"
    gap = dataclasses.replace(
        whole, readings=(trace("A", [(m, min(38 + m, 200)) for m in HOT if not 400 < m < 460]),)
    )
    assert limits(gap)["hot_hold", "A"].state == "unknown"


def test_a_food_code_needs_its_edition_and_whose_it_is():
    rules = Rules(food_code="2017")
    cook = hot_day()
    named = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": rules}))
    one = limits(named)["food_code", "A"]
    assert one.state == "unknown"
    assert any("Whose food code" in need for need in one.needs)
    assert ("roast_table", "A") not in limits(named)
    assert not any(key[0].startswith("food") for key in limits(cook))


PIT_CHECKED = dataclasses.replace(
    line("00:03", "probe_check", bath="ice", temperature_c=0.5), pit="P"
)


def roast(pit_f, mass, step=10, log=(CHECKED, PIT_CHECKED, *WHOLE_DAY)):
    rules = Rules(food_code="2017", jurisdiction="our county")
    cook = hot_day(piece(worked=["intact"], mass=mass), log=log)
    cook = dataclasses.replace(cook, cook=cook.cook.model_copy(update={"rules": rules}))
    pit = trace("", [(m, pit_f) for m in range(0, 600, step)], place="grate", channel="grate")
    pit = dataclasses.replace(pit, piece="", pit="P")
    return limits(with_readings(cook, *cook.readings, pit))["roast_table", "A"]


@pytest.mark.parametrize(
    ("pit_f", "mass", "state"),
    [
        (225, "12 lb", "unknown"),
        (252, "12 lb", "unknown"),
        (253, "12 lb", "met"),
        (253, "7 lb", "unknown"),
    ],
)
def test_a_dry_pit_at_225_is_outside_the_table_of_roasts(pit_f, mass, state):
    one = roast(pit_f, mass)
    assert one.state == state
    assert ("outside the ovens" in " ".join(one.facts)) == (state == "unknown")


def test_a_pit_whose_probe_nobody_checked_is_no_oven_of_the_table():
    one = roast(275, "12 lb", log=(CHECKED, *WHOLE_DAY))
    assert one.state == "unknown"
    assert any("How far off is the pit's probe" in need for need in one.needs)
    far_off = dataclasses.replace(PIT_CHECKED, data={"bath": "ice", "temperature_c": 15.0})
    # 275 °F less 27 °F of error is short of 250 °F.
    assert "outside the ovens" in " ".join(
        roast(275, "12 lb", log=(CHECKED, far_off, *WHOLE_DAY)).facts
    )


def test_the_check_of_a_pits_probe_is_none_of_the_meats():
    found = limits(hot_day(log=(PIT_CHECKED, *WHOLE_DAY)))
    assert found["minimum", "A"].state == "unknown"
    assert any("How far off is the probe" in need for need in found["minimum", "A"].needs)
    cook = hot_day(log=(PIT_CHECKED, *WHOLE_DAY))
    checks = [
        one for one in cook_limits(cook, cook.cook, EVENING).limits if one.limit == "probe_check"
    ]
    assert {one.state for one in checks} == {"met", "unknown"}
    assert any("4-203.12" in one.rule and "Pit P" in one.facts[0] for one in checks)


def test_a_pit_that_was_looked_at_by_the_hour_may_have_been_colder():
    one = roast(275, "12 lb", step=60)
    assert one.state == "unknown"
    assert any("How cold did the pit get" in need for need in one.needs)


def test_editions_differ_in_seconds():
    from stallwise.tables.limits import hold_s

    assert hold_s("food-code-worked", f(155)) == 17.0
    assert hold_s("food-code-worked-2013", f(155)) == 15.0
    assert hold_s("food-code-poultry-2013", f(165)) == 15.0


def test_a_liquid_that_touched_raw_meat_is_boiled_or_asked_after():
    served = (line("12:00", "meat_on"), line("16:00", "served"))
    cook = record(piece(), log=served, mixes=())
    cook = dataclasses.replace(
        cook,
        cook=cook.cook.model_copy(update={"mixes": [MixUse(mix="stock-glaze", touched_raw=True)]}),
    )
    assert limits(cook)["raw_liquid", ""].state == "unknown"
    boiled = dataclasses.replace(cook, log=(*served, line("13:00", "boiled")))
    assert limits(boiled)["raw_liquid", ""].state == "met"


def test_an_hour_on_a_hot_day_and_two_else():
    log = (line("10:00", "off"), line("11:30", "chilled"))
    for ambient, state in (("95 F", "unknown"), ("70 F", "met"), (None, "unknown")):
        cook = record(piece(), log=log, weather=Weather(ambient=ambient))
        assert limits(cook)["left_out", "A"].state == state


def test_what_is_planned_asks_what_can_be_asked_now():
    found = limits(record(piece()))
    assert {one.state for one in found.values()} == {"unknown"}
    assert set(found) == {("minimum", "A"), ("come_up", "A")}


def test_rounding_never_shows_a_figure_on_the_other_side():
    from stallwise.joins.limit.limitsaid import beside, lasting

    c145 = (145 - 32) / 1.8
    assert beside(c145 - 0.1, c145, "us") == "144.8 °F"
    assert beside(c145 - 0.01, c145, "us") == "144.98 °F"
    assert beside(c145, c145, "us") == "145 °F"
    assert beside(62.74, c145, "metric") == "62.7 °C"
    assert lasting(21_601, up=True) == "6 h 1 min"
    assert lasting(21_659, up=False) == "6 h"


def test_a_difference_is_no_temperature_in_a_metric_book():
    cook = hot_day()
    metric = dataclasses.replace(cook, book=cook.book.model_copy(update={"units": "metric"}))
    says = limits(metric)["probe_check", ""].says
    assert says.startswith("Food thermometers are right to 2 °F, or to 1 °C")
    assert "(2 °F)" not in " ".join(
        row.rule for row in cook_limits(metric, metric.cook, EVENING).temperatures
    )


def test_a_probe_that_is_nobodys_is_not_counted_with_those_of_the_pieces():
    cook = hot_day()
    stray = dataclasses.replace(cook.readings[0], piece="", channel="stray")
    assert limits(with_readings(cook, stray, *cook.readings)) == limits(cook)


def test_a_day_of_six_probes_at_ten_seconds_is_quick():
    letters = "ABCDEF"
    midnight = dt.datetime(DATE.year, DATE.month, DATE.day, tzinfo=dt.UTC)
    at = tuple(midnight + dt.timedelta(seconds=10 * n) for n in range(8640))
    values = tuple(min(4.0 + n * 0.02, 94.0) + (n % 7) * 0.1 for n in range(8640))
    readings = tuple(Readings("p.csv", one, one, "", "core", at, values) for one in letters)
    pieces = [piece(letter=one, worked=["injected"], start_core="38 F") for one in letters]
    cook = record(*pieces, log=(line("00:00", "meat_on"), line("20:00", "off")),
                  rules=Rules(food_code="2017", jurisdiction="our county", plant_tables=True))  # fmt: skip
    cook = with_readings(cook, *readings)
    took = []
    for _ in range(3):
        start = time.process_time()
        cook_limits(cook, cook.cook, midnight + dt.timedelta(days=1))
        took.append(time.process_time() - start)
    assert min(took) < 0.3, took
