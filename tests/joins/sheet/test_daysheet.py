"""The day sheet: backwards from serving, on signs, with what was logged beside."""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from paper_contexts import ZONE, at
from sheet_pieces import (
    HOUR_S,
    RIB_PITS,
    RIBS,
    SHOULDER,
    SHOULDER_PITS,
    drawn,
    later,
    rib,
    shoulder,
)

from stallwise.ground import assets
from stallwise.ground.references import GRADES, cited
from stallwise.joins.sheet.daysheet import day_sheet
from stallwise.joins.sheet.readers import steps_for, with_cautions
from stallwise.joins.sheet.steptable import caution, caution_short, step_rows
from stallwise.record.log import LogLine


def sheet(pieces, cook=RIBS, pits=RIB_PITS, **more):
    values = {"probability": 0.9, "zone": ZONE, "hour_zero": min(p.on_at for p in pieces)} | more
    return day_sheet(cook, pieces, pits=pits, **values).steps


def by_id(steps):
    return {step.id: step for step in steps}


def line(what, clock, **more):
    when = at(f"2027-09-25 {clock}")
    return LogLine(id=f"{what}{clock}{more}", at=when, what=what, made=when, **more)


def test_the_order_of_a_day():
    kinds = [step.id.partition("-")[0] for step in sheet([rib("A")])]
    assert kinds == [
        "thaw", "fire_lit", "trim", "rub", "pit_steady", "meat_on", "climb", "spritz", "wrap",
        "check", "unwrap", "glaze", "tender", "rest", "hold", "carve", "serve", "cool",
    ]  # fmt: skip


def test_steps_back_from_meat_on_and_from_serving():
    steps = by_id(sheet([rib("B")]))
    on, serve = at("2027-09-25 10:00"), at("2027-09-25 16:00")
    minute = dt.timedelta(minutes=1)
    assert steps["fire_lit-P"].at == on - 70 * minute
    assert steps["rub-B2"].at == on - 25 * minute
    assert steps["rub-B"].at == on - 50 * minute
    assert steps["trim-B"].at == on - 62 * minute
    assert steps["climb-P"].at == on + 60 * minute
    assert (steps["wrap-B"].earliest, steps["wrap-B"].latest) == (
        on + 165 * minute,
        on + 210 * minute,
    )
    assert steps["glaze-B"].at == steps["unwrap-B"].at + 10 * minute
    assert steps["carve-B"].at == serve - 5 * minute
    assert steps["serve-B"].at == serve
    assert steps["cool"].latest == serve + 120 * minute


def test_feel_checks_begin_after_the_wrap_window_but_not_after_tender():
    steps = by_id(sheet([rib("A", tender_s=drawn(3.6, 0.1, 1))]))
    assert steps["check-A"].at >= steps["wrap-A"].latest
    soon = by_id(sheet([rib("A", tender_s=drawn(3.3, 0.02, 1))]))
    assert soon["wrap-A"].at < soon["check-A"].at <= soon["tender-A"].at


def test_thawing_is_a_day_for_each_four_and_a_half_pounds():
    one = shoulder(mass_kg=2 * 4.5 * 0.45359237)
    steps = by_id(sheet([one], SHOULDER, SHOULDER_PITS))
    ahead = steps["trim-A"].at - steps["thaw-A"].at
    # Two days, and at most a night more so that nobody gets up for it.
    assert dt.timedelta(hours=48) <= ahead < dt.timedelta(hours=58)
    assert 6 <= steps["thaw-A"].at.hour < 23


@pytest.mark.parametrize(
    ("more", "when"),
    [
        ({}, "21 21:00"),
        ({"asleep": "00:30"}, "21 21:00"),
        ({"asleep": "13:00", "awake": "21:00"}, "22 00:53"),
    ],
)
def test_meat_is_put_out_while_people_are_up(more, when):
    # Wanted at the board at 20:53; two days and 20 h before are 00:53.
    one = shoulder(mass_kg=68 / 24 * 4.5 * 0.45359237)
    cook = SHOULDER.model_copy(update=more)
    put_out = by_id(sheet([one], cook, SHOULDER_PITS))["thaw-A"].at
    assert f"{put_out:%d %H:%M}" == when


