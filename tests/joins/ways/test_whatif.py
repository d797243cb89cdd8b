"""What would change it: one thing at a time, on the same possible days."""

from __future__ import annotations

import dataclasses
import json
import time

import numpy as np
import pytest
from figures import keep, rounds

from stallwise.ground.errors import NotFoundError
from stallwise.joins import words
from stallwise.joins.answer import answer
from stallwise.joins.explain import explain, group
from stallwise.joins.foresight import foresee, question
from stallwise.joins.result import Spread, to_plain
from stallwise.joins.tables import as_text, lever_table
from stallwise.joins.ways.levers import lever_rows
from stallwise.joins.ways.whatif import what_if
from stallwise.record.schema import Book, Piece
from tests.joins.cooks import NOW, line, record, ribs

STEADY = [{"letter": "P", "start": "107 C"}]
WARM = [{"letter": "P", "start": "114 C"}]


def levers(cook, members=80, **asked):
    """What would change it; fewer possible days where no tail of them is looked at."""
    changes = {"members": members} | asked.pop("changes", {})
    return {lever.key: lever for lever in what_if(cook, made_at=NOW, changes=changes, **asked)}


def middle(lever) -> float:
    return lever.shift_h.p50


def metric(cook):
    return dataclasses.replace(cook, book=Book(title="test book", units="metric"))


def of(cut: str, **more) -> Piece:
    return Piece(**{"letter": "A", "cut": cut, "on": "04:00"} | more)


CUTS = ("beef-brisket-whole", "pork-shoulder-bone-in", "pork-spare-ribs-trimmed")


@pytest.mark.parametrize("cut", CUTS)
def test_hotter_is_sooner_and_thicker_and_heavier_later_on_each_possible_day(cut: str) -> None:
    """Physics: bare meat, more of it or a colder pit never finishes earlier.

    Thickness is tried at the same weight: a shoulder that is nearly a cube is not slower on each
    day for being thicker one way and so thinner another, but a flat piece is.
    """
    found = levers(record(of(cut, wrap="none"), pits=STEADY, serve="23:30"), members=200)
    for sooner, later in (
        ("pit.hotter", "pit.cooler"),
        ("mass.lighter", "mass.heavier"),
        ("thickness.thinner", "thickness.thicker"),
    ):
        chunky = cut == "pork-shoulder-bone-in" and later == "thickness.thicker"
        surest = "p25" if chunky else "p05"
        assert found[sooner].shift_h.p95 < 0 < getattr(found[later].shift_h, surest)


@pytest.mark.parametrize("cut", ["beef-brisket-whole", "pork-shoulder-bone-in"])
def test_foil_is_sooner_than_paper_or_bare(cut: str) -> None:
    """In paper it is tender 20 to 150 min later than in foil (common practice, no source).

    That foil is hours sooner than bare is published (next test). Practice has paper between the
    two; the model gives paper little over bare, so it is only held to be hardly later than bare.
    """
    found = levers(record(of(cut, wrap="foil"), pits=WARM, serve="23:30"))
    paper, bare = middle(found["wrap.paper"]) * 60, middle(found["wrap.none"]) * 60
    assert 20 <= paper <= 150
    assert bare > 20
    assert paper < bare * 1.1


def test_two_like_briskets_one_in_foil_at_four_hours() -> None:
    """[tamu-2013]: 90.6 °C at about 9 h in foil, at more than 13 h bare; the pit at 107 to 121 °C."""
    own = {
        "by-thermometer": {
            "like": "beef-brisket-whole",
            "finish": [{"words": "hot", "core": "90.6 C", "sign": "195 °F", "usual": True}],
        }
    }
    cook = record(
        of("by-thermometer", wrap="foil", wrap_from="4:00", wrap_to="4:00"),
        pits=[{"letter": "P", "start": "114 C"}],
        serve="23:30",
    )
    shift = levers(dataclasses.replace(cook, cuts=own))["wrap.none"].shift_h
    assert shift.p10 < 4.0 < shift.p90


def test_falling_off_the_bone_takes_longer_than_biting_clean() -> None:
    """By construction: the thresholds were set from 30 to 80 min of practice, for a huge rack."""
    huge = ribs(mass="3 kg", width="20 cm", wrap_from="3:10", wrap_to="3:10", on="09:00")
    pits = [{"letter": "P", "start": "107 C", "climb_to": "135 C", "climb_over": "1:00"}]
    clean = levers(record(huge, pits=pits, serve="20:00"))
    falls = levers(record(huge, pits=pits, serve="20:00"), changes={"finish": "falls off the bone"})
    both = middle(clean["finish.after"]) - middle(falls["finish.before"])
    assert 30 <= both * 60 <= 80
    assert clean["finish.after"].words == "finish: pulls clean"
    assert "finish.before" not in clean


