"""Lids, coats, damp air and skin: what the plan and the log say of them reaches the forecast."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.foresight import plan_pieces, question
from stallwise.record.schema import Piece, PitUse, Weather
from tests.joins import cooks

ON = dt.datetime(2026, 5, 16, 9, tzinfo=dt.UTC)


def plan(record, as_of=None):
    asked = question(record, made_at=cooks.NOW, as_of=as_of or ON - dt.timedelta(hours=1))
    (planned,), _ = plan_pieces(asked, {"A": ON})
    return planned


def tender(record, as_of=None):
    made = answer(record, made_at=cooks.NOW, as_of=as_of or ON - dt.timedelta(hours=1))
    return made.pieces[0].stages["tender"].elapsed_h.p50


def test_a_glaze_after_unwrapping_opens_the_lid_and_wets_the_rack():
    opened = cooks.ribs(on="09:00", unwrap="4:30")
    bare = plan(cooks.record(opened)).plan.spritz
    coated = plan(cooks.record(opened, mixes=("stock-glaze",))).plan.spritz
    assert bare == ()
    assert [visit.time_s for visit in coated] == [4.5 * 3600 + 600]
    sheet = answer(
        cooks.record(opened, mixes=("stock-glaze",)),
        made_at=cooks.NOW,
        as_of=ON - dt.timedelta(hours=1),
    )
    (step,) = [step for step in sheet.steps if step.id.startswith("glaze")]
    assert (step.at - sheet.pieces[0].on_at).total_seconds() == coated[0].time_s


def test_what_was_logged_takes_the_place_of_what_was_planned():
    piece = cooks.ribs(on="09:00", wrap="none", spritz_from="2:00", spritz_every="0:40")
    log = (
        cooks.line("09:00", "meat_on"),
        cooks.line("11:20", "spritz"),
        cooks.line("11:30", "lid_open"),
    )
    now = plan(cooks.record(piece, log=log), ON + dt.timedelta(hours=2, minutes=30)).plan
    assert [visit.time_s / 60 for visit in now.spritz] == [140.0, 160.0]
    assert [at / 60 for at in now.openings_s] == [150.0]


def test_a_cold_day_deepens_the_dips_and_leaves_a_shut_pit_alone():
    shut = cooks.ribs(on="09:00")
    looked = cooks.ribs(on="09:00", wrap="none", spritz_from="1:00", spritz_every="0:20")
    cold, mild = Weather(ambient="-10 C"), Weather(ambient="25 C")
    assert tender(cooks.record(shut, weather=cold)) == tender(cooks.record(shut, weather=mild))
    assert tender(cooks.record(looked, weather=cold)) > tender(cooks.record(looked, weather=mild))


def test_pan_wood_and_load_make_the_air_damper():
    def factor(*pieces, **use):
        record = cooks.record(
            *(pieces or (cooks.ribs(on="09:00"),)), pits=[PitUse(start="250 F", **use)]
        )
        asked = question(record, made_at=cooks.NOW, as_of=ON - dt.timedelta(hours=1))
        return plan_pieces(asked, {p.letter: ON for p in record.cook.pieces})[0][
            0
        ].plan.humidity_factor

    dry = factor(kind="offset")
    assert factor(kind="offset", water_pan=True) > dry
    assert factor(kind="offset", fuel="oak, green") > factor(kind="offset", fuel="Oak, kiln-dried")
    assert factor(kind="offset", fuel="oak, half-seasoned") > factor(
        kind="offset", fuel="oak, seasoned"
    )
    many = Piece(letter="B", cut="pork-shoulder-bone-in", count=8)
    assert factor(cooks.ribs(on="09:00"), many, kind="offset") > dry


@pytest.mark.parametrize(("pit", "finish", "said"), [
    ("275 F", "skin crisp", "rubbery"),
    ("300 F", "skin crisp", "chewy"),
    ("325 F", "skin crisp", ""),
    ("275 F", "skin soft", ""),
])  # fmt: skip
def test_crisp_skin_in_a_cool_pit_is_said(pit, finish, said):
    bird = Piece(letter="A", cut="chicken-whole", finish=finish, on="09:00")
    found = [
        w.text
        for w in plan(cooks.record(bird, pits=[PitUse(start=pit)])).warnings
        if w.key == "skin-soft"
    ]
    assert bool(found) == bool(said)
    assert all(said in text and "325 °F" in text for text in found)


def test_a_pan_in_an_offset_leaves_it_an_offset():
    use = PitUse(start="250 F", kind="offset", water_pan=True)
    assert plan(cooks.record(cooks.ribs(on="09:00"), pits=[use])).plan.pit_kind == "offset"
    assert (
        plan(
            cooks.record(cooks.ribs(on="09:00"), pits=[PitUse(start="250 F", water_pan=True)])
        ).plan.pit_kind
        == "water pan"
    )


def test_damp_outside_is_reckoned_in_frost_too():
    """Over water, as weather reports say it: drier than at 15 °C, damper than none, and no warning."""
    factors = []
    for ambient, humidity in (("15 C", "80 %"), ("-10 C", "80 %"), ("-10 C", "5 %")):
        weather = Weather(ambient=ambient, humidity=humidity)
        record = cooks.record(cooks.ribs(on="09:00"), weather=weather)
        factors.append(plan(record).plan.humidity_factor)
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == 3