def test_a_piece_that_moves_has_its_second_pit_warm():
    steps = by_id(sheet([shoulder()], SHOULDER, SHOULDER_PITS))
    assert steps["move-A"].at == at("2027-09-25 04:30")
    assert steps["switch_on-Q"].at == at("2027-09-25 04:10")
    assert (steps["move-A"].pit, steps["tender-A"].pit) == ("Q", "Q")
    assert "look-A" in steps
    assert "wrap-A" not in steps
    assert steps["carve-A"].what == "Pull apart"


def test_every_step_says_its_sign_and_its_source():
    for steps in (sheet([rib("A"), rib("B")]), sheet([shoulder()], SHOULDER, SHOULDER_PITS)):
        ids = [step.id for step in steps]
        assert len(set(ids)) == len(ids)
        for step in steps:
            assert step.earliest <= step.at <= step.latest
            assert step.until_sign
            assert step.source == "forecast" or step.source.removeprefix("steps.") in step_rows()
            assert step.at.tzinfo is ZONE
        assert [step.at for step in steps] == sorted(step.at for step in steps)


def test_each_caution_stands_once_where_its_step_is():
    steps = sheet([rib("A"), rib("B")])
    cautions = [text for step in steps for text in caution_short(step.caution)]
    assert len(cautions) == len(set(cautions)) == 11
    where = {step.id.partition("-")[0]: step.caution for step in steps if step.caution}
    for key, step in [
        ("carbon_monoxide", "fire_lit"), ("clearance", "fire_lit"), ("wood", "fire_lit"),
        ("bristles", "fire_lit"), ("weak_fire", "pit_steady"), ("thaw", "thaw"), ("raw_meat", "trim"), ("hot_fat_steam", "check"),
        ("hot_hold", "hold"), ("cooling", "cool"),
    ]:  # fmt: skip
        assert caution(key).full in where[step]
    bare = sheet([shoulder()], SHOULDER, SHOULDER_PITS)
    assert not any("steam" in step.caution for step in bare)


def test_a_caution_is_handed_on_where_its_step_is_left_out():
    steps = sheet([rib("A"), rib("B")])
    shown = [step for step in steps if not step.id.startswith(("pit_steady", "check"))]
    kept = {step.id: step for step in with_cautions(steps, shown)}
    assert caution("weak_fire").full in kept["meat_on-A"].caution
    assert caution("hot_fat_steam").full in kept["unwrap-A"].caution
    # Told on the sheet of whoever is at board and table too, where it is due there.
    table = {step.id: step for step in steps_for("person", steps)}
    assert caution("weak_fire").full in table["meat_on-A"].caution
    assert with_cautions(steps, steps) == steps


@pytest.mark.parametrize("table", ["steps.csv", "cautions.csv"])
def test_every_row_has_a_source_and_a_grade(table):
    for row in csv.DictReader(io.StringIO(assets.read_text("data", table))):
        assert cited(row["source"])
        assert row["grade"] in GRADES


def test_nothing_says_that_food_is_cleared():
    for table in ("steps.csv", "cautions.csv"):
        for row in csv.DictReader(io.StringIO(assets.read_text("data", table))):
            words = " ".join(v for k, v in row.items() if k not in {"source", "grade"}).casefold()
            assert not {"safe", "safely", "done", "pasteurised", "compliant"} & set(words.split())


LOG = (
    line("fire_lit", "08:40"),
    line("rub_on", "09:20"),
    line("rub_on", "09:45", piece="B"),
    line("meat_on", "10:02"),
    line("spritz", "12:30"),
    line("wrapped", "13:12", data={"kind": "foil"}),
    line("feel_check", "13:40", piece="A", data={"verdict": "not yet"}),
    line("feel_check", "14:15", piece="A", data={"verdict": "tender"}),
    line("off", "14:40", piece="B"),
    line("served", "16:10"),
)