def test_the_same_days_are_compared_so_the_difference_is_far_surer_than_its_parts() -> None:
    """Common random numbers: the spread is a small part of that between independent days."""
    cook = record(of("beef-brisket-whole", wrap="none"), pits=STEADY, serve="23:30")

    def tender(seed: int, **changes: str) -> np.ndarray:
        asked = question(cook, made_at=NOW, changes=changes, seed=seed)
        return foresee(asked).forecast.pieces["A"].stages["tender"] / 3600.0

    apart = tender(2, pit_start="117 C") - tender(1)
    shared = tender(1, pit_start="117 C") - tender(1)
    assert np.var(shared) < 0.1 * np.var(apart)
    found = levers(metric(cook), members=200)["pit.hotter"].shift_h
    assert (found.p90 - found.p10) ** 2 < 0.1 * np.diff(np.quantile(apart, [0.1, 0.9]))[0] ** 2
    # Long steps are enough for a difference: the short ones give the same minute.
    assert found.p50 == pytest.approx(np.median(shared), abs=1 / 60)


@pytest.mark.parametrize("key", ["pit.hotter", "wrap.paper", "wrap.later", "mass.lighter"])
def test_what_is_offered_is_what_the_setting_gives(key: str) -> None:
    """The difference shown is that of two whole forecasts, day by day, to a minute."""
    cook = record(ribs(on="09:00"))
    lever = levers(cook, members=200)[key]

    def tender_h(changes) -> np.ndarray:
        seen = foresee(question(cook, made_at=NOW, changes=changes))
        return seen.forecast.pieces["A"].stages["tender"] / 3600.0

    assert lever.changes
    differences = tender_h(lever.changes) - tender_h({})
    assert middle(lever) == pytest.approx(np.median(differences), abs=1 / 60)


def test_starts_are_held_so_that_a_slower_way_costs_odds() -> None:
    found = levers(record(ribs()))
    slow, fast = found["pit.cooler"], found["pit.hotter"]
    assert slow.odds_change < 0 < fast.hold_change_h.p50
    assert slow.odds_in_time == pytest.approx(0.9 + slow.odds_change, abs=0.03)
    assert slow.hold_change_h.p50 == pytest.approx(-middle(slow))
    nothing_promised = levers(record(ribs(on="09:00"), serve=None))["pit.cooler"]
    assert (nothing_promised.odds_in_time, nothing_promised.hold_change_h) == (None, None)


def test_starts_of_an_answer_already_given_are_taken_from_it() -> None:
    cook = record(ribs(), ribs(letter="B", mass="2 lb", wrap="none"))
    starts = {piece.piece: piece.on_at for piece in answer(cook, made_at=NOW).pieces}
    given = what_if(cook, made_at=NOW, starts=starts, pieces=("B",))
    assert given == tuple(one for one in what_if(cook, made_at=NOW) if one.piece == "B")
    assert {name.partition("__")[2] for one in given for name in one.changes} == {"B", ""}
    with pytest.raises(NotFoundError):
        what_if(cook, made_at=NOW, pieces=("C",))


ON = line("10:00", "meat_on")
WRAPPED = line("13:40", "wrapped", kind="foil")
TENDER = line("15:05", "feel_check", check="bend", verdict="tender")


def test_only_what_is_still_open_is_offered() -> None:
    before = set(levers(record(log=(ON,)), as_of=NOW))
    on = set(levers(record(log=(ON,)), as_of=ON.at.replace(hour=12)))
    wrapped = set(levers(record(log=(ON, WRAPPED)), as_of=WRAPPED.at))
    assert {"thickness.thinner", "mass.heavier", "wrap.earlier"} <= before
    assert {one.partition(".")[0] for one in before - on} == {"thickness", "mass"}
    assert {one.partition(".")[0] for one in wrapped} == {"pit", "finish"}
    assert levers(record(log=(ON, WRAPPED, TENDER)), as_of=TENDER.at) == {}
    unsaid = line("13:40", "wrapped")  # in what, nobody wrote
    assert "wrap.paper" not in levers(record(log=(ON, unsaid)), as_of=unsaid.at)
    off = line("15:00", "off")
    assert levers(record(log=(ON, WRAPPED, off)), as_of=off.at) == {}


def test_nothing_logged_later_and_nothing_in_the_past_counts() -> None:
    early = ON.at.replace(hour=12)
    assert levers(record(log=(ON,)), as_of=early) == levers(record(log=(ON, WRAPPED)), as_of=early)
    # Two hours before the end a hotter pit has less time to tell than from the start.
    late = levers(record(log=(ON, WRAPPED)), as_of=WRAPPED.at)["pit.hotter"]
    assert abs(middle(late)) < abs(middle(levers(record(ribs(on="10:00")))["pit.hotter"]))
    # The climb that is over stays as it was: cooler from now on is no sooner for it.
    assert middle(levers(record(log=(ON,)), as_of=ON.at.replace(hour=13))["pit.cooler"]) > 0
    assert late.words == "pit 20 °F hotter from now on"
    assert late.changes == {}


