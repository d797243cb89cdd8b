"""Rounding for people: never more precise than the distance bears, never claiming more."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.joins import words

ZONE = ZoneInfo("Etc/GMT+5")
NOON = dt.datetime(2026, 9, 26, 12, 0, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("minutes_away", "shown"),
    [(187, "15:00"), (183, "15:00"), (119, "14:00"), (91, "13:30"), (46, "12:45"), (44, "12:44")],
)
def test_the_nearer_the_finer(minutes_away: float, shown: str) -> None:
    when = NOON + dt.timedelta(minutes=minutes_away)
    assert words.clock(when, NOON) == shown


@given(st.integers(-600, 3000))
def test_a_window_is_rounded_outwards(minutes: int) -> None:
    when = NOON + dt.timedelta(minutes=minutes, seconds=17)
    assert words.round_clock(when, NOON, mode="down") <= when
    assert words.round_clock(when, NOON, mode="up") >= when


def test_rounding_across_a_clock_change_moves_no_instant_by_an_hour() -> None:
    zone = ZoneInfo("CET")
    as_of = dt.datetime(2026, 10, 24, 18, 0, tzinfo=zone)
    when = dt.datetime(2026, 10, 25, 2, 52, tzinfo=zone, fold=1)
    rounded = words.round_clock(when, as_of)
    assert abs(rounded.timestamp() - when.timestamp()) <= 450


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (4.83, "4 h 50"),
        (0.5, "30 min"),
        (2.0, "2 h"),
        (-0.5, "-30 min"),
        (None, "longer than was tried"),
    ],
)
def test_hours(value: float | None, shown: str) -> None:
    assert words.hours(value) == shown


@pytest.mark.parametrize(
    ("probability", "shown"),
    [
        (None, "no serving time is set"),
        (0.99, "nearly always"),
        (0.95, "19 times in 20"),
        (0.8, "8 times in 10"),
        (0.11, "1 time in 10"),
        (0.01, "hardly ever"),
        # no "0 times in 10" beside it
        (0.03, "1 time in 20"),
        (0.07, "1 time in 20"),
        (0.08, "1 time in 10"),
    ],
)
def test_odds(probability: float | None, shown: str) -> None:
    assert words.odds_text(probability) == shown
