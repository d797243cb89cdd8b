"""Ranks, scores and strengths: the library beside it, and what must not change a result."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stallwise.ground.errors import InputError, WorkError
from stallwise.models.tasting import justright, ranking, replicates, scores, strengths

OPINION = {"prior_spread": 1.0, "near": 0.5, "usual": 1.5, "worth": 3.0}

differences = st.lists(st.integers(-4, 4), min_size=2, max_size=9).filter(any)


@given(differences)
def test_signed_ranks_with_ties_count_every_way_the_signs_fall(given_differences):
    values = np.array([d for d in given_differences if d])
    ranks = stats.rankdata(np.abs(values))
    seen = ranks[values > 0].sum()
    ways = [
        sum(rank for bit, rank in enumerate(ranks) if way >> bit & 1)
        for way in range(2 ** len(ranks))
    ]
    above = np.mean([one >= seen - 1e-9 for one in ways])
    below = np.mean([one <= seen + 1e-9 for one in ways])
    found, p_value = scores.signed_rank([d / 10 for d in given_differences])
    assert found == seen
    assert p_value == pytest.approx(min(1.0, 2 * min(above, below)))


@given(st.lists(st.floats(-4, 4), min_size=2, max_size=12).filter(lambda d: np.ptp(d) > 0.01))
def test_the_mean_is_the_library_s(values):
    found = scores.paired_mean(values)
    wanted = stats.ttest_1samp(values, 0.0)
    assert found.p_value == pytest.approx(wanted.pvalue)
    ends = wanted.confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((ends.low, ends.high))


def test_tasters_who_all_differ_alike_have_no_spread():
    alike, none = scores.paired_mean([1.0, 1.0, 1.0]), scores.paired_mean([0.0, 0.0])
    assert (alike.t, alike.p_value, alike.low) == (math.inf, 0.0, 1.0)
    assert (none.t, none.p_value) == (0.0, 1.0)
    with pytest.raises(InputError, match="two tasters or more"):
        scores.paired_mean([1.0])


@given(differences)
def test_turning_the_arms_round_turns_the_opinion_round(values):
    one = scores.posterior(values, **OPINION)
    other = scores.posterior([-d for d in values], **OPINION)
    assert one.better == pytest.approx(1.0 - other.better, abs=1e-6)
    assert one.small == pytest.approx(other.small, abs=1e-6)
    assert one.low < one.mean < one.high


def test_two_of_one_mind_are_no_proof():
    found = scores.posterior([2.0, 2.0], **OPINION)
    assert 0.8 < found.better < 0.97
    assert scores.likely_spread([2.0, 2.0], usual=1.5, worth=3.0) == pytest.approx(1.3, abs=0.01)
    many = [1.0, -1.0] * 50
    assert scores.likely_spread(many, usual=1.5, worth=3.0) == pytest.approx(1.02, abs=0.01)


@pytest.mark.parametrize("tasters", [3, 5])
def test_an_exact_friedman_counts_every_order(tasters):
    # Three arms, a tie for one taster: all 6**n (3 for the tied one) ways by hand.
    import itertools

    rows = [[1.0, 2.0, 3.0]] * (tasters - 1) + [[1.5, 1.5, 3.0]]
    ways = [sorted(set(itertools.permutations(row))) for row in rows]
    seen = np.sum(np.sum(rows, axis=0) ** 2)
    sums = [np.sum(np.sum(one, axis=0) ** 2) for one in itertools.product(*ways)]
    found = ranking.friedman(rows)
    assert found.exact
    assert found.p_value == pytest.approx(np.mean(np.array(sums) >= seen - 1e-9))


def test_friedman_is_the_library_s_where_it_is_not_exact():
    draw = np.random.default_rng(4)
    rows = [stats.rankdata(draw.integers(1, 5, 7)) for _ in range(12)]
    found = ranking.friedman(rows)
    wanted = stats.friedmanchisquare(*np.array(rows).T)
    assert not found.exact
    assert found.statistic == pytest.approx(wanted.statistic)
    assert found.p_value == pytest.approx(wanted.pvalue)


def test_page_is_the_library_s_without_ties():
    draw = np.random.default_rng(5)
    rows = [draw.permutation(4) + 1.0 for _ in range(7)]
    wanted = stats.page_trend_test(rows, method="exact", ranked=True)
    found = ranking.page(rows)
    assert (found.statistic, found.p_value) == pytest.approx((wanted.statistic, wanted.pvalue))


def test_all_ties_agree_on_nothing():
    found = ranking.friedman([[2.0, 2.0, 2.0]] * 4)
    assert math.isnan(found.statistic)
    assert found.p_value == 1.0


@pytest.mark.parametrize("rows", [[[1, 2, 4]], [[1, 2, 3], [1, 2]], [[1], [1]], [[0, 1, 2]]])
def test_ranks_that_skip_are_refused(rows):
    with pytest.raises(InputError):
        ranking.friedman(rows)


def test_penalties_compare_with_those_who_said_right():
    codes = [-1] * 5 + [0] * 5 + [2] * 2
    liking = [5, 4, 6, 5, 5, 8, 7, 7, 8, 7, 6, math.nan]
    found = justright.penalties(codes, liking)
    assert (found.right, found.liking) == (5, pytest.approx(7.4))
    assert found.little.drop == pytest.approx(2.4)
    assert found.little.penalty == pytest.approx(2.4 * 5 / 12)
    wanted = stats.ttest_ind(liking[:5], liking[5:10], equal_var=False).pvalue
    assert found.little.p_value == pytest.approx(wanted)
    assert (found.much.count, found.much.liking, found.much.p_value) == (2, 6.0, None)


def test_penalties_refuse_what_is_out_of_scale():
    with pytest.raises(InputError, match="-2 to 2"):
        justright.penalties([3, 0], [5.0, 6.0])
    with pytest.raises(InputError, match="one liking an answer"):
        justright.penalties([0], [])


def test_an_arm_that_wins_everything_needs_an_opinion_from_before():
    with pytest.raises(WorkError, match="won or lost everything"):
        strengths.strengths([[0, 3], [0, 0]], prior_spread=None)
    found = strengths.strengths([[0, 3], [0, 0]], prior_spread=1.0)
    assert found.logits[0] == -found.logits[1] > 0.0
    assert 0.5 < found.wins[0] < 1.0


def test_more_votes_leave_less_to_the_opinion():
    few = strengths.strengths([[0, 3], [1, 0]], prior_spread=1.0)
    many = strengths.strengths([[0, 30], [10, 0]], prior_spread=1.0)
    assert few.logits[0] < many.logits[0] < 0.5 * math.log(3.0)
    assert many.errors[0] < few.errors[0]


@given(st.integers(2, 8), st.integers(2, 6), st.floats(0.0, 1.0))
def test_repeats_are_worth_between_one_and_all(tasters, each, gamma):
    worth = replicates.worth_of_repeats(tasters, each, gamma)
    assert tasters - 1e-9 <= worth <= tasters * each + 1e-9


@pytest.mark.parametrize("guess", [None, 1 / 3])
@pytest.mark.filterwarnings("error")
def test_tasters_who_all_guess_are_not_alike_beyond_that(guess):
    found = replicates.alike([1, 2, 1, 1, 2, 1, 1, 2, 1, 1], 4, guess=guess)
    assert found.gamma < 0.01
    assert 0.0 <= found.overdispersion < 0.1


def test_alike_answers_show_in_repeats_only():
    with pytest.raises(InputError, match="repeats only"):
        replicates.alike([1, 0], 1)
    same = replicates.alike([0, 0, 0, 4, 4, 4, 0, 4], 4)
    assert same.gamma > 0.9
    assert replicates.false_alarm_if_pooled(4, 6, 1.0) > 0.1
