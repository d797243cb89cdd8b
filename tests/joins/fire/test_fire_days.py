"""What cooks ask of fuel, night and trouble, each asked in a day of our own."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.fire.fuelwords import fuel_table
from stallwise.joins.log.paper import read_block
from stallwise.joins.log.papercontext import paper_context
from stallwise.joins.tables import as_text
from stallwise.record.schema import Book, Piece, PitUse, Weather
from tests.joins.cooks import DATE, NOW, line, record
from tests.joins.ways.test_remedies import brisket
from tests.joins.ways.test_troubles import OFFSET, asked, shoulder, trouble

KETTLE = [PitUse(letter="P", start="250 F", kind="closed", fuel="lump charcoal")]
BULLET = [PitUse(letter="P", start="235 F", kind="water pan", fuel="charcoal")]
EVE = DATE - dt.timedelta(days=1)


def answered(*pieces, as_of=NOW, book=None, log=(), **more):
    made = record(*pieces, log=log, **{"pits": OFFSET, "serve": "17:00"} | more)
    made = replace(made, book=book) if book else made
    return answer(made, made_at=as_of, as_of=as_of, changes={"members": 60})


def at(clock: str, day=DATE) -> dt.datetime:
    hour, minute = map(int, clock.split(":"))
    return dt.datetime.combine(day, dt.time(hour, minute), dt.UTC)


def test_a_party_in_the_frost_asks_for_fuel_and_start_up_not_for_hours_of_meat():
    three = [Piece(letter=x, cut="pork-shoulder-bone-in", mass="5 lb", wrap="none") for x in "ABC"]
    mild, frost = (
        answered(*three, weather=Weather(ambient=f"{c} C")) for c in (18, -3)
    )  # fmt: skip
    for one, other in zip(mild.pieces, frost.pieces, strict=True):
        assert one.stages["tender"].elapsed_h == other.stages["tender"].elapsed_h
    assert frost.fuel[0].all_kg.p50 > 1.15 * mild.fuel[0].all_kg.p50
    assert frost.fuel[0].start_h.p50 > mild.fuel[0].start_h.p50
    assert "the meat takes as long" in as_text(fuel_table(mild))


def test_ten_degrees_colder_is_told_in_fuel_and_wind_counts():
    calm = answered(brisket(mass="5 kg"), weather=Weather(ambient="10 C")).fuel[0]
    more = calm.colder.more_kg.p50 / calm.all_kg.p50
    assert 0.07 < more < 0.2  # some 11 K of 110 K, and the start-up
    windy = answered(brisket(mass="5 kg"), weather=Weather(ambient="10 C", wind="wind")).fuel[0]
    assert windy.rate_kg_h.p50 > 1.2 * calm.rate_kg_h.p50


def test_a_chimney_every_few_hours_is_counted_in_chimneys_that_were_weighed_once():
    book = Book(title="b", measures={"chimney": "4 lb 8 oz"})
    (fire,) = answered(shoulder(), pits=KETTLE, book=book).fuel
    assert (fire.unit, fire.unit_weighed) == ("chimney", True)
    assert fire.unit_kg == pytest.approx(2.04, abs=0.01)
    assert 1.0 < fire.interval_h.p50 / fire.each < 12.0
    steps = answered(brisket(mass="6 kg"), pits=KETTLE, book=book).steps
    assert any("chimney" in step.what for step in steps if step.id.startswith("refuel"))


def test_splits_that_were_logged_are_counted_into_a_rate_beside_the_forecast():
    fed = [line(f"{h:02d}:{m:02d}", "wood", count=1) for h in range(5, 9) for m in (0, 40)]
    log = (line("03:00", "fire_lit"), line("04:10", "pit_steady"), line("04:20", "meat_on"), *fed)
    result = answered(brisket(mass="5 kg"), log=log, as_of=at("09:00"))
    (fire,) = result.fuel
    assert fire.logged_interval_h == pytest.approx(220 / 60 / 7)
    assert fire.interval_h.p10 < fire.logged_interval_h < fire.interval_h.p90
    text = as_text(fuel_table(result))
    assert "every 30 min" in text
    assert "the pit at 250 °F" in text


def test_two_fuels_at_two_pits_each_say_what_the_pit_held():
    def fed(start, left):
        log = (
            line("05:00", "fire_lit", mass_kg=0.0), line("05:00", "wood", mass_kg=4.5),
            line("05:40", "pit_steady"), line("06:00", "meat_on"), line("15:00", "off"),
            line("15:10", "fuel_left", share=left),
        )  # fmt: skip
        pits = [PitUse(letter="P", start=start, kind="closed")]
        return answered(shoulder(), log=log, pits=pits, as_of=at("15:30")).fuel[0]

    cool, hot = fed("225 F", 0.333), fed("250 F", 0.05)
    assert cool.logged_rate_kg_h < hot.logged_rate_kg_h
    assert hot.logged_pit_c - cool.logged_pit_c == pytest.approx(25.0 / 1.8, abs=2.0)
    assert cool.burnt_kg == pytest.approx(3.0, abs=0.01)


def test_half_a_bag_some_chunks_and_briquettes_are_read_and_weighed():
    made = replace(record(shoulder(), pits=KETTLE), book=Book(title="b", measures={"bag": "20 lb"}))
    text = "0600 half a bag of charcoal\n0605 3 chunks\n0610 60 briquettes\n0615 2 kg charcoal on"
    block = read_block(text, context=paper_context(made))
    found = [entry for each in block.lines for entry in each.entries]
    assert [entry.what for entry in found] == ["wood"] * 4
    assert [entry.data.get("count") for entry in found] == [0.5, 3, 60, None]
    log = (line("04:00", "meat_on"), *found)
    made = replace(made, log=log)
    result = answer(made, made_at=at("06:30"), as_of=at("06:30"), changes={"members": 60})
    kg = 0.5 * 9.07 + 3 * 0.1 + 60 * 0.025 + 2.0
    assert result.fuel[0].used_kg == pytest.approx(kg, rel=0.01)


def test_a_winter_night_on_charcoal_has_a_look_before_the_fire_sags():
    cold = Weather(ambient="-8 C", wind="breeze")
    result = answered(
        Piece(letter="A", cut="pork-shoulder-bone-in", mass="7 lb"),
        pits=BULLET, weather=cold, serve="13:00", log=(),
    )  # fmt: skip
    night = result.night
    assert night.begins == at("23:00", EVE)
    assert 1 <= len(night.looks) <= 6
    inside = [look.at for look in night.looks]
    assert all(night.begins <= one < night.ends for one in inside)
    warm = answered(
        Piece(letter="A", cut="pork-shoulder-bone-in", mass="7 lb"), pits=BULLET, serve="13:00"
    ).fuel[0]
    assert result.fuel[0].rate_kg_h.p50 > 1.25 * warm.rate_kg_h.p50


def test_a_fire_that_died_in_the_night_is_told_as_facts_and_never_cleared():
    log = (line("00:00", "meat_on"), line("03:00", "fire_out"), line("05:00", "note"))
    result = answered(
        shoulder(worked=["boned and rolled"], wrap="none"),
        log=log,
        as_of=at("05:15"),
        serve="17:00",
    )
    found = trouble(result, "fire_out")
    assert "since 03:00" in found.words
    assert 2 <= len(found.ways) <= 3
    pit = result.pieces[0].pit_c
    low = min(c for h, c in zip(pit.elapsed_h, pit.p50, strict=True) if 3.0 < h < 6.5)
    assert low < 70.0
    said = " ".join(one.text for one in result.warnings)
    assert "safe" not in said.casefold().replace("safety", "")


def test_a_cold_night_with_a_fixed_departure_is_at_risk_with_ways_and_ranges():
    log = (line("00:30", "meat_on"), line("11:00", "core_reading", "A", temperature_c=72.0))
    result = answered(
        shoulder(mass="9 lb", wrap="none"), log=log, as_of=at("11:00"), serve="14:00",
        pits=[PitUse(letter="P", start="225 F", kind="offset")], weather=Weather(ambient="-12 C"),
    )  # fmt: skip
    keys = {one.key for one in result.warnings}
    assert "at-risk" in keys
    assert len(result.remedies) >= 2
    for way in result.remedies:
        assert way.own.tender.elapsed_h.p10 < way.own.tender.elapsed_h.p90


def test_at_the_stall_it_is_said_whether_it_comes_early_and_what_the_wait_asks_for():
    log = (line("09:00", "core_reading", "A", temperature_c=70.0),)
    early = asked(*log, as_of=at("09:00"), serve="21:30")
    found = trouble(early, "early")
    assert {way.key.partition(".")[2] for way in found.ways} >= {"box"}
    box = next(way for way in found.ways if way.key == "early.box")
    assert "waits " in box.note
    late = asked(*log, as_of=at("09:00"), serve="11:00")
    assert "early" not in {one.key for one in late.troubles}
    assert "at-risk" in {one.key for one in late.warnings}


def test_done_at_night_for_the_afternoon_of_the_next_day_offers_the_cold_with_its_times():
    log = (line("06:00", "meat_on"), line("20:00", "wrapped", "A", kind="foil"))
    tomorrow = f"{(DATE + dt.timedelta(days=1)).isoformat()} 16:00"
    made = record(shoulder(), log=log, pits=OFFSET, serve=tomorrow)
    result = answer(made, made_at=at("21:00"), as_of=at("21:00"), changes={"members": 60})
    ways = {way.key: way for way in trouble(result, "early").ways}
    assert "70 °F within 2 h" in ways["early.chill"].note
    assert "above 140 °F" in ways["early.box"].note
    # No box keeps it for so long: what is said of it is how long it does.
    assert "h at least" in ways["early.box"].note


def test_what_waits_hot_in_a_box_overnight_has_an_alarm_at_the_line():
    log = (
        line("08:00", "meat_on"),
        line("20:00", "feel_check", "A", check="probe", verdict="tender"),
    )
    tomorrow = f"{(DATE + dt.timedelta(days=1)).isoformat()} 06:30"
    made = record(shoulder(hold="box"), log=log, pits=OFFSET, serve=tomorrow)
    night = answer(made, made_at=at("20:30"), as_of=at("20:30"), changes={"members": 60}).night
    (alarm,) = [one for one in night.alarms if one.kind == "core_low"]
    assert alarm.temperature_c == 60.0
    assert any(one.source == "night.core_low" for one in night.lines)
    assert night.caution == ""


def test_an_evening_start_crosses_midnight_and_the_card_is_in_the_books_degrees():
    pits = [PitUse(letter="P", start="115 C", kind="closed", fuel="charcoal")]
    made = record(
        Piece(letter="A", cut="pork-shoulder-bone-in", mass="4 kg", on=f"{EVE.isoformat()} 21:00"),
        pits=pits, serve="13:00",
    )  # fmt: skip
    made = replace(made, book=Book(title="b", units="metric"))
    result = answer(made, made_at=NOW, changes={"members": 60})
    assert result.pieces[0].on_at == at("21:00", EVE)
    text = " ".join(one.when for one in result.night.lines)
    assert "°C" in text
    assert "°F" not in text


def test_fuel_words_fold_kilograms_behind():
    text = as_text(fuel_table(answered(shoulder())))
    line_ = next(each for each in text.splitlines() if "in all" in each)
    first = line_.split("in all")[1].split()
    assert first[0].isdigit()
    assert first[1].startswith("(")


def test_what_a_fire_does_that_is_out_is_no_step_and_no_plan():
    log = (line("00:00", "meat_on"), line("03:00", "fire_out"))
    result = answered(shoulder(), as_of=at("03:20"), log=log)
    climbs = [step.what for step in result.steps if step.id.startswith("climb")]
    assert [what for what in climbs if "down" in what] == []
    assert len(climbs) == 1  # lit again, it is brought up
    assert "unusual-pit-low" not in {warning.key for warning in result.warnings}
