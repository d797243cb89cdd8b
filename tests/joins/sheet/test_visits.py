"""Looks, turns and coats: what the cook plans, what the log says instead, on forecast and sheet alike."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.joins.foresight import plan_pieces, question
from stallwise.joins.sheet.visits import glazing
from stallwise.record.schema import Piece, PitUse, Weather
from stallwise.tables.catalogue import cut
from tests.joins import cooks

HOUR = 3600.0
ON = dt.datetime(2026, 5, 16, 9, tzinfo=dt.UTC)
BEFORE = ON - dt.timedelta(hours=1)
RIBS = {"on": "09:00", "wrap": "foil", "wrap_from": "2:45", "wrap_to": "3:15"}


def plans(record, as_of=BEFORE):
    asked = question(record, made_at=cooks.NOW, as_of=as_of)
    planned, _ = plan_pieces(asked, dict.fromkeys((p.letter for p in record.cook.pieces), ON))
    return [each.plan for each in planned]


def result(record, as_of=BEFORE):
    return answer(record, made_at=cooks.NOW, as_of=as_of)


def glaze_of(**piece):
    own = cooks.ribs(**RIBS | piece)
    return glazing(own, cut(own.cut), mixed=False)


def test_a_coat_opens_a_wrapped_rack_so_that_it_dries_first():
    """Common practice, no source: ten minutes bare, ten minutes a coat."""
    found = glaze_of(glaze_at="4:30", glaze_coats=2)
    assert found.unwrap_s == 4.5 * HOUR - 600.0
    assert found.coats_s == (4.5 * HOUR, 4.5 * HOUR + 600.0)
    assert found.coated_s == 4.5 * HOUR + 1200.0


def test_where_a_piece_is_opened_anyway_the_coat_waits_until_it_is_dry():
    assert glaze_of(unwrap="4:00", glaze_coats=1).coats_s == (4 * HOUR + 600.0,)
    assert glaze_of(glaze_coats=1).coats_s == ()
    assert glaze_of(wrap="none", glaze_at="4:00").unwrap_s is None
    assert glaze_of(glaze_at="2:00").unwrap_s is None


@pytest.mark.parametrize(("piece", "said"), [
    ({"glaze_at": "3:00"}, "wrapped until 3 h 15 min.*from 3 h 25 min"),
    ({"glaze_at": "4:00", "unwrap": "4:10"}, "opened 4 h 10 min"),
    ({"glaze_at": "4:00", "glaze_every": "20 s"}, "1 min or more"),
])  # fmt: skip
def test_a_coat_on_a_wrap_is_refused_with_the_times_that_fit(piece, said):
    with pytest.raises(InputError, match=said):
        glaze_of(**piece)


def test_sheet_stages_and_forecast_have_the_same_coats():
    record = cooks.record(cooks.ribs(**RIBS, glaze_at="4:30", glaze_coats=2, glaze_every="12 min"))
    (plan,) = plans(record)
    assert plan.wrap.unwrap_s == 4.5 * HOUR - 600.0
    assert [visit.time_s for visit in plan.spritz] == [4.5 * HOUR, 4.5 * HOUR + 720.0]
    assert all(visit.sticks for visit in plan.spritz)
    made = result(record)
    (piece,) = made.pieces
    steps = [step for step in made.steps if step.id.startswith("glaze-")]
    assert [(step.at - piece.on_at).total_seconds() for step in steps] == [
        visit.time_s for visit in plan.spritz
    ]
    assert [step.what for step in steps] == ["Glaze on, coat 1 of 2", "Glaze on, coat 2 of 2"]
    last = piece.stages["glazed"].elapsed_h.p50 * HOUR
    assert last == 4.5 * HOUR + 720.0 + 600.0
    assert piece.stages["rested"].elapsed_h.p05 >= last / HOUR + piece.rest_h


def test_nothing_rests_and_is_carved_before_its_glaze_is_set():
    late = cooks.ribs(**RIBS, glaze_at="6:40")
    plain = result(cooks.record(cooks.ribs(**RIBS))).pieces[0]
    coated = result(cooks.record(late)).pieces[0]
    assert plain.odds_in_time > 0.9
    assert coated.odds_in_time < 0.1


def test_a_logged_coat_takes_a_planned_ones_place_and_the_next_waits_for_it():
    piece = cooks.ribs(**RIBS, glaze_at="4:30", glaze_coats=2)
    log = (
        cooks.line("09:00", "meat_on"),
        cooks.line("12:00", "wrapped", kind="foil"),
        cooks.line("13:35", "unwrapped"),
        cooks.line("13:50", "glazed"),
    )
    (plan,) = plans(cooks.record(piece, log=log), ON + dt.timedelta(hours=4, minutes=52))
    assert [visit.time_s / 60.0 for visit in plan.spritz] == [290.0, 300.0]
    done = (*log, cooks.line("14:01", "glazed"))
    (piece,) = result(cooks.record(piece, log=done), ON + dt.timedelta(hours=5, minutes=5)).pieces
    assert piece.stages["glazed"].known


def test_planned_looks_and_a_turn_open_the_lid_until_the_log_says_otherwise():
    piece = cooks.ribs(on="09:00", wrap="none", look_from="1:30", look_every="0:45", turn="2:00")
    (plan,) = plans(cooks.record(piece))
    assert [at / 60.0 for at in plan.openings_s] == [90.0, 120.0, 135.0]
    log = (cooks.line("09:00", "meat_on"), cooks.line("10:40", "lid_open", duration_s=120.0))
    (plan,) = plans(cooks.record(piece, log=log), ON + dt.timedelta(hours=1, minutes=50))
    assert [at / 60.0 for at in plan.openings_s][:5] == [100.0, 100.5, 101.0, 101.5, 120.0]
    ids = [step.id for step in result(cooks.record(piece)).steps]
    assert {"look-A", "turn-A"} <= set(ids)


def test_a_lid_is_shared_by_what_lies_under_it():
    two = (cooks.ribs(on="09:00"), cooks.ribs(letter="B", on="09:00", pit="Q"))
    pits = [PitUse(letter=letter, pit=letter, start="250 F") for letter in "PQ"]
    log = (cooks.line("09:00", "meat_on"), cooks.line("10:00", "spritz", "A"))
    now = ON + dt.timedelta(hours=2)
    apart = plans(cooks.record(*two, pits=pits, log=log), now)
    assert [plan.openings_s for plan in apart] == [(), ()]
    both = (two[0], cooks.ribs(letter="B", on="09:00"))
    together = plans(cooks.record(*both, pits=pits, log=log), now)
    assert [plan.openings_s for plan in together] == [(), (HOUR,)]


def test_damp_weather_makes_a_damper_pit_and_an_oven_stands_indoors():
    def factor(kind, **weather):
        record = cooks.record(
            cooks.ribs(on="09:00"),
            pits=[PitUse(start="250 F", kind=kind)],
            weather=Weather(ambient="25 C", **weather),
        )
        return plans(record)[0].humidity_factor

    steps = [factor("offset", humidity=share) for share in ("10 %", "40 %", "90 %")]
    assert steps == sorted(steps)
    assert factor("offset") == 1.0 == factor("oven", humidity="90 %")
    # derived: 18.0 g/kg at 25 °C and 90 % (psychrometric chart), 8 on the usual day, 22 in the pit
    assert steps[-1] == pytest.approx(1.0 + 0.010 / 0.022, rel=0.02)


def test_a_bird_may_stand_over_a_pan_anywhere():
    bird = Piece(letter="A", cut="chicken-whole", on="09:00")
    asked = question(
        cooks.record(bird, pits=[PitUse(start="325 F", kind="offset")]),
        made_at=cooks.NOW,
        as_of=BEFORE,
        changes={"pit_water_pan": "yes"},
    )
    assert asked.cook.pits[0].water_pan is True
    planned, _ = plan_pieces(asked, {"A": ON})
    assert planned[0].plan.humidity_factor > 1.2


def test_a_cold_windy_day_wants_more_wood_and_moves_no_shut_pit():
    """Common practice, no source: wind and a cold night take half as much again."""

    def wood(**weather):
        record = cooks.record(
            cooks.ribs(on="09:00"),
            pits=[PitUse(start="250 F", kind="offset")],
            weather=Weather(**weather),
        )
        made = result(record)
        return made.fuel[0].all_kg.p50, made.pieces[0].stages["tender"].elapsed_h.p50

    mild, cold, windy = wood(), wood(ambient="0 C"), wood(ambient="0 C", wind="breeze")
    assert mild[0] < cold[0] < windy[0]
    assert 1.3 < windy[0] / mild[0] < 2.1
    assert mild[1] == cold[1] == windy[1]


def test_weather_that_cannot_be_is_refused():
    record = cooks.record(cooks.ribs(on="09:00"), weather=Weather(ambient="90 C"))
    with pytest.raises(InputError, match="-50 to 60 °C"):
        result(record)


def test_a_pit_that_is_not_lit_is_said_and_not_refused():
    record = cooks.record(cooks.ribs(on="09:00", start_core="15 C"), pits=[PitUse(start="10 C")])
    assert "pit-cold" in {warning.key for warning in result(record).warnings}
