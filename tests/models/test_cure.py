"""Nitrite goes by weight and a stated strength, or not at all."""

from __future__ import annotations

import pytest

from stallwise.ground.errors import OutOfRangeError
from stallwise.models.cure import cure_for_nitrite_kg, ingoing_nitrite_ppm


def test_there_and_back():
    cure = cure_for_nitrite_kg(120.0, 3.2, 0.0625)
    assert ingoing_nitrite_ppm(cure, 3.2, 0.0625) == pytest.approx(120.0)


@pytest.mark.parametrize(("meat_kg", "share"), [(0.0, 0.0625), (1.0, 0.0), (1.0, 6.25)])
def test_no_weight_or_no_strength_is_refused(meat_kg, share):
    with pytest.raises(OutOfRangeError):
        ingoing_nitrite_ppm(0.0025, meat_kg, share)
    with pytest.raises(OutOfRangeError):
        cure_for_nitrite_kg(120.0, meat_kg, share)