def test_what_was_logged_stands_beside_its_step():
    done = {step.id: step.done_at for step in sheet([rib("A"), rib("B")], lines=LOG)}
    for step, clock in {
        "fire_lit-P": "08:40", "rub-A": "09:20", "rub-B": "09:20", "rub-B2": "09:45",
        "meat_on-A": "10:02", "wrap-B": "13:12", "check-A": "13:40", "tender-A": "14:15",
        "tender-B": "14:40", "serve-A": "16:10",
    }.items():  # fmt: skip
        assert done[step] == at(f"2027-09-25 {clock}"), step
    # What came off is not unwrapped on the pit, nor felt there.
    assert not {"unwrap-A", "check-B"} & done.keys()
    early = by_id(sheet([rib("A")], lines=LOG, as_of=at("2027-09-25 13:00")))
    assert early["wrap-A"].done_at is None
    assert early["spritz-A"].done_at == at("2027-09-25 12:30")


@given(st.integers(0, 300), st.floats(2, 9), st.floats(0.5, 0.99))
def test_done_steps_stay_as_logged_whatever_the_plan(minutes, median_h, probability):
    one = later(rib("A", tender_s=drawn(median_h, 0.2, 3)), dt.timedelta(minutes=minutes))
    steps = by_id(sheet([one], lines=LOG, probability=probability))
    assert steps["wrap-A"].done_at == at("2027-09-25 13:12")
    assert steps["tender-A"].done_at == at("2027-09-25 14:15")
    assert steps["meat_on-A"].at == one.on_at
    times = [step.at for step in sheet([one], lines=LOG)]
    assert times == sorted(times)


def test_steps_are_laid_out_by_instants_over_a_clock_change():
    on = at("2027-11-06 22:00")
    one = shoulder(
        on_at=on, serve_at=at("2027-11-07 12:00"), tender_s=np.full(200, 8 * HOUR_S),
        piece=SHOULDER.pieces[0].model_copy(update={"moves": []}),
    )  # fmt: skip
    cook = SHOULDER.model_copy(update={"date": dt.date(2027, 11, 7)})
    steps = by_id(sheet([one], cook, SHOULDER_PITS))
    assert steps["tender-A"].at.isoformat() == "2027-11-07T05:00:00-05:00"


def test_a_piece_that_is_never_tender_still_has_its_table():
    one = rib("A", tender_s=np.full(200, np.inf), bark_s=np.full(200, np.inf))
    steps = by_id(sheet([one]))
    assert "tender-A" not in steps
    assert steps["serve-A"].at == at("2027-09-25 16:00")


def test_what_is_late_is_cut_before_it_is_served_and_says_how_late():
    late = rib("A", tender_s=drawn(6.5, 0.02, 3))
    in_turn = sheet([late])
    order = [step.id for step in in_turn]
    assert order.index("carve-A") < order.index("serve-A") < order.index("cool")
    assert by_id(in_turn)["serve-A"].detail == "most likely 45 min late"
    assert by_id(sheet([rib("A")]))["serve-A"].detail == ""


def test_two_glazes_on_one_piece_are_both_named():
    sweet = RIBS.mixes[0].model_copy(update={"mix": "sweet-glaze", "on": []})
    sharp = sweet.model_copy(update={"mix": "sharp-glaze"})
    cook = RIBS.model_copy(update={"mixes": [sweet, sharp]})
    assert by_id(sheet([rib("A")], cook))["glaze-A"].what == "Sweet glaze, Sharp glaze on"


def test_without_a_serving_time_the_day_runs_forward():
    steps = by_id(sheet([replace(rib("A"), serve_at=None)]))
    assert steps["serve-A"].at > steps["tender-A"].at
    assert "hold-A" not in steps
    assert "cool" not in steps


def test_a_caution_stands_only_where_it_means_something():
    def said(*pieces, **given):
        return " ".join(step.caution for step in sheet(list(pieces), **given))

    plain = said(rib("A"))
    for key in ("glass", "poultry", "cure"):
        assert caution(key).full not in plain
    assert caution("poultry").full in said(replace(rib("A"), is_bird=True))
    assert caution("glass").full in said(replace(rib("A"), wrap_kind="pan"))
    # A brush goes over raw meat whether it is spritzed or glazed first.
    assert caution("raw_baste").full in said(replace(rib("A"), spritz_s=None))
