"""Estimates: lethality is credited carefully, growth comes as a span."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.models.growth import growth_rate_log10_h, growth_span_log10
from stallwise.models.lethality import credited_log10
from stallwise.tables.bacteria import organisms, organisms_in
from stallwise.tables.limits import figure

ONE = organisms()["salmonella"]


def test_nothing_colder_than_the_tables_is_credited():
    line = figure("lethal-from").si
    times = np.array([0.0, 36_000.0])
    known = np.array([True])
    assert credited_log10(times, np.array([line - 0.01, line - 0.01]), known, ONE) == (0.0, 0.0)
    # One cold neighbour is enough to credit nothing between.
    assert credited_log10(times, np.array([line - 0.01, 90.0]), known, ONE) == (0.0, 0.0)
    assert credited_log10(times, np.array([line, line]), known, ONE)[0] > 30.0
    assert credited_log10(times, np.array([line, line]), ~known, ONE) == (0.0, 0.0)


def test_the_estimate_of_a_table_row_is_what_the_row_is_for():
    row = (np.array([0.0, 6720.0]), np.full(2, figure("lethal-from").si), np.array([True]))
    assert credited_log10(*row, ONE) == pytest.approx((6.51, 6.51), abs=0.01)


def test_a_climb_is_worth_what_lies_between_its_colder_end_and_an_even_line():
    times, climb = np.array([0.0, 600.0]), np.array([60.0, 62.0])
    least, most = credited_log10(times, climb, np.array([True]), ONE)
    cold, _ = credited_log10(times, np.full(2, 60.0), np.array([True]), ONE)
    hot, _ = credited_log10(times, np.full(2, 62.0), np.array([True]), ONE)
    assert least == cold
    assert cold < most < hot


@pytest.mark.parametrize("food", ["whole", "ground", "poultry"])
def test_each_kind_of_food_has_bacteria_of_its_own(food):
    names = {one.name.split()[0] for one in organisms_in(food)}
    assert {"Salmonella", "Listeria"} <= names
    assert ("E." in names) == (food == "ground")


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
