"""Forecasts as they were told from time to time, and what became of them."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.joins.ask import ask
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.joins.learn.keptwords import kept_said, kept_table
from stallwise.joins.learn.tally import summed, tally
from tests.joins.cooks import line, record, ribs
from tests.joins.learn.test_tally import ON, cook, kept

#: As the answer that is laid over; few days are enough, none of its numbers is looked at.
MADE_AT = ON + dt.timedelta(days=1)
LATER = (4.3, 4.4, 4.6, 4.8, 5.0, 5.2, 5.3)


def whole(*forecasts, **more):
    record = cook(*forecasts, **more)
    return with_outcome(ask(record, made_at=MADE_AT, changes={"members": 20}), record), record


@pytest.fixture(scope="module")
def told():
    hindcast = kept(made=30.0)
    return whole(kept(at=2.0, hours=LATER), kept(at=-1.0), hindcast, kept(cut="turkey-half"))


def test_windows_stand_as_they_were_told_oldest_first_and_nothing_made_afterwards(told):
    result, _ = told
    assert [(one.as_of_h, one.elapsed_h) for one in result.kept] == [
        (-1.0, (4.2, 5.0, 6.0)),
        (2.0, (4.4, 4.8, 5.2)),
    ]
    assert [f"{at:%H:%M}" for at in result.kept[0].clock] == ["13:12", "14:00", "15:00"]
    assert all(one.inside > 0.5 for one in result.kept)


def test_it_is_said_how_the_window_drew_in_and_whether_it_held(told):
    result, _ = told
    (said,) = kept_said(result)
    assert said == (
        "Told before meat on, 13:00 to 15:00; told at 11:00, 13:15 to 14:15; "
        "it was tender at 14:00; inside each time."
    )
    assert kept_table(result).rows == (
        ("", "before meat on", "13:00 to 15:00", "1 h 50", "inside"),
        ("", "at 11:00", "13:15 to 14:15", "50 min", "inside"),
    )


def test_a_window_without_an_end_and_one_that_missed_are_told_as_such():
    open_end = [*LATER[:5], None, None]
    result, _ = whole(kept(at=1.0, hours=open_end), before="11:30", tender="12:00")
    assert "from 13:15, perhaps much later" in kept_said(result)[0]
    assert kept_said(result)[0].endswith("outside what was told.")
    assert kept_table(result).rows[0][3:] == ("–", "outside")


def test_while_nobody_knows_it_is_told_without_a_verdict():
    result, _ = whole(kept(), tender="")
    assert [one.inside for one in result.kept] == [None]
    assert kept_said(result) == ("Told before meat on, 13:00 to 15:00.",)


def test_a_tally_of_what_results_hold_is_the_tally_of_the_cooks(told):
    result, record = told
    again = summed([result.tallied])
    alone = tally([record])
    assert again.overall == alone.overall
    assert (again.pieces, again.left_out) == (alone.pieces, alone.left_out)
    assert (again.hindcasts.forecasts, again.baseline) == (1, alone.baseline)


def test_the_fire_stands_as_it_was_fed_until_the_last_piece_was_off():
    log = [
        line("08:00", "fire_lit"),
        line("08:40", "smoke", smoke="white"),
        line("09:00", "meat_on"),
        line("11:30", "smoke", smoke="thin"),
        line("14:00", "feel_check", "A", verdict="tender"),
        line("14:05", "off", "A"),
        line("15:30", "served"),
        line("18:00", "wood", count=20),
    ]
    made = record(ribs(), log=tuple(log))
    stood = ask(made, made_at=MADE_AT, changes={"members": 20})
    (before,), (fire,) = stood.fuel, with_outcome(stood, made).fuel
    assert (before.used_kg, before.smoke["thin"]) == (0.0, 0)
    assert fire.used_kg == pytest.approx(20 * fire.unit_kg)
    assert dict(fire.smoke) == {"white": 1, "thin": 1, "none": 0}
    # The sum of the day, over the hours of the cook and not until the page was made.
    assert fire.logged_rate_kg_h == pytest.approx(fire.used_kg / (6 + 5 / 60))
