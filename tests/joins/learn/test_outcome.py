"""When a piece turned tender, as far as a log tells."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.learn.outcome import finish_seen, outcome
from stallwise.record.readings import Readings
from tests.joins.cooks import DATE, line, record, ribs

INF = float("inf")


def feel(clock: str, verdict: str, piece: str = "A", **data: str):
    return line(clock, "feel_check", piece, verdict=verdict, **data)


def found(*log, readings: tuple[Readings, ...] = (), **piece):
    cook = dataclasses.replace(
        record(ribs(**piece), log=(line("09:00", "meat_on"), *log)), readings=readings
    )
    return outcome(cook, cook.cook.pieces[0])


@pytest.mark.parametrize(
    ("log", "bracket"),
    [
        ([feel("13:20", "not yet"), feel("13:50", "tender")], (13 / 3, 29 / 6)),
        # The last look before, the first after; "nearly" is not yet, "past it" is.
        (
            [feel("12:00", "not yet"), feel("13:00", "nearly"), feel("14:00", "past it")],
            (4.0, 5.0),
        ),
        # One spot is ahead of another: the last "not yet" counts.
        (
            [
                feel("13:00", "tender", spot="point"),
                feel("13:00", "not yet", spot="flat"),
                feel("14:00", "tender", spot="flat"),
            ],
            (4.0, 5.0),
        ),
        # Nobody looked before.
        ([feel("13:00", "tender")], (0.0, 4.0)),
        # Taken off before anybody found it tender.
        ([feel("13:00", "nearly"), line("13:30", "off")], (4.0, INF)),
        # Another piece's check says nothing of this one.
        (
            [feel("12:00", "tender", "B"), feel("13:00", "not yet"), feel("14:00", "tender")],
            (4.0, 5.0),
        ),
    ],
)
def test_feel_checks_make_a_bracket(log, bracket) -> None:
    seen = found(*log)
    assert (seen.low_h, seen.high_h) == pytest.approx(bracket)
    assert seen.how == "looks"


@pytest.mark.parametrize(
    "log", [[], [feel("13:00", "not yet")], [line("13:30", "off")], [line("13:30", "served")]]
)
def test_without_a_word_on_how_it_felt_it_stays_open(log) -> None:
    assert found(*log) is None


def test_a_piece_that_was_never_on_is_open() -> None:
    cook = record(log=(feel("13:00", "not yet"), feel("14:00", "tender")))
    assert outcome(cook, cook.cook.pieces[0]) is None


BIRD = {"cut": "turkey-half", "mass": "6 lb", "wrap": "none"}


def probe(*rows: tuple[str, float | None]) -> Readings:
    at = tuple(dt.datetime.combine(DATE, dt.time.fromisoformat(clock), dt.UTC) for clock, _ in rows)
    return Readings("p.csv", "core A", "A", "", "", at, tuple(value for _, value in rows))


def test_a_bird_has_its_finish_when_its_core_reaches_it() -> None:
    read = probe(("11:00", 60.0), ("11:05", 73.5), ("11:10", None), ("11:15", 73.9))
    seen = found(line("11:40", "off"), readings=(read,), **BIRD)
    assert (seen.how, seen.low_h, seen.high_h) == ("core", pytest.approx(25 / 12), 2.25)
    by_hand = (
        line("11:00", "core_reading", "A", temperature_c=68.0),
        line("11:30", "core_reading", "A", temperature_c=74.4),
    )
    seen = found(*by_hand, line("11:40", "off"), **BIRD)
    assert (seen.low_h, seen.high_h) == (2.0, 2.5)


def test_a_bird_without_a_core_at_its_finish_ends_when_it_is_taken_off() -> None:
    seen = found(line("11:40", "off"), **BIRD)
    assert (seen.how, seen.low_h, seen.high_h) == (
        "off",
        pytest.approx(8 / 3),
        pytest.approx(8 / 3),
    )
    seen = found(
        line("11:00", "core_reading", "A", temperature_c=68.0), line("11:30", "off"), **BIRD
    )
    assert (seen.low_h, seen.high_h) == (2.0, 2.5)
    # Carried over on the table: what is read there is not when it was finished on the pit.
    later = line("11:45", "core_reading", "A", temperature_c=75.0)
    assert found(line("11:30", "off"), later, **BIRD).high_h == 2.5


def test_a_bird_is_seen_at_its_finish_by_its_core_and_not_by_being_taken_off() -> None:
    read = probe(("11:00", 60.0), ("11:15", 73.9))
    cook = dataclasses.replace(
        record(ribs(**BIRD), log=(line("09:00", "meat_on"), line("11:40", "off"))), readings=(read,)
    )
    piece = cook.cook.pieces[0]
    seen = finish_seen(cook, piece)
    assert (seen.how, seen.elapsed_h) == ("core", 2.25)
    assert seen.core_c == pytest.approx(73.9, abs=0.1)
    # As of a moment before, nobody knew.
    assert finish_seen(cook, piece, read.at[0]) is None
    assert finish_seen(dataclasses.replace(cook, readings=()), piece) is None


def test_feel_checks_tell_of_a_finish_until_a_moment() -> None:
    log = (line("09:00", "meat_on"), feel("13:20", "not yet"), feel("13:50", "tender"))
    cook = record(ribs(), log=log)
    piece = cook.cook.pieces[0]
    assert finish_seen(cook, piece).elapsed_h == pytest.approx(29 / 6)
    assert finish_seen(cook, piece, log[1].at) is None


def test_a_bird_that_was_felt_before_its_last_cool_reading_has_no_bracket_inside_out() -> None:
    log = (line("09:00", "meat_on"), feel("11:00", "tender"), line("11:40", "off"))
    read = probe(("10:30", 60.0), ("11:30", 70.0))
    end = found(*log, readings=(read,), **BIRD)
    assert (end.how, end.low_h, end.high_h) == ("looks", 2.0, 2.0)
