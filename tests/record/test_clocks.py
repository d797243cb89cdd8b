"""Clock texts as cooks write them; what may be meant two ways is asked."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.record.clocks import moment, split_clock

DAY = dt.date(2026, 9, 26)


@pytest.mark.parametrize(
    ("text", "day", "time"),
    [
        ("16:00", None, (16, 0)),
        ("04:00", None, (4, 0)),
        ("0:30", None, (0, 30)),
        ("4 pm", None, (16, 0)),
        ("4pm", None, (16, 0)),
        ("4:15 PM", None, (16, 15)),
        ("12:10 am", None, (0, 10)),
        ("12 p.m.", None, (12, 0)),
        ("noon", None, (12, 0)),
        ("2026-09-26 16:00", DAY, (16, 0)),
        ("2026-09-26 4 pm", DAY, (16, 0)),
        ("2026-09-26T16:00:00", DAY, (16, 0)),
    ],
)
def test_read(text: str, day: dt.date | None, time: tuple[int, int]) -> None:
    assert split_clock(text) == (day, dt.time(*time))


@pytest.mark.parametrize(
    "text", ["", "four", "25:00", "16", "13 pm", "0 am", "2026-13-01 16:00", "16:60"]
)
def test_refused(text: str) -> None:
    with pytest.raises(InputError):
        split_clock(text)


def test_a_bare_four_is_asked_with_both_readings() -> None:
    with pytest.raises(InputError, match=r"04:00 or 16:00"):
        split_clock("4:00")


def test_a_time_that_the_clock_skips_is_refused() -> None:
    with pytest.raises(InputError, match="forward"):
        moment("02:30", dt.date(2027, 3, 28), ZoneInfo("CET"))


@given(st.times(), st.sampled_from(["%H:%M", "%I:%M %p"]))
def test_there_and_back(time: dt.time, form: str) -> None:
    assert split_clock(time.strftime(form))[1] == time.replace(second=0, microsecond=0)
