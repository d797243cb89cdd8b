"""Unlike pieces on one grate: what can be laid fits, what has no room does not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.models.grate import Grate, at_once
from stallwise.models.shelving import filled, lie_together

GATE = Grate(0.80, 0.40)
side = st.floats(0.05, 0.5)


@pytest.mark.parametrize(
    ("pieces", "fits"),
    [
        ([(0.40, 0.20)] * 3, True),
        ([(0.40, 0.20)] * 4, False),
        ([(0.30, 0.30), (0.18, 0.38), (0.20, 0.20)], True),
        ([(0.50, 0.45)], False),  # too deep either way
        ([(0.38, 0.78)], True),  # along it
        ([], True),
    ],
)
def test_rows_on_a_grate(pieces, fits):
    assert lie_together(GATE, pieces, 0.025) is fits


@given(st.lists(st.tuples(side, side), max_size=6))
def test_what_fits_takes_no_more_than_the_grate(pieces):
    if lie_together(GATE, pieces, 0.025):
        assert filled(GATE, pieces, 0.025) <= 1.0 + 1e-9


@given(st.lists(st.tuples(side, side), min_size=1, max_size=6))
def test_one_less_fits_where_all_do(pieces):
    if lie_together(GATE, pieces, 0.025):
        assert lie_together(GATE, pieces[:-1], 0.025)


@given(side, side)
def test_alike_pieces_are_not_packed_closer_than_the_best_count(width, length):
    most = at_once([Grate(0.8, 0.6)], (width, length), 0.025) if max(width, length) < 0.6 else 0
    assert not lie_together(Grate(0.8, 0.6), [(width, length)] * (most + 1), 0.025) or most == 0
