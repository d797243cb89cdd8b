"""Serving times that are none, that cannot be met, that have passed; meat that is frozen."""

from __future__ import annotations

import datetime as dt

import pytest
from cooks import DATE, NOW, line, record, ribs

from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.joins.sheet.thawing import thaw_span_s
from stallwise.record.schema import Piece

DAY = 86_400.0


def said(result, key):
    return next((warning.text for warning in result.warnings if warning.key == key), "")


def at(hour, day=DATE.day, minute=0):
    return dt.datetime(DATE.year, DATE.month, day, hour, minute, tzinfo=dt.UTC)


def turkey(**more):
    return Piece(**{"letter": "A", "cut": "turkey-whole", "mass": "14 lb", "frozen": True} | more)


def test_no_serving_time_is_planned_forward_from_now():
    result = answer(record(serve=None), made_at=at(13))
    (piece,) = result.pieces
    assert at(13, minute=40) < piece.on_at < at(14, minute=40)  # as soon as there is a fire
    ready = [piece.ready_at[words] for words in ("coin flip", "usual", "guests coming")]
    assert ready == sorted(ready)
    assert "Ready to eat by" in said(result, "no-serve")
    assert f"{ready[2]:%H:%M} (guests coming)" in said(result, "no-serve")


def test_a_serving_time_that_cannot_be_met_has_the_earliest_with_its_odds():
    result = answer(record(), made_at=at(13))
    (piece,) = result.pieces
    late = said(result, "start-passed")
    assert f"{piece.ready_at['usual']:%H:%M} (usual)" in late
    # The same again with that time: now it is as likely as was said.
    again = answer(record(serve=f"{piece.ready_at['guests coming']:%H:%M}"), made_at=at(13))
    assert again.odds == pytest.approx(0.9, abs=0.02)


def test_a_serving_time_that_has_passed_is_said():
    assert "has passed" in said(answer(record(), made_at=at(17)), "serve-passed")
    assert not said(answer(record(), made_at=NOW), "serve-passed")


def test_all_that_is_served_together_is_ready_together():
    pieces = ribs(), Piece(letter="B", cut="chicken-whole", serve="18:00"), ribs(letter="C")
    found = {one.piece: one.ready_at for one in answer(record(*pieces), made_at=NOW).pieces}
    assert found["A"] == found["C"] != found["B"]


def test_a_frozen_turkey_does_not_reach_the_pit():
    result = answer(record(turkey()), made_at=at(12, day=14))
    text = said(result, "frozen")
    assert "frozen meat does not go on the pit" in text
    assert "14 lb" in text
    assert "Sunday" in text  # three days and three hours from Thursday noon
    assert "in cold water" in text
    assert "Ready to eat by Sun " in text
    (piece,) = result.pieces
    assert piece.on_at > at(14, day=17)
    assert result.odds == 0.0
    assert not said(result, "at-risk")


def test_in_cold_water_it_does():
    result = answer(record(turkey(thaw="cold water")), made_at=at(12, day=14))
    assert not said(result, "frozen")
    assert result.odds >= 0.9
    thaw = next(step for step in result.steps if step.id == "thaw_cold-A")
    assert thaw.what == "Thaw in cold water"
    assert "30 minutes" in thaw.caution


def test_what_is_thawing_since_is_counted():
    since = turkey(thaw_from="2026-05-12 18:00")
    result = answer(record(since), made_at=at(12, day=15))
    assert not said(result, "frozen")
    step = next(step for step in result.steps if step.id == "thaw-A")
    assert step.at == at(18, day=12)


def test_a_start_that_the_cook_set_for_a_frozen_piece_is_refused():
    with pytest.raises(InputError, match="is frozen and goes on"):
        answer(record(turkey(on="09:00")), made_at=at(12, day=14))


@pytest.mark.parametrize(
    ("pounds", "low_days", "high_days"), [(4, 1, 1), (12, 1, 3), (16, 3, 4), (20, 4, 5), (24, 5, 6)]
)
def test_days_in_the_fridge_are_those_of_the_leaflet(pounds, low_days, high_days):
    span = thaw_span_s(pounds * 0.45359237)
    # The leaflet rounds to whole days for a span of weights.
    assert low_days - 0.5 <= span.high_s / DAY <= high_days + 0.01


def test_a_frozen_piece_of_a_cook_that_is_over_was_thawed_when_it_went_on():
    log = (
        line("08:00", "meat_on", "B"),
        line("09:00", "meat_on", "A"),
        line("16:05", "served", "A"),
        line("16:05", "served", "B"),
    )
    pieces = turkey(), ribs(letter="B", pit="P")
    result = answer(record(*pieces, log=log), made_at=at(12, day=DATE.day + 4))
    bird = next(piece for piece in result.pieces if piece.piece == "A")
    assert bird.on_at < at(16)  # it said two days later
    assert not said(result, "frozen")
