"""The night card: which night, what to set, five lines, who gets up."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground import units
from stallwise.ground.references import cited
from stallwise.joins.answer import answer
from stallwise.joins.explain import explain, group
from stallwise.joins.sheet.night import alarm_c
from stallwise.joins.sheet.nightwords import night_lines
from stallwise.joins.sheet.sheetwords import step_clock
from tests.joins.cooks import DATE, NOW, line, record, ribs
from tests.joins.ways.test_remedies import brisket

BELOW, ABOVE = "pit_low", "pit_high"
OFFSET = [{"letter": "P", "start": "107 C", "kind": "offset", "fuel": "oak splits"}]
KETTLE = [{"letter": "P", "start": "107 C", "kind": "closed"}]
OVEN = [{"letter": "P", "start": "107 C", "kind": "oven", "number_at": "oven"}]


def card(pits=OFFSET, as_of=NOW, **more):
    made = record(brisket(mass="5 kg"), pits=pits, **{"serve": "12:00"} | more)
    return answer(made, made_at=NOW, as_of=as_of, changes={"members": 60})


def at(text: str, day=DATE) -> dt.datetime:
    hour, minute = map(int, text.split(":"))
    return dt.datetime.combine(day, dt.time(hour, minute), dt.UTC)


def test_what_cooks_by_day_has_no_night_card():
    day = record(ribs(), serve="16:00")
    assert answer(day, made_at=NOW, changes={"members": 60}).night is None
    assert night_lines(answer(day, made_at=NOW, changes={"members": 60})) == []


def test_the_night_is_the_one_in_which_it_cooks_as_long_as_the_cook_sleeps():
    night = card().night
    assert (night.begins, night.ends) == (at("23:00", DATE - dt.timedelta(days=1)), at("06:00"))
    late = card(asleep="01:30", awake="05:00").night
    assert (late.begins, late.ends) == (at("01:30"), at("05:00"))
    # The night before is over: it is the next one, if there is anything on in it.
    log = (line("02:00", "meat_on"),)
    assert card(log=log, as_of=at("07:00")).night is None
    assert card(log=log, as_of=at("04:00")).night is not None


def test_alarms_are_numbers_of_the_forecast_and_of_the_fire():
    result = card()
    alarms = {alarm.kind: alarm for alarm in result.night.alarms}
    core = result.pieces[0].core_c
    tender_h = result.pieces[0].stages["tender"].elapsed_h.p50
    near = min(range(len(core.p50)), key=lambda row: abs(core.elapsed_h[row] - tender_h))
    assert 70.0 < alarms["core_high"].temperature_c < core.p50[near]
    assert alarms[BELOW].temperature_c < 107.0 - 8.0
    assert alarms[ABOVE].temperature_c > 107.0 + 8.0
    # A pit that is filled does not swing by its splits, an oven hardly at all.
    kettle, oven = (
        {alarm.kind: alarm.temperature_c for alarm in card(pits).night.alarms}
        for pits in (KETTLE, OVEN)
    )
    assert alarms[BELOW].temperature_c < kettle[BELOW] < oven[BELOW] < 107.0
    assert alarms[ABOVE].temperature_c > kettle[ABOVE] > oven[ABOVE] > 107.0


def test_a_pit_that_climbs_at_night_has_its_alarms_round_both_ends():
    climb = [{**KETTLE[0], "schedule": [["0 h", "107 C"], ["2 h", "107 C"], ["3 h", "135 C"]]}]
    alarms = {alarm.kind: alarm.temperature_c for alarm in card(climb).night.alarms}
    assert alarms[BELOW] < 107.0
    assert alarms[ABOVE] > 135.0


@pytest.mark.parametrize("pits", [OFFSET, KETTLE, OVEN])
def test_there_are_five_lines_with_this_nights_numbers_and_a_source_each(pits):
    night = card(pits).night
    assert len(night.lines) == 5
    for one in night.lines:
        assert "{" not in one.when + one.then
        assert explain(one.source)[0].source
    assert group(night.source).source
    assert bool(night.caution) == (pits is not OVEN)
    assert "safe" not in " ".join(one.then for one in night.lines)


def test_who_feeds_a_fire_all_night_stays_up_and_shares_it():
    alone = card().night
    assert len(alone.looks) == 1
    assert "somebody stays up" in alone.looks[0].what
    two = card(people=2).night
    assert [who for who, _, _ in two.shifts] == ["1", "2"] == [look.who for look in two.looks]
    assert two.shifts[0][2] == two.shifts[1][1] == at("02:30")


def test_a_pit_that_is_filled_wakes_nobody_oftener_than_it_must():
    looks = card(KETTLE).night.looks
    assert 1 <= len(looks) <= 2
    assert card(OVEN).night.looks == ()
    long = card([{**KETTLE[0], "kind": "fan"}]).night.looks
    assert [look.what for look in long] == ["look at fire and pit number"]


def test_the_card_in_words_has_every_fact_of_it():
    text = "\n".join(night_lines(card()))
    for needed in ("set an alarm: pit: below", "get up", "if: The fire is out", "care: Charcoal"):
        assert needed in text
    # Paper and terminal break long lines: a line is one line.
    assert not any("\n" in one for one in night_lines(card()))
    assert cited("cpsc")


def test_an_oven_beside_a_fire_is_called_what_it_is_and_has_no_fire():
    pits = [{"letter": "Q", "start": "135 C", "kind": "oven", "number_at": "oven"}, *KETTLE]
    made = record(
        brisket(mass="5 kg", pit="P"),
        ribs(letter="B", pit="Q", on="01:00"),
        pits=pits,
        serve="12:00",
    )
    result = answer(made, made_at=NOW, changes={"members": 60})
    assert result.pit_names["Q"] == "oven"
    oven = [one for one in result.night.alarms if one.letter == "Q"]
    fire = next(one for one in result.night.alarms if (one.letter, one.kind) == ("P", BELOW))
    assert {one.whose for one in oven} == {"oven"}
    assert not any("fire" in one.why for one in oven)
    said = units.format_temperature(alarm_c(fire.temperature_c, "us", -1.0), "us")
    assert said in result.night.lines[0].when
    on = {step.piece: step.until_sign for step in result.steps if step.id.startswith("meat_on")}
    assert on == {"A": "the smoke is clean", "B": "the oven holds its heat"}


def test_what_the_sheet_plans_at_night_stands_on_the_card():
    two = [
        brisket(mass="5 kg", on="22:00", wrap="paper", wrap_at="5 h"),
        brisket(letter="B", mass="5 kg", on="00:30"),
    ]
    made = record(*two, pits=KETTLE, serve="14:00", people=2)
    result = answer(made, made_at=NOW, as_of=NOW, changes={"members": 60})
    night = result.night
    planned = {step.id: step for step in result.steps}
    said = {look.what: look for look in night.looks}
    assert said["B: Meat on"].at == step_clock(planned["meat_on-B"], NOW)
    assert said["A: Wrap: paper"].at == step_clock(planned["wrap-A"], NOW)
    # Fuel too goes on by one clock, whichever paper is looked at.
    fuel = {step_clock(s, NOW) for s in result.steps if s.id.startswith("refuel")}
    topped = {look.at for look in night.looks if "chimney" in look.what}
    assert topped
    assert topped == {at for at in fuel if night.begins <= at < night.ends}
    assert said["A: Wrap: paper"].who in {"1", "2"}
    assert [look.at for look in night.looks] == sorted(look.at for look in night.looks)
