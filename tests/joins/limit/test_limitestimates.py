"""Estimates are told in words that hold: nothing is given as 0.0 to 0.0."""

from __future__ import annotations

import pytest

from stallwise.joins.limit.limitestimates import _tenfold


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.0, 0.04, "less than a tenth of one tenfold step"),
        (0.0, 0.09, "less than a tenth of one tenfold step"),
        (0.02, 0.44, "up to 0.4 tenfold steps"),
        (1.24, 1.21 + 0.02, "about 1.2 tenfold steps"),
        (1.2, 3.1, "1.2 to 3.1 tenfold steps"),
        (13.0, 40.0, "more than 12 tenfold steps"),
    ],
)
def test_tenfold_steps_in_words(low: float, high: float, said: str) -> None:
    assert _tenfold(low, high) == said
