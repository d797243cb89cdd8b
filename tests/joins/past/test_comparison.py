"""Cooks beside each other: what was written down, what of it goes together, what the forecast makes of it."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.past import comparewords
from stallwise.joins.past.choosing import choose_cooks
from stallwise.joins.past.comparison import compare_cooks
from stallwise.joins.past.differing import Difference, alone, mixed_up
from stallwise.joins.past.values import said, same
from stallwise.pictures.beside import beside_picture
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

NOW = dt.datetime(2026, 11, 1, tzinfo=dt.UTC)
PLAN = """\
schema = 1
title = "Shoulder"
date = 2027-03-06
serve = "17:00"

[[pits]]
letter = "P"
start = "225 F"

[[pieces]]
letter = "A"
cut = "pork-shoulder-bone-in"
mass = "8 lb"
start_core = "40 F"
wrap = "none"
on = "03:00"
"""


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    book = Cookbook.start(tmp_path_factory.mktemp("past") / "book", title="Sample")
    bring_sample(book)
    return book


@pytest.fixture(scope="module")
def shoulders(book):
    return compare_cooks(choose_cooks(book, "harvest-supper, lamb"), made_at=NOW)


def planned(place, **changes):
    """Two plans that are alike but for what is changed in the second."""
    book = Cookbook.start(place / "book", title="Try", time_zone="Etc/UTC")
    text = PLAN
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    folders = [
        book.new_cook(f"n{n}", dt.date(2027, 3, 6), each) for n, each in ((1, PLAN), (2, text))
    ]
    return compare_cooks([(folder.load(), []) for folder in folders], made_at=NOW, members=60)


def of(found, key):
    return next(one for one in found.differences if one.key == key)


def test_a_cook_beside_its_twin_differs_in_nothing_and_is_credited_nothing(tmp_path):
    found = planned(tmp_path)
    assert not [one.key for one in found.differences if one.differs]
    (pair,) = found.credits
    assert pair.credits == ()
    assert pair.together.p10 == pair.together.p90 == 0.0
    assert 2.0 < pair.alike_h < 9.0
    assert comparewords.headline(found).endswith("alike in all that was written down.")
    assert "Nothing that a forecast goes by" in next(comparewords.credit_words(pair))


def test_one_thing_changed_is_credited_with_the_whole_of_it(tmp_path):
    heavier = planned(tmp_path, mass=('mass = "8 lb"', 'mass = "10 lb"'))
    (pair,) = heavier.credits
    assert [one.part for one in pair.credits] == ["size"]
    assert pair.credits[0].shift_h == pair.together
    assert 0.5 < pair.together.p50 < 4.0
    assert of(heavier, "mass").values == pytest.approx((3.6287, 4.5359), abs=1e-4)
    assert heavier.mixed_up == ()
    assert [one.part for one in heavier.alone] == ["weight and size"]


def test_two_things_changed_are_credited_apart_and_told_to_be_mixed_up(tmp_path):
    found = planned(
        tmp_path,
        mass=('mass = "8 lb"', 'mass = "10 lb"'),
        pit=('start = "225 F"', 'start = "275 F"'),
    )
    (pair,) = found.credits
    by = {one.part: one.shift_h.p50 for one in pair.credits}
    assert by["pit"] < 0.0 < by["size"]
    assert by["pit"] < pair.together.p50 < by["size"]
    assert found.mixed_up == (("weight and size", "the pit"),)
    assert pair.seen_h is None
    assert pair.by_chance is None


def test_what_only_one_of_them_said_is_shown_and_not_counted(shoulders):
    words = comparewords.headline(shoulders)
    half = dataclasses.replace(of(shoulders, "rain"), values=(None, True, True), groups=(0, 1, 1))
    kept = tuple(one for one in shoulders.differences if not one.differs)
    alone_told = dataclasses.replace(shoulders, differences=(*kept, half))
    assert words.endswith("11 things were different.")
    assert comparewords.headline(alone_told).endswith("written down of each.")
    assert len(comparewords.different_table(alone_told).rows) == 1


def test_another_cut_is_one_change_with_its_weight_and_finish(shoulders):
    across = shoulders.credits[1]
    assert {one.part for one in across.credits} >= {"cut", "pit", "wrap"}
    assert not {one.part for one in across.credits} & {"size", "finish"}


def test_what_was_logged_stands_beside_what_was_planned(shoulders):
    assert of(shoulders, "wrap").values[0] == ("foil", 9 * 3600.0, 10.5 * 3600.0)
    assert of(shoulders, "wrapped").values[0] == ("foil", 9.85 * 3600.0, 9.85 * 3600.0)
    assert of(shoulders, "wrapped").values[2][0] == "none"
    middle, low, high, where = of(shoulders, "pit_read").values[0]
    assert low < 107.2 < middle < 132.3 < high
    assert where == "grate"
    assert of(shoulders, "spritzed").values == (3, 3, 3)


def test_what_came_out_is_told_as_it_was_seen(shoulders):
    big, small, lamb = (one.came_out for one in shoulders.pieces)
    assert (big.low_h, big.high_h) == pytest.approx((13.0, 13.4667), abs=1e-3)
    assert (lamb.low_h, lamb.high_h) == pytest.approx((7.0, 7.3167), abs=1e-3)
    assert big.loss_share == pytest.approx(1 - 5.875 / 8.625)
    assert big.rest_h == pytest.approx(1.6)
    assert big.stall.from_h < 9.0 < big.stall.to_h
    assert small.stall is None
    assert big.fuel.count == 22
    assert big.fuel == small.fuel  # they stood in one pit
    assert 0.6 < big.fuel.kg_h < 1.6
    assert all(one.foreseen.kept and one.foreseen.inside for one in (big, small, lamb))


def test_two_of_one_day_are_held_against_what_alike_ones_of_one_day_do(shoulders):
    beside, across = shoulders.credits
    assert (beside.one_day, across.one_day) == (True, False)
    assert beside.alike_h < across.alike_h
    assert beside.seen_h == pytest.approx((-28 / 60, 38 / 60), abs=1e-3)
    assert (beside.by_chance, across.by_chance) == (True, False)
    assert across.accounted
    said = " ".join(comparewords.credit_words(beside))
    assert "28 min" not in said  # a bracket is no minute
    assert "30 min sooner to 40 min later" in said
    assert "nothing that has to be behind it" in said


def test_a_difference_that_nothing_explains_is_said_so(shoulders):
    pair = dataclasses.replace(shoulders.credits[1], seen_h=(20.0, 21.0))
    assert pair.accounted is False
    assert "nobody wrote down may be behind it" in " ".join(comparewords.credit_words(pair))


def test_the_picture_numbers_its_curves_and_tells_of_each_piece(shoulders):
    for width in (720, 344):
        drawn = beside_picture(shoulders, width=width)
        assert drawn.svg.count(">1</text>") == drawn.svg.count(">3</text>") == 2
        assert drawn.svg.count(">2</text>") == 1  # it had no probe
        assert len(drawn.svg) < 40_000
    assert drawn.finding.startswith("1 Harvest supper (A): forecast 10 h 45 to 14 h 05")
    assert len(drawn.table[1]) == 3


def thing(key, *groups, part=""):
    values = tuple(str(one) for one in groups)
    return Difference(key, key, "planned", part, values, values, groups)


def test_things_that_part_the_pieces_alike_are_mixed_up():
    found = [
        thing("wood", 0, 1, 1),
        thing("rub", 0, 1, 1),
        thing("wind", 0, 0, 1),
        thing("cut", 0, 0, 0),
    ]
    assert mixed_up(found) == (("wood", "rub"),)
    assert [(one.part, one.pieces) for one in alone(found, ["x", "y", "z"])] == [
        ("wind", ("y", "z"))
    ]
    unsaid = dataclasses.replace(found[1], values=("0", None, None))
    assert mixed_up([found[0], unsaid]) == ()


def test_near_is_the_same_and_unsaid_is_like_nothing_else():
    assert same("temperature", 107.2, 109.9)
    assert not same("temperature", 107.2, 110.3)
    assert same("mass", 3.60, 3.66)
    assert not same("mass", 3.60, 3.70)
    assert same("wrap", ("foil", 9000.0, 9000.0), ("foil", 9500.0, 9500.0))
    assert not same("wrap", ("foil", 9000.0, 9000.0), ("paper", 9000.0, 9000.0))
    assert not same("text", None, "oak")
    assert same("text", None, None)
    assert said("curve", ((3600.0, 107.2), (7200.0, 135.0)), "us") == "225 °F, to 275 °F from 1 h"
    assert said("temperature", None, "metric") == "not said"


def test_cooks_are_chosen_by_name_and_letter_or_the_last_two_of_a_cut(book):
    chosen = choose_cooks(book, ["spring-ribs/B", "two-glazes/A", "spring-ribs/A"])
    assert [(record.name[11:], letters) for record, letters in chosen] == [
        ("spring-ribs", ["B", "A"]),
        ("two-glazes-bone-by-bone", ["A"]),
    ]
    assert [record.name[11:] for record, _ in choose_cooks(book)] == [
        "spring-ribs",
        "two-glazes-bone-by-bone",
    ]


@pytest.mark.parametrize(
    ("cooks", "words"),
    [
        ("spring-ribs/A", "1 piece to lay beside"),
        ("spring-ribs/A, spring-ribs/A", "named twice"),
        ("spring-ribs, two-glazes, harvest, turkey, brisket", "9 pieces"),
    ],
)
def test_what_cannot_be_laid_side_by_side_is_refused(book, cooks, words):
    with pytest.raises(InputError, match=words):
        compare_cooks(choose_cooks(book, cooks), made_at=NOW)


@pytest.mark.parametrize("cooks", [5, ["spring-ribs", 3], {"a": 1}])
def test_what_is_no_name_is_asked_for_in_words(book, cooks):
    with pytest.raises(InputError, match="names of cooks"):
        choose_cooks(book, cooks)


def test_what_is_only_planned_and_what_fuel_does_not_say_is_told(shoulders, tmp_path):
    found = planned(tmp_path)
    assert next(comparewords.said_of_them(found)).startswith("Only planned")
    assert comparewords.foreseen_table(found).rows[0][5] == "made now, for one to come"
    assert comparewords.foreseen_words(found) == (
        "Whether a forecast was right is not known of any of them."
    )
    told = list(comparewords.said_of_them(shoulders))
    assert "nobody cooked those" in told[0]
    assert told[1].startswith("Fuel an hour is no comparison")
    assert comparewords.foreseen_words(shoulders).startswith("3 of 3 ended inside")


def test_a_piece_that_is_not_there_is_named(book):
    with pytest.raises(NotFoundError, match="'Q'"):
        compare_cooks(choose_cooks(book, "spring-ribs/Q, lamb"), made_at=NOW)
