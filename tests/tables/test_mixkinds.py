"""Kinds of mix: each knows what share of it ends in the meat, so that salt can be counted."""

from __future__ import annotations

import pytest

from stallwise.tables.kitchen import kitchen
from stallwise.tables.mix import KINDS, MADE_AHEAD

#: A brine is counted by what soaks in.
SOAKED = {"brine"}


@pytest.mark.parametrize("kind", sorted(KINDS.keys() - SOAKED - set(MADE_AHEAD)))
def test_a_share_of_each_kind_is_known(kind):
    assert 0.0 < kitchen()[f"sticks_{kind.replace(' ', '_')}"].value <= 1.0
