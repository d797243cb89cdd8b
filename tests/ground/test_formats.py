"""Quantities for people: what is small is never shown as nothing."""

from __future__ import annotations

import pytest

from stallwise.ground.formats import format_depth


@pytest.mark.parametrize(
    ("depth_m", "metric", "us"),
    [
        (0.009, "9 mm", "3/8 in"),
        (0.0004, "under 1 mm", "under 1/8 in"),
        (0.0014, "1 mm", "under 1/8 in"),
        (0.0, "0 mm", "0 in"),
    ],
)
def test_a_film_in_the_pan_is_never_no_depth(depth_m, metric, us):
    assert (format_depth(depth_m, "metric"), format_depth(depth_m, "us")) == (metric, us)
