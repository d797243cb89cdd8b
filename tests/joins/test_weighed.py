"""What the cook's scales said of a piece."""

from __future__ import annotations

import pytest

from stallwise.joins.weighed import weighed
from tests.joins.cooks import ribs


def test_weights_are_read_for_all_alike_pieces_together():
    found = weighed(
        ribs(count=2, mass="3 lb", mass_bought="4 lb", mass_cooked="4 lb", mass_edible="3 lb")
    )
    pound = 0.45359237
    assert found.bought_kg == pytest.approx(8 * pound)
    assert (found.cooked_kg, found.edible_kg) == (
        pytest.approx(4 * pound),
        pytest.approx(3 * pound),
    )
    assert found.lost == pytest.approx(1 / 3)


def test_what_nobody_weighed_is_not_known():
    assert weighed(ribs()) is None
    assert weighed(ribs(mass=None, mass_cooked="2 lb")).lost is None
