"""What goes wrong mid-cook: ways on with their times, by a log line or tried with a setting."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.joins.explain import explain, group
from stallwise.joins.result import to_plain
from stallwise.joins.tables import as_text, trouble_table
from stallwise.joins.ways.troubleways import TROUBLE_WAYS
from stallwise.record.schema import Piece, PitUse
from tests.joins.cooks import DATE, line, record

ON = line("04:00", "meat_on")
TEN = dt.datetime(DATE.year, DATE.month, DATE.day, 10, tzinfo=dt.UTC)
OFFSET = [PitUse(letter="P", start="250 F", kind="offset", fuel="oak splits")]


def shoulder(**more) -> Piece:
    given = {"letter": "A", "cut": "pork-shoulder-bone-in", "mass": "7 lb", "wrap": "foil"}
    return Piece(**given | {"wrap_from": "7 h", "wrap_to": "8 h"} | more)


def asked(*log, as_of=TEN, pieces=None, changes=None, **more):
    given = {"pits": OFFSET, "serve": "15:00", "odds": "usual"}
    made = record(*(pieces or (shoulder(),)), log=(ON, *log), **given | more)
    return answer(made, made_at=as_of, as_of=as_of, changes={"members": 60, **(changes or {})})


def trouble(result, key: str):
    (one,) = [one for one in result.troubles if one.key == key]
    return one


def tender_h(result, letter="A") -> float:
    (piece,) = [one for one in result.pieces if one.piece == letter]
    return piece.stages["tender"].elapsed_h.p50


def test_a_day_on_which_all_goes_well_has_no_trouble():
    result = asked()
    assert result.troubles == ()
    assert as_text(trouble_table(result)) == ""


def test_a_fire_that_went_out_makes_it_later_and_has_ways_on():
    well = asked()
    result = asked(line("08:30", "fire_out"))
    assert tender_h(result) > tender_h(well) + 0.5
    found = trouble(result, "fire_out")
    assert found.words == "The fire is out since 08:30."
    assert [way.key for way in found.ways] == [
        "fire_out.relight", "fire_out.relight_wrap", "fire_out.oven",
    ]  # fmt: skip
    relight, wrapped, oven = found.ways
    assert relight.words.startswith("light it again: the pit is steady by 1")
    # Lit again is what the forecast counts with; an oven is hot sooner, foil does not evaporate.
    assert relight.own.shift_h.p50 == 0.0
    assert oven.own.shift_h.p50 < 0.0
    assert wrapped.own.shift_h.p50 < 0.0
    assert "FSIS" in found.caution
    (said,) = [one.text for one in result.warnings if one.key == "trouble-fire_out"]
    assert "Ways on: light it again" in said


def test_a_fire_lit_again_is_no_trouble_once_it_is_steady():
    out, lit, steady = (
        line("08:30", "fire_out"), line("09:00", "fire_lit"), line("09:40", "pit_steady"),
    )  # fmt: skip
    assert [one.key for one in asked(out, lit).troubles] == ["fire_out"]
    over = asked(out, lit, steady)
    assert over.troubles == ()
    # An hour and ten without a fire is still behind it.
    assert tender_h(over) > tender_h(asked()) + 0.2
    assert tender_h(over) < tender_h(asked(out))


def test_the_longer_it_was_out_the_longer_until_it_is_steady():
    def steady(at):
        return trouble(asked(line(at, "fire_out")), "fire_out").ways[0].words[-5:]

    assert steady("09:50") < steady("09:00") <= steady("05:00")


def test_who_overslept_the_fire_says_so_and_the_night_counts_as_it_sagged():
    read = (line("05:00", "pit_reading", temperature_c=121.0),
            line("09:30", "pit_reading", temperature_c=80.0))  # fmt: skip
    unsaid, said = (tender_h(asked(*read, *more)) for more in ((), (line("09:30", "overslept"),)))
    assert said > unsaid + 0.3
    # Without what the pit read nobody knows by how much.
    assert tender_h(asked(line("09:30", "overslept"))) == tender_h(asked())


def test_rain_takes_fuel_and_no_time_unless_the_pit_is_let_go():
    well, wet = asked(), asked(line("09:00", "rain"))
    assert tender_h(wet) == tender_h(well)
    assert wet.fuel[0].rate_kg_h.p50 > 1.05 * well.fuel[0].rate_kg_h.p50
    feed, sag, wrap = trouble(wet, "rain").ways
    assert "feed it: " in feed.words
    assert feed.own.shift_h.p50 == 0.0
    assert sag.own.shift_h.p50 > 0.0 > wrap.own.shift_h.p50


def test_rain_that_is_over_is_no_trouble_and_takes_no_more_fuel():
    over = asked(line("08:00", "rain"), line("09:00", "rain_over"))
    assert over.troubles == ()
    assert over.fuel[0].rate_kg_h.p50 == asked().fuel[0].rate_kg_h.p50


def test_guests_an_hour_late_put_serving_off_and_say_where_it_waits():
    well = asked(as_of=TEN.replace(hour=12))
    result = asked(line("11:50", "guests_late", duration_s=3600.0), as_of=TEN.replace(hour=12))
    assert result.pieces[0].serve_at - well.pieces[0].serve_at == dt.timedelta(hours=1)
    assert result.odds >= well.odds
    (serve,) = [step for step in result.steps if step.id == "serve-A"]
    assert serve.at.hour == 16
    found = trouble(result, "guests_late")
    assert found.words == "Guests come 1 h late: serving at 16:00."
    box = next(way for way in found.ways if way.key == "guests_late.box")
    assert "above 140 °F for " in box.note
    assert dict(box.changes) == {"hold": "box"}
    # What is said of it is what the setting gives.
    there = asked(
        line("11:50", "guests_late", duration_s=3600.0),
        as_of=TEN.replace(hour=12), changes=dict(box.changes),
    )  # fmt: skip
    assert there.pieces[0].serving.place == "box"


def test_one_pieces_guests_are_late_and_the_others_are_not():
    pieces = shoulder(), shoulder(letter="B", mass="6 lb")
    late = line("09:30", "guests_late", "B", duration_s=5400.0)
    result = asked(late, pieces=pieces)
    assert [f"{one.serve_at:%H:%M}" for one in result.pieces] == ["15:00", "16:30"]


def test_each_plates_guests_are_late_by_their_own_time_and_each_fire_out_is_told():
    pits = [*OFFSET, PitUse(letter="Q", pit="other", start="250 F", kind="closed")]
    pieces = shoulder(pit="P"), shoulder(letter="B", mass="6 lb", pit="Q")
    late = (
        line("09:20", "guests_late", "A", duration_s=3600.0),
        line("09:30", "guests_late", "B", duration_s=5400.0),
    )
    result = asked(*late, pieces=pieces, pits=pits)
    assert [f"{one.serve_at:%H:%M}" for one in result.pieces] == ["16:00", "16:30"]
    told = [one.words for one in result.troubles if one.key == "guests_late"]
    assert told == [
        "Guests come 1 h late: serving at 16:00.",
        "Guests come 1 h 30 min late: serving at 16:30.",
    ]
    outs = (
        dataclasses.replace(line("08:30", "fire_out"), id="p", pit="P"),
        dataclasses.replace(line("08:40", "fire_out"), id="q", pit="Q"),
    )
    result = asked(*outs, pieces=pieces, pits=pits)
    assert [one.pieces for one in result.troubles if one.key == "fire_out"] == [("A",), ("B",)]


def test_out_of_foil_offers_what_there_is_until_something_is_on():
    out = line("09:00", "out_of", kind="foil")
    found = trouble(asked(out), "out_of")
    assert [way.key for way in found.ways] == ["out_of.paper", "out_of.pan", "out_of.bare"]
    paper, pan, bare = (way.own.shift_h.p50 for way in found.ways)
    # Steam held in saves time; paper and none do not.
    assert pan < paper <= bare
    assert asked(out, line("09:30", "wrapped", "A", kind="paper")).troubles == ()
    assert asked(line("09:00", "out_of", kind="paper")).troubles == ()
    # What went on wrapped is wrapped, though that was at hour nought.
    assert asked(line("04:00", "wrapped", "A", kind="foil"), out).troubles == ()


def test_two_hours_early_and_more_is_said_with_the_hold_that_it_needs():
    log = (line("08:00", "wrapped", "A", kind="foil"),)
    result = asked(*log, as_of=TEN.replace(hour=9), serve="21:00")
    found = trouble(result, "early")
    assert found.words.startswith("A is likely ready some ")
    keys = {way.key for way in found.ways}
    assert {"early.cooler", "early.box"} <= keys
    cooler = next(way for way in found.ways if way.key == "early.cooler")
    assert cooler.own.shift_h.p50 > 0.1
    near = asked(*log, as_of=TEN.replace(hour=9), serve="14:00")
    assert "early" not in {one.key for one in near.troubles}


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("fire out", "fire_out"),
        ("rain", "rain"),
        ("guests an hour late", "guests_late"),
        ("guests 45 min late", "guests_late"),
        ("out of foil", "out_of"),
        ("ran out of charcoal", "fire_out"),
    ],
)
def test_a_trouble_is_tried_with_a_setting_and_nothing_is_logged(text, key):
    assert key in {one.key for one in asked(changes={"trouble": text}).troubles}


def test_a_trouble_nobody_knows_is_refused_with_those_there_are():
    with pytest.raises(InputError, match="guests an hour late"):
        asked(changes={"trouble": "the dog ate it"})


def test_a_fire_out_under_one_pit_leaves_the_other_alone():
    pits = [*OFFSET, PitUse(letter="Q", pit="other", start="250 F", kind="closed")]
    pieces = shoulder(pit="P"), shoulder(letter="B", pit="Q")
    well, result = (
        asked(*log, pieces=pieces, pits=pits)
        for log in ((), (line("08:30", "fire_out" ).__class__(
            "x", TEN.replace(hour=8, minute=30), "fire_out", made=TEN, pit="Q"),))
    )  # fmt: skip
    assert tender_h(result) == tender_h(well)
    assert tender_h(result, "B") > tender_h(well, "B")
    assert trouble(result, "fire_out").pieces == ("B",)


def test_what_is_over_is_no_trouble():
    served = line("09:50", "served")
    assert asked(line("08:30", "fire_out"), line("09:40", "off"), served).troubles == ()


def test_every_way_has_its_row_and_stands_in_the_answer():
    for key, ways in TROUBLE_WAYS.items():
        for way in ways:
            assert explain(f"levers.{key}.{way}")[0].source
    result = asked(line("08:30", "fire_out"), line("09:00", "rain"))
    assert {one.key for one in result.troubles} == {"fire_out", "rain"}
    json.dumps(to_plain(result.troubles), allow_nan=False)
    assert group("troubles").source
    text = as_text(trouble_table(result))
    for one in result.troubles:
        assert 2 <= len(one.ways) <= 3
        assert all(way.words in text for way in one.ways)
