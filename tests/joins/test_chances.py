"""Starts for the odds in words: never late by rounding, never later for surer odds."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheet_pieces import HOUR_S, drawn, later, rib

from stallwise.ground.errors import InputError
from stallwise.joins.chances import chances, odds_in_time
from stallwise.joins.words import ODDS

_PAIRS = st.tuples(
    st.floats(2, 9), st.floats(0.03, 0.4), st.integers(0, 50), st.integers(0, 240), st.booleans()
)


def _pieces(first, second):
    """Two racks of any spread and serving time, in one pit or two."""
    found = []
    for letter, (median_h, log_sd, seed, minutes, apart) in zip("AB", (first, second), strict=True):
        one = rib(letter, tender_s=drawn(median_h, log_sd, seed, 120), weights=np.ones(120))
        pit = one.piece.model_copy(update={"pit": "Q" if apart else "P"})
        found.append(later(replace(one, piece=pit), dt.timedelta(minutes=minutes)))
    return found


def _offer(pieces, **more):
    return chances(pieces, chosen="guests coming", odds=ODDS, **more)


def _on(pieces, offer, words):
    return [
        replace(piece, on_at=next(c.on_at for c in offer[piece.letter] if c.words == words))
        for piece in pieces
    ]


@given(_PAIRS, _PAIRS)
def test_all_pieces_are_ready_together_at_the_odds_or_better(first, second):
    pieces = _pieces(first, second)
    offer = _offer(pieces)
    for words, probability in ODDS.items():
        assert odds_in_time(_on(pieces, offer, words)) >= probability - 1e-9


@given(_PAIRS, _PAIRS)
def test_surer_odds_never_go_on_later_and_never_wait_less(first, second):
    for rows in _offer(_pieces(first, second)).values():
        assert [row.probability for row in rows] == sorted(ODDS.values())
        for slight, sure in pairwise(rows):
            assert sure.on_at <= slight.on_at
            assert sure.light_at <= slight.light_at
            assert sure.hold_p50_h >= slight.hold_p50_h
        assert all(row.hold_p50_h <= row.hold_p90_h for row in rows)


@given(_PAIRS, _PAIRS, st.integers(0, 600))
def test_a_later_serving_never_gives_an_earlier_start(first, second, minutes):
    pieces = _pieces(first, second)
    moved = [later(piece, dt.timedelta(minutes=minutes)) for piece in pieces]
    before, after = _offer(pieces), _offer(moved)
    for letter, rows in before.items():
        for was, now in zip(rows, after[letter], strict=True):
            assert now.on_at >= was.on_at


@given(_PAIRS)
def test_five_minutes_earlier_are_all_that_rounding_costs(pair):
    piece = _pieces(pair, pair)[0]
    offer = _offer([piece])["A"]
    for row in offer:
        assert row.on_at.minute % 5 == 0
        late = replace(piece, on_at=row.on_at.astimezone(dt.UTC) + dt.timedelta(minutes=5.001))
        assert odds_in_time([late]) < row.probability


def test_two_unlike_pieces_ready_together_need_more_than_each_alone():
    pieces = [rib("A", tender_s=drawn(4, 0.2, 1)), rib("B", tender_s=drawn(4, 0.2, 2))]
    alone = {piece.letter: _offer([piece])[piece.letter][-1].on_at for piece in pieces}
    together = _offer(pieces)
    for piece in pieces:
        assert together[piece.letter][-1].on_at < alone[piece.letter]


def test_days_that_never_come_leave_no_start():
    tender = drawn(5, 0.1, 4)
    tender[:30] = np.inf  # 15 %
    rows = _offer([rib("A", tender_s=tender)])["A"]
    assert [row.on_at is None for row in rows] == [False, False, True, True]
    assert rows[-1].hold_p90_h is None


def test_seen_evidence_weighs_the_days():
    tender = np.array([4.0, 5.0, 6.0, 7.0]) * HOUR_S
    light = rib("A", tender_s=tender, weights=np.array([1.0, 1.0, 0.0, 0.0]))
    assert odds_in_time([light]) == pytest.approx(1.0)
    assert odds_in_time([replace(light, weights=np.ones(4))]) == pytest.approx(0.5)


def test_checks_that_leave_no_day_in_common_leave_each_piece_its_own():
    early = (np.arange(120) < 60).astype(float)
    first, second = _pieces((6, 0.2, 1, 0, False), (6, 0.2, 2, 0, False))
    apart = [replace(first, weights=early), replace(second, weights=1.0 - early)]
    assert _offer(apart) == _offer([replace(one, weights=np.ones(120)) for one in apart])
    with pytest.raises(InputError, match="all zero"):
        _offer([replace(one, weights=np.zeros(120)) for one in apart])


def test_nothing_is_promised_without_a_serving_time():
    piece = rib("A", serve=None)
    assert odds_in_time([piece]) is None
    assert _offer([piece]) == {"A": ()}


@given(st.integers(5, 300))
def test_the_fire_is_lit_by_the_pit_that_takes_long(minutes):
    piece = rib("A")
    rows = _offer([piece], pit_start_s={"offset": minutes * 60.0}, pit_names={"P": "offset"})["A"]
    usual = _offer([piece])["A"]
    for row, as_usual in zip(rows, usual, strict=True):
        assert row.on_at == as_usual.on_at
        ahead = (row.on_at - row.light_at).total_seconds()
        assert minutes * 60 <= ahead < minutes * 60 + 300
        assert as_usual.on_at - as_usual.light_at == dt.timedelta(minutes=70)


def test_starts_are_instants_over_a_clock_change():
    serve = dt.datetime.fromisoformat("2027-11-07T12:00:00-05:00")
    night = rib("A", tender_s=np.full(200, 14 * HOUR_S), rest_s=0.0, carve_s=0.0)
    night = replace(night, serve_at=serve.astimezone(night.serve_at.tzinfo))
    assert night.serve_at.utcoffset() == dt.timedelta(hours=-5)
    row = _offer([night])["A"][0]
    # Fourteen hours before noon is eleven at night by the clock of the day before.
    assert row.on_at.isoformat() == "2027-11-06T23:00:00-04:00"
