"""Room in a pit: whole pieces on whole shelves, never a part of one beside a part of another."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.models.grate import Grate, at_once, loads

SIDE = st.floats(0.1, 1.5)


def test_two_half_places_are_no_place():
    # 0.9 x 0.45 m has room for three by its area, and takes two of this length.
    assert at_once([Grate(0.9, 0.45)], (0.3, 0.42), 0.03) == 2
    assert at_once([Grate(0.9, 0.45)] * 2, (0.3, 0.42), 0.03) == 4


def test_a_piece_may_lie_across_and_rows_may_turn():
    assert at_once([Grate(0.45, 0.9)], (0.4, 0.2), 0.025) == 4
    assert at_once([Grate(0.6, 1.0)], (0.2, 0.6), 0.0) == 5  # three along, two across


def test_racks_hang_where_the_shelf_says_so_and_butts_do_not():
    hooks = [Grate(0.9, 0.45, racks=12)]
    assert at_once(hooks, (0.15, 0.4), 0.025, racks=True) == 12
    assert at_once(hooks, (0.15, 0.4), 0.025) == 5


def test_several_meats_share_a_load():
    assert loads([4], [4]) == 1
    assert loads([5], [4]) == 2
    assert loads([2, 3], [4, 6]) == 1
    assert loads([0], [4]) == 0


def test_nothing_fits_is_told_with_both_sizes():
    with pytest.raises(InputError, match=r"30 x 42 cm lies on none of: 20 x 30 cm"):
        at_once([Grate(0.2, 0.3)], (0.3, 0.42), 0.025)


@given(SIDE, SIDE, st.floats(0.05, 0.1), st.floats(0.05, 0.1), st.floats(0.0, 0.05))
def test_what_fits_has_room_and_a_larger_grate_takes_no_fewer(width, depth, one, two, gap):
    found = at_once([Grate(width, depth)], (one, two), gap)
    assert found * one * two <= width * depth + 1e-6
    assert at_once([Grate(width + 0.1, depth)], (one, two), gap) >= found
    assert at_once([Grate(depth, width)], (two, one), gap) == found
