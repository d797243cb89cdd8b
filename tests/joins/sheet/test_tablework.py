"""Who cuts what and when: one thing at a time for each, back from serving."""

from __future__ import annotations

import datetime as dt
import itertools

import pytest
from cooks import DATE, record
from hypothesis import given
from hypothesis import strategies as st

from stallwise.joins.sheet.tablework import Cutting, table_work
from stallwise.record.schema import Piece

SERVE = dt.datetime(DATE.year, DATE.month, DATE.day, 16, tzinfo=dt.UTC)
MIN = 60.0


def cutting(letter, minutes, *, count=1, serve=SERVE, keeps=False):
    piece = Piece(letter=letter, cut="pork-shoulder-bone-in", count=count)
    return Cutting(piece, 3.6, minutes * MIN, False, serve, keeps)


def work(*cuttings, **cook):
    return table_work(record(**cook).cook, cuttings)


def test_one_person_cuts_one_after_the_other_and_what_keeps_first():
    found = work(cutting("A", 8), cutting("B", 7, keeps=True), cutting("C", 5), people=1)
    assert found["C"].after_s == 0.0
    assert found["A"].after_s == 5 * MIN
    assert found["B"].after_s == 13 * MIN


def test_a_second_pair_of_hands_halves_alike_pieces():
    alone = work(cutting("A", 7, count=4), people=1)["A"]
    both = work(cutting("A", 7, count=4), people=2)["A"]
    assert (alone.carve_s, both.carve_s) == (28 * MIN, 14 * MIN)


def test_nobody_counted_is_as_many_hands_as_pieces():
    found = work(cutting("A", 8), cutting("B", 7))
    assert [found[letter].after_s for letter in "AB"] == [0.0, 0.0]


def test_pans_and_the_way_come_between_knife_and_plate():
    found = work(cutting("A", 8), people=1, carry="20 min")["A"]
    assert (found.carve_s, found.after_s) == (8 * MIN, 23 * MIN)


def test_hand_ins_half_an_hour_apart_do_not_share_a_person():
    times = [SERVE + dt.timedelta(minutes=30 * number) for number in range(4)]
    cuttings = [cutting(letter, 12, serve=at) for letter, at in zip("ABCD", times, strict=True)]
    found = work(*cuttings, people=1, carry="15 min")
    assert [round(found[letter].after_s / MIN) for letter in "ABCD"] == [18] * 4


@given(
    minutes=st.lists(st.integers(3, 40), min_size=1, max_size=6),
    people=st.integers(1, 3),
    apart=st.integers(0, 40),
)
def test_nobody_is_in_two_places(minutes, people, apart):
    cuttings = [
        cutting(letter, each, serve=SERVE + dt.timedelta(minutes=apart * number))
        for number, (letter, each) in enumerate(zip("ABCDEF", minutes, strict=False))
    ]
    found = work(*cuttings, people=people, carry="10 min")
    busy = {who: [] for who in range(1, people + 1)}
    for one in cuttings:
        served = one.serve_at.timestamp()
        for stint in found[one.piece.letter].stints:
            busy[stint.who].append((served - stint.from_s, served - stint.to_s))
    ways = {(found[one.piece.letter].carrier, one.serve_at.timestamp()) for one in cuttings}
    for who, served in ways:
        busy[who].append((served - 10 * MIN, served))
    if len(ways) <= people or apart >= 10:  # else there are more ways at a time than people
        for spans in busy.values():
            for first, second in itertools.pairwise(sorted(spans)):
                assert first[1] <= second[0] + 1e-6
    assert all(found[c.piece.letter].carve_s == pytest.approx(c.each_s) for c in cuttings)
