"""Draws that stay where they are, and quantiles when some members never arrive."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.ensemble import (
    lognormal_factor,
    normals,
    quantiles,
    share_reached,
    stream,
)
from stallwise.ground.errors import InputError, OutOfRangeError

INF = float("inf")


def test_the_same_in_every_session_and_on_every_machine():
    # Written down once: a change of numpy or of the key would move every kept forecast.
    assert stream(7, "piece A", "thickness").bit_generator.random_raw(2).tolist() == [
        8446030383426925742,
        10705988401579710478,
    ]
    assert normals(7, 2, "piece A", "thickness") == pytest.approx([1.2396373, 0.38649966])


def test_order_of_drawing_does_not_matter():
    first = normals(1, 50, "a"), normals(1, 50, "b")
    second = normals(1, 50, "b"), normals(1, 50, "a")
    np.testing.assert_array_equal(first[0], second[1])
    np.testing.assert_array_equal(first[1], second[0])


def test_more_members_leave_the_first_ones():
    np.testing.assert_array_equal(normals(1, 400, "a")[:200], normals(1, 200, "a"))


@pytest.mark.parametrize(
    "other", [(2, "a", "b"), (1, "a", "c"), (1, "ab"), (1, "b", "a"), (1, "a")]
)
def test_another_name_or_seed_is_another_stream(other):
    mine, theirs = normals(1, 4000, "a", "b"), normals(other[0], 4000, *other[1:])
    assert abs(np.corrcoef(mine, theirs)[0, 1]) < 0.06


def test_the_draws_are_what_they_say():
    z = normals(3, 40_000, "z")
    assert z.mean() == pytest.approx(0.0, abs=0.02)
    assert z.std() == pytest.approx(1.0, abs=0.02)
    assert np.median(lognormal_factor(0.3, z)) == pytest.approx(1.0, abs=0.01)
    assert np.log(lognormal_factor(0.3, z)).std() == pytest.approx(0.3, abs=0.01)


@pytest.mark.parametrize("bad", [(1,), (1.5, "a"), (True, "a")])
def test_a_stream_needs_a_whole_seed_and_a_name(bad):
    with pytest.raises(InputError):
        stream(*bad)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=40))
def test_equal_weights_are_numpys_hazen(values):
    wanted = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]
    expected = np.quantile(values, wanted, method="hazen")
    scale = 1.0 + np.max(np.abs(values))
    np.testing.assert_allclose(quantiles(values, wanted), expected, atol=1e-9 * scale)


def test_a_heavy_member_stands_in_the_middle_of_its_weight():
    # Stretches of probability 0 to 0.2, 0.2 to 0.8, 0.8 to 1, so middles at 0.1, 0.5 and 0.9.
    values, weights = [30.0, 10.0, 20.0], [1.0, 1.0, 3.0]
    got = quantiles(values, [0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99], weights)
    assert got == pytest.approx([10.0, 10.0, 15.0, 20.0, 25.0, 30.0, 30.0])


@given(st.lists(st.floats(0.1, 5.0), min_size=3, max_size=30))
def test_only_the_ratio_of_weights_counts(weights):
    values, weights = np.arange(len(weights), dtype=float), np.array(weights)
    wanted = [0.1, 0.5, 0.9]
    np.testing.assert_allclose(
        quantiles(values, wanted, weights), quantiles(values, wanted, 7.0 * weights), atol=1e-9
    )


def test_what_is_not_reached_is_infinite():
    values = [1.0, 2.0, 3.0, INF]
    assert share_reached(values) == 0.75
    assert quantiles(values, [0.1, 0.5, 0.75, 0.76, 0.95]).tolist() == [1.0, 2.5, 3.0, INF, INF]


def test_weights_decide_what_is_reached():
    values, weights = [1.0, INF, 2.0], [3.0, 1.0, 0.0]
    assert share_reached(values, weights) == 0.75
    assert quantiles(values, [0.5, 0.74, 0.8], weights).tolist() == [1.0, 1.0, INF]


def test_nobody_arrives():
    assert quantiles([INF, INF], [0.1, 0.9]).tolist() == [INF, INF]
    assert share_reached([INF, INF]) == 0.0


def test_a_trace_has_quantiles_at_each_time():
    values = np.random.default_rng(1).normal(size=(200, 30))
    values[:50, 20:] = INF
    out = quantiles(values, [0.1, 0.5, 0.9])
    assert out.shape == (3, 30)
    np.testing.assert_allclose(out[:, 3], quantiles(values[:, 3], [0.1, 0.5, 0.9]))
    assert np.isinf(out[2, 20:]).all()
    assert share_reached(values) == pytest.approx([1.0] * 20 + [0.75] * 10)


@pytest.mark.parametrize(
    ("values", "weights"),
    [
        ([], None),
        ([np.nan], None),
        ([-INF], None),
        ([1.0], [0.0]),
        ([1.0], [-1.0]),
        ([1.0], [1.0, 2.0]),
    ],
)
def test_what_makes_no_sense_is_refused(values, weights):
    with pytest.raises(InputError):
        quantiles(values, [0.5], weights)


def test_a_probability_is_a_share():
    with pytest.raises(OutOfRangeError, match="probability 50"):
        quantiles([1.0], [50.0])
