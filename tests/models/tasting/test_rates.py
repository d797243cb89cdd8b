"""What the tests say of themselves holds: false alarms of small panels, intervals that cover."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.models.tasting import (
    binomial,
    criterion,
    discrimination,
    ranking,
    scores,
    sequential,
    strengths,
)

PANELS = (4, 6, 8)
RUNS = 4000
ALPHA = 0.05


def rate(fires, runs=RUNS):
    """Share of runs in which it fires, and three standard errors of that share at ALPHA."""
    return np.mean(fires), 3.0 * (ALPHA * (1.0 - ALPHA) / runs) ** 0.5


@pytest.mark.parametrize("tasters", PANELS)
def test_the_mean_of_tasters_fires_at_its_rate_whatever_the_repeats(tasters):
    # Tasters lean one way or the other by themselves and eat three bites of each arm.
    draw = np.random.default_rng(tasters)
    own = draw.normal(0.0, 1.0, (RUNS, tasters, 1))
    bites = draw.normal(0.0, 1.5, (RUNS, tasters, 3))
    fired = [scores.paired_mean(one).p_value <= ALPHA for one in (own + bites).mean(axis=2)]
    found, margin = rate(fired)
    assert abs(found - ALPHA) <= margin


@pytest.mark.parametrize("tasters", PANELS)
@pytest.mark.parametrize("ties", [False, True])
def test_signed_ranks_never_fire_more_often_than_they_say(tasters, ties):
    draw = np.random.default_rng(10 + tasters)
    values = draw.normal(0.0, 1.5, (1500, tasters))
    values = np.round(values) if ties else values
    found, margin = rate([scores.signed_rank(one)[1] <= ALPHA for one in values], 1500)
    assert found <= ALPHA + margin


@pytest.mark.parametrize("tasters", PANELS)
@pytest.mark.parametrize(
    ("protocol", "sides"),
    [("pair", 1), ("pair", 2), ("odd one out", 1), ("two pairs", 1), ("match the first", 1)],
)
def test_guessing_is_taken_for_a_difference_as_often_as_it_says(tasters, protocol, sides):
    draw = np.random.default_rng(20 + tasters)
    guess = discrimination.PROTOCOLS[protocol].guess
    right = draw.binomial(tasters, guess, RUNS)
    shown = {
        n: discrimination.discriminate(protocol, n, tasters, sides=sides).shown
        for n in range(tasters + 1)
    }
    found, margin = rate([shown[int(n)] for n in right])
    least = binomial.least_correct(tasters, guess, ALPHA, sides)
    says = 0.0 if least is None else sides * binomial.tail(least, tasters, guess)
    assert found <= ALPHA + margin
    assert abs(found - says) <= margin


@pytest.mark.parametrize("tasters", PANELS)
@pytest.mark.parametrize("arms", [3, 4])
def test_orders_drawn_at_random_agree_as_often_as_friedman_says(tasters, arms):
    draw = np.random.default_rng(30 + tasters)
    runs = 300
    fired, trend = [], []
    for _ in range(runs):
        rows = [draw.permutation(arms) + 1.0 for _ in range(tasters)]
        fired.append(ranking.friedman(rows).p_value <= ALPHA)
        trend.append(ranking.page(rows).p_value <= ALPHA)
    margin = 3.0 * (ALPHA * (1.0 - ALPHA) / runs) ** 0.5
    assert np.mean(fired) <= ALPHA + margin
    assert np.mean(trend) <= ALPHA + margin


@pytest.mark.parametrize("tasters", PANELS)
def test_same_or_different_does_not_fire_on_nothing(tasters):
    draw = np.random.default_rng(40 + tasters)
    fired = [
        criterion.same_or_different(int(a), tasters - int(a), int(b), tasters - int(b)).p_value
        <= ALPHA
        for a, b in draw.binomial(tasters, 0.6, (300, 2))
    ]
    assert np.mean(fired) <= ALPHA + 3.0 * (ALPHA * (1.0 - ALPHA) / 300) ** 0.5


@pytest.mark.parametrize("tasters", PANELS)
@pytest.mark.parametrize("true", [0.5, 0.65, 0.8, 0.95])
def test_intervals_on_shares_cover(tasters, true):
    # Exactly: every count with its chance.
    held = 0.0
    for correct in range(tasters + 1):
        low, high = binomial.share_interval(correct, tasters, 0.9)
        chance = binomial.tail(correct, tasters, true) - binomial.tail(correct + 1, tasters, true)
        held += chance * (low <= true <= high)
    assert held >= 0.9 - 1e-9


@pytest.mark.parametrize("tasters", PANELS)
def test_intervals_on_means_cover(tasters):
    draw = np.random.default_rng(50 + tasters)
    found = [scores.paired_mean(one) for one in draw.normal(0.7, 1.5, (RUNS, tasters))]
    held = np.mean([one.low <= 0.7 <= one.high for one in found])
    assert abs(held - 0.95) <= 3.0 * (0.95 * 0.05 / RUNS) ** 0.5


def test_what_is_called_visible_is_found_four_times_in_five():
    draw = np.random.default_rng(60)
    for tasters in PANELS:
        size = scores.smallest_difference(tasters, 1.5)
        found = [
            scores.paired_mean(one).p_value <= ALPHA
            for one in draw.normal(size, 1.5, (2000, tasters))
        ]
        assert abs(np.mean(found) - 0.8) <= 3.0 * (0.8 * 0.2 / 2000) ** 0.5


@pytest.mark.parametrize("each", [2, 3])
def test_orders_of_some_of_many_arms_do_not_fire_on_nothing(each):
    draw = np.random.default_rng(70 + each)
    runs = 200
    fired = [
        strengths.spread_p(
            [tuple(map(int, draw.permutation(5)[:each])) for _ in range(12)], 5, run, draws=500
        )
        <= ALPHA
        for run in range(runs)
    ]
    assert np.mean(fired) <= ALPHA + 3.0 * (ALPHA * (1.0 - ALPHA) / runs) ** 0.5


@pytest.mark.parametrize(("share", "wrong"), [(0.5, "different"), (0.7, "alike")])
def test_pairs_over_weekends_are_wrong_as_seldom_as_set(share, wrong):
    draw = np.random.default_rng(80)
    found = [
        sequential.running(list(row), guess=0.5, share=0.7, alpha=0.1, beta=0.1).verdict
        for row in draw.random((2000, 120)) < share
    ]
    # Wald's bounds hold but for the last step, which only makes them kinder.
    assert np.mean([one == wrong for one in found]) <= 0.1 + 3.0 * (0.1 * 0.9 / 2000) ** 0.5
    assert found.count("go on") < 40
