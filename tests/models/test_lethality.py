"""Estimates: lethality is credited carefully, growth comes as a span."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.models.growth import growth_rate_log10_h, growth_span_log10
from stallwise.models.lethality import credited_log10
from stallwise.tables.bacteria import organism, organisms
from stallwise.tables.limits import figure

ONE = organism("salmonella")


def test_nothing_colder_than_the_tables_is_credited():
    line = figure("lethal-from").si
    times = np.array([0.0, 36_000.0])
    known = np.array([True])
    assert credited_log10(times, np.array([line - 0.01, line - 0.01]), known, ONE) == 0.0
    # One cold neighbour is enough to credit nothing between.
    assert credited_log10(times, np.array([line - 0.01, 90.0]), known, ONE) == 0.0
    assert credited_log10(times, np.array([line, line]), known, ONE) > 30.0
    assert credited_log10(times, np.array([line, line]), ~known, ONE) == 0.0


def test_the_estimate_of_a_table_row_is_what_the_row_is_for():
    row = (np.array([0.0, 6720.0]), np.full(2, figure("lethal-from").si), np.array([True]))
    assert credited_log10(*row, ONE) == pytest.approx(6.51, abs=0.01)


def test_every_organism_has_its_source():
    assert {one.grade for one in organisms().values()} == {"published"}


def test_growth_is_a_span_and_slower_cooling_grows_more():
    cold = (57.2, 40.0, 21.1, 5.0)
    low, high = growth_span_log10("pork", (0.0, 3600.0, 7200.0, 21_600.0), cold)
    slow_low, slow_high = growth_span_log10("pork", (0.0, 7200.0, 14_400.0, 43_200.0), cold)
    assert 0.0 < low < high
    assert slow_low > low
    assert slow_high > high
    assert growth_span_log10("beef", (0.0,), (30.0,)) == (0.0, 0.0)


def test_nothing_grows_outside_its_range():
    assert float(growth_rate_log10_h("beef", -5.0)) == 0.0
    assert float(growth_rate_log10_h("beef", 80.0)) == 0.0
