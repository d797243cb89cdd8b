"""Rows of the day sheet: like steps together, clocks as a cook says them."""

from __future__ import annotations

import datetime as dt

import pytest
from paper_contexts import at
from sheet_pieces import RIB_PITS, RIBS, SHOULDER, SHOULDER_PITS, result_of, rib, shoulder

from stallwise.ground.errors import NotFoundError
from stallwise.joins.sheet.readers import READERS, steps_for
from stallwise.joins.sheet.sheetwords import kind_of, sheet_rows, step_clock


def rows_of(result, **more):
    return sheet_rows(result.steps, date=result.date, as_of=result.as_of, **more)


def test_steps_of_two_racks_that_come_together_share_a_row():
    result = result_of(RIBS, [rib("A"), rib("B")], RIB_PITS)
    rows = rows_of(result)
    whose = {(row.kind, row.who) for row in rows}
    assert {("meat_on", "A B"), ("wrap", "A B"), ("serve", "A B"), ("thaw", "A B")} <= whose
    # The second rub is on one rack only.
    assert ("rub", "B") in whose
    assert [row.clock for row in rows if row.kind == "meat_on"] == ["10:00"]


def test_racks_that_go_on_apart_keep_their_own_rows():
    result = result_of(RIBS, [rib("A"), rib("B", on="2027-09-25 10:45")], RIB_PITS)
    assert [row.who for row in rows_of(result) if row.kind == "meat_on"] == ["A", "B"]


def test_two_plates_half_an_hour_apart_are_two_rows():
    pieces = [rib("A", serve="2027-09-25 17:00"), rib("B", serve="2027-09-25 17:30")]
    result = result_of(RIBS, pieces, RIB_PITS)
    rows = [(row.clock, row.who) for row in rows_of(result) if row.kind == "serve"]
    assert rows == [("17:00", "A"), ("17:30", "B")]


def test_a_plan_is_shown_to_five_minutes_and_never_later():
    result = result_of(RIBS, [rib("A", on="2027-09-25 10:05")], RIB_PITS)
    for step in result.steps:
        shown = step_clock(step, result.as_of)
        assert shown.minute % 5 == 0
        waits = kind_of(step) in {"tender", "rest", "hold"}
        if kind_of(step) == "meat_on" or (step.source != "forecast" and not waits):
            assert dt.timedelta(0) <= step.at - shown < dt.timedelta(minutes=5)
        else:
            assert abs(step.at - shown) <= dt.timedelta(minutes=7.5)


def test_another_day_is_named_and_done_is_said():
    log_rows = rows_of(result_of(SHOULDER, [shoulder()], SHOULDER_PITS), many_pits=True)
    days = {row.kind: row.day for row in log_rows}
    assert (days["thaw"], days["fire_lit"], days["move"]) == ("Wed", "Fri", "")
    assert {row.who for row in log_rows if row.kind in {"fire_lit", "switch_on"}} == {"P", "Q"}


def test_each_reader_has_the_steps_of_the_place():
    steps = result_of(SHOULDER, [shoulder()], SHOULDER_PITS).steps
    kinds = {reader: {kind_of(step) for step in steps_for(reader, steps)} for reader in READERS}
    assert "carve" not in kinds["pit"]
    assert "fire_lit" not in kinds["person"]
    assert {"move", "switch_on"} <= kinds["night"]
    assert "serve" not in kinds["night"]
    assert kinds["pit"] | kinds["person"] == kinds[""]
    with pytest.raises(NotFoundError):
        steps_for("guest", steps)
    assert at("2027-09-25 00:00")


def test_pieces_that_thaw_from_different_days_on_are_different_rows():
    pieces = [rib("A"), rib("B", mass_kg=9.0)]
    rows = [(row.day, row.who) for row in rows_of(result_of(RIBS, pieces, RIB_PITS))
            if row.kind == "thaw"]  # fmt: skip
    assert [who for _, who in rows] == ["B", "A"]
    assert rows[0][0] != rows[1][0]
