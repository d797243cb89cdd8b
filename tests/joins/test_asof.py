"""What is written down or measured later moves no forecast that stood earlier."""

from __future__ import annotations

import dataclasses
import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.joins.answer import answer
from stallwise.joins.result import to_plain
from stallwise.record.readings import Readings
from tests.joins.cooks import NOW, line, record

AS_OF = line("13:00", "look").at
LOG = (line("10:00", "meat_on"), line("12:40", "spritz"))
LATER = (
    line("13:05", "pit_set", temperature_c=150.0),
    line("13:10", "wrapped", kind="foil"),
    line("13:40", "feel_check", check="bend", verdict="not yet"),
    line("14:00", "feel_check", check="bend", verdict="tender"),
    line("14:10", "off"),
)


@st.composite
def readings(draw):
    early = [LOG[0].at + dt.timedelta(minutes=10 * k) for k in range(18)]
    count = draw(st.integers(1, 30))
    late = [AS_OF + dt.timedelta(minutes=1 + 5 * k) for k in range(count)]
    values = draw(st.lists(st.floats(-20.0, 300.0), min_size=count, max_size=count))
    of = draw(st.sampled_from([{"piece": "A"}, {"pit": "P"}]))
    return early, late, values, of


@settings(max_examples=25, deadline=None)
@given(log=st.lists(st.sampled_from(LATER), unique_by=lambda one: one.what), measured=readings())
def test_nothing_later_moves_a_forecast_with_an_earlier_as_of(log, measured):
    early, late, values, of = measured

    def asked(times, temperatures, lines):
        what = {"piece": "", "pit": "", "place": "grate"} | of
        made = Readings("one.csv", "1", at=tuple(times), temperature_c=tuple(temperatures), **what)
        cook = dataclasses.replace(record(log=lines), readings=(made,))
        plain = to_plain(answer(cook, made_at=NOW, as_of=AS_OF, changes={"members": 60}))
        return [plain[name] for name in ("pieces", "readings", "events", "hour_zero")]

    before = [60.0] * len(early)
    stood = asked(early, before, LOG)
    later = sorted(log, key=lambda one: one.at)
    assert asked([*early, *late], [*before, *values], (*LOG, *later)) == stood
