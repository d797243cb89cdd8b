"""Readings left out of a log, for tests that less said never says more."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st


def keep(data, many):
    """Which of so many readings stay: any of them, or all but a stretch."""
    if data.draw(st.booleans()):
        return np.array(
            data.draw(st.lists(st.booleans(), min_size=many, max_size=many)), dtype=bool
        )
    first, last = sorted(data.draw(st.tuples(*[st.integers(0, many)] * 2)))
    kept = np.ones(many, dtype=bool)
    kept[first:last] = False
    return kept


def stretches(many):
    """Every stretch of so many readings that can be left out, as what stays."""
    for first in range(many):
        for last in range(first + 1, many + 1):
            kept = np.ones(many, dtype=bool)
            kept[first:last] = False
            yield kept
