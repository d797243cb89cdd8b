"""Outside a published range we say so; outside the possible we stop."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning
from stallwise.ground.ranges import Range

OVEN = Range("oven temperature", 50.0, 250.0, "°C", "the oven")


@pytest.mark.parametrize("value", [50.0, 250.0, np.array([60.0, 70.0])])
def test_both_ends_are_inside(value):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        OVEN.warn(value)
    OVEN.require(value)


@pytest.mark.parametrize("value", [49.9, np.array([60.0, 300.0]), float("nan")])
def test_outside_warns_or_stops(value):
    with pytest.warns(OutOfRangeWarning):
        OVEN.warn(value)
    with pytest.raises(OutOfRangeError):
        OVEN.require(value)


def test_the_words_name_the_offender_and_what_is_allowed():
    with pytest.raises(OutOfRangeError) as caught:
        OVEN.require(np.array([60.0, 300.0]), "Turn it down")
    assert str(caught.value) == (
        "oven temperature 300 °C. Allowed: 50 to 250 °C (the oven). Turn it down."
    )


def test_the_warning_points_at_the_caller():
    def formula(value):
        OVEN.warn(value)

    with pytest.warns(OutOfRangeWarning) as caught:
        formula(20.0)
    assert caught[0].filename == __file__
