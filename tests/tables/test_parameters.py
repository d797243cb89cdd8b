"""Parameters: every row readable, sourced, and drawn as its distribution says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stallwise.ground.errors import NotFoundError
from stallwise.ground.references import GRADES, cited
from stallwise.tables.parameters import parameter, parameters

EVERY = sorted(parameters())
SPREAD = [key for key in EVERY if parameters()[key].distribution not in {"fixed", "range"}]


@pytest.mark.parametrize("key", EVERY)
def test_every_row_says_where_it_comes_from(key):
    one = parameter(key)
    assert cited(one.source)
    assert one.grade in GRADES
    assert one.unit
    assert one.distribution == "range" or math.isfinite(one.value)


@pytest.mark.parametrize("key", SPREAD)
def test_draws_keep_to_their_ends_and_their_middle(key):
    one = parameter(key)
    drawn = one.draw(1, 400, "piece", "A")
    assert np.all((drawn >= one.low) & (drawn <= one.high))
    assert len(np.unique(drawn)) > 300
    if one.distribution in {"normal", "lognormal", "uniform"}:
        middle = (one.low + one.high) / 2.0 if one.distribution == "uniform" else one.value
        assert np.median(drawn) == pytest.approx(middle, rel=0.01, abs=0.05 * one.spread)
    if one.distribution == "lognormal":
        assert np.std(np.log(drawn / one.value)) == pytest.approx(one.spread, rel=0.06)
    if one.distribution == "normal":
        assert np.std(drawn) == pytest.approx(one.spread, rel=0.06)


def test_a_triangle_has_its_corner_where_it_is_most_likely():
    one = parameter("wrap.paper.wet")
    at = one.quantile(np.array([1e-12, (0.6 - 0.35) / (0.9 - 0.35), 1.0 - 1e-12]))
    assert at == pytest.approx([0.35, 0.6, 0.9], abs=1e-5)
    assert one.draw(3, 2000, "x").mean() == pytest.approx((0.35 + 0.6 + 0.9) / 3.0, abs=1e-3)


def test_a_draw_belongs_to_its_seed_its_owner_and_its_key():
    one = parameter("meat.thickness")
    first = one.draw(1, 50, "piece", "A")
    assert np.array_equal(first, one.draw(1, 50, "piece", "A"))
    for other in (one.draw(2, 50, "piece", "A"), one.draw(1, 50, "piece", "B")):
        assert not np.array_equal(first, other)
    conductivity = parameter("meat.conductivity").draw(1, 2000, "piece", "A")
    thickness = one.draw(1, 2000, "piece", "A")
    assert abs(np.corrcoef(thickness, conductivity)[0, 1]) < 0.08


def test_a_misspelt_key_is_offered_the_nearest():
    with pytest.raises(NotFoundError, match=r"meat\.thickness"):
        parameter("meat.thicknes")