def test_a_wrap_that_is_overdue_cannot_come_earlier() -> None:
    found = levers(record(log=(ON,)), as_of=ON.at.replace(hour=14))
    assert "wrap.earlier" not in found
    assert "wrap.later" in found


def test_levers_make_sense_for_the_piece() -> None:
    bird = set(levers(record(of("turkey-whole"), serve="23:30")))
    assert not {one for one in bird if one.startswith(("wrap", "thickness", "finish"))}
    roast = levers(record(of("beef-tri-tip"), serve="23:30"))
    assert roast["finish.after"].words == "finish: brown through"
    assert not {one for one in roast if one.startswith("wrap")}


def test_all_points_of_the_pit_are_moved() -> None:
    rising = [{"letter": "P", "schedule": [("0:00", "107 C"), ("3:00", "135 C")]}]
    lever = levers(metric(record(ribs(on="09:00", wrap="none"), pits=rising)))["pit.hotter"]
    assert lever.words == "pit 10 °C hotter"
    assert (lever.shift_h.p90 < 0, lever.changes) == (True, {})
    climbing = levers(record(ribs(on="09:00")))["pit.cooler"]
    assert climbing.changes == {"pit_start": "205 F", "pit_climb_to": "255 F"}


def test_steps_follow_the_units_and_the_size_of_the_piece() -> None:
    brisket = metric(record(of("beef-brisket-whole", wrap="none"), serve="23:30"))
    assert levers(brisket)["thickness.thinner"].words == "10 mm thinner"
    assert levers(metric(record()))["thickness.thinner"].words == "5 mm thinner"
    assert levers(record())["thickness.thicker"].words == "1/4 in thicker"


def test_a_day_without_an_end_is_said_not_guessed() -> None:
    cold = [{"letter": "P", "start": "80 C"}]
    found = levers(record(of("beef-brisket-whole", wrap="none", on="00:00"), pits=cold, serve=None))
    assert found["pit.hotter"].shift_h.reached < 1.0
    json.dumps(to_plain(tuple(found.values())), allow_nan=False)
    for lever in found.values():
        assert words.shift(lever.shift_h)


def test_every_lever_says_where_it_comes_from() -> None:
    assert group("what_if").source
    for lever in levers(record()).values():
        (found,) = explain(lever.source)
        assert found.source
    assert all(row.words for row in lever_rows().values())


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        ((-55, -40, -25), "40 min sooner (25 to 55)"),
        ((-53, -41, -27), "40 min sooner (25 to 55)"),
        ((52, 70, 95), "1 h 10 later (50 min to 1 h 35)"),
        ((-170, -130, -80), "2 h 15 sooner (1 h 15 to 3 h)"),
        ((-12, 6, 24), "5 min later (15 min sooner to 25 min later)"),
        ((-7, 1, 4), "about the same (10 min sooner to 5 min later)"),
        ((-1, 0, 2), "about the same"),
        ((0, 8, 16), "10 min later (0 to 20)"),
        ((150, 240, None), "4 h later (2 h 30 to longer than was tried)"),
        ((-30, 240, None), "4 h later (30 min sooner to longer than was tried)"),
        ((150, None, None), "later than was tried"),
    ],
)
def test_a_shift_in_words(minutes: tuple, said: str) -> None:
    low, mid, high = (None if value is None else value / 60 for value in minutes)
    assert words.shift(Spread(low, low, low, mid, high, high, high)) == said


def test_table_has_a_row_a_lever_below_the_plan_itself() -> None:
    cook = record(ribs())
    result = answer(cook, made_at=NOW)
    found = what_if(cook, made_at=NOW)
    table = lever_table(found, result)
    assert len(table.rows) == len(found) + 1
    assert table.rows[0][1] == "as planned"
    assert {row[0] for row in table.rows} == {"A"}
    text = as_text(table)
    assert "pit 20 °F hotter" in text
    assert "times in 10" in text
    assert table.source == "what_if"
    assert " min" in next(row[3] for row in table.rows if "hotter" in row[1])
    assert lever_table((), result).rows == ()


@pytest.mark.benchmark
def test_one_piece_takes_under_half_a_second() -> None:
    """One long cook, warm, with the forecast it rests on; the best of five runs.

    Processor time is held, not the wall clock: what it costs, not what else the machine is doing.
    Two threads share it, so 0.75 s of it is under half a second on two idle cores (0.39 s measured).
    """
    took = []
    for kilos in (4.8, 4.9, 5.0, 5.1, 5.2, 5.3)[: rounds(6)]:
        # Another weight each time: a forecast that was made already is not made again.
        cook = record(of("beef-brisket-whole", on=None, mass=f"{kilos} kg"), serve="23:30")
        start = time.process_time()
        what_if(cook, made_at=NOW)
        took.append(time.process_time() - start)
    keep("What would change a forecast, processor", took[1:], asked="at most 0.75 s")
    assert min(took[1:]) < 0.75
