"""Right and wrong answers: exact arithmetic and the library beside it."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.models.tasting import binomial, criterion, discrimination, psychometric, sequential


def exact_least(trials, guess, alpha, sides=1):
    total, best = Fraction(0), None
    for correct in range(trials, -1, -1):
        total += math.comb(trials, correct) * guess**correct * (1 - guess) ** (trials - correct)
        if sides * total > alpha:
            return best
        best = correct
    return best


@pytest.mark.parametrize("sides", [1, 2])
@pytest.mark.parametrize("guess", [Fraction(1, 2), Fraction(1, 3)])
def test_critical_numbers_are_those_of_whole_numbers(guess, sides):
    for trials in range(1, 61):
        for alpha in (Fraction(1, 10), Fraction(1, 20), Fraction(1, 100)):
            found = binomial.least_correct(trials, float(guess), float(alpha), sides)
            assert found == exact_least(trials, guess, alpha, sides), (trials, alpha)


@given(st.integers(1, 80), st.integers(0, 80), st.floats(0.01, 0.99))
def test_tails_are_those_of_the_library(trials, correct, share):
    wanted = stats.binom.sf(correct - 1, trials, share)
    assert binomial.tail(correct, trials, share) == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize("correct", [0, 3, 7, 9])
def test_the_interval_is_the_library_s(correct):
    wanted = stats.binomtest(correct, 9).proportion_ci(0.9, method="exact")
    assert binomial.share_interval(correct, 9, 0.9) == pytest.approx((wanted.low, wanted.high))


@given(st.sampled_from(sorted(psychometric.PROTOCOLS)), st.floats(0.05, 4.0), st.floats(0.001, 2.0))
def test_farther_apart_is_told_more_often_and_read_back(protocol, dprime, more):
    share = psychometric.correct_share(protocol, dprime)
    assert psychometric.PROTOCOLS[protocol].guess < share < 1.0
    assert psychometric.correct_share(protocol, dprime + more) > share
    assert psychometric.distance(protocol, share) == pytest.approx(dprime, abs=1e-6)


def test_guessing_is_no_distance_and_all_right_has_no_end():
    assert psychometric.distance("odd one out", 0.2) == 0.0
    for protocol in psychometric.PROTOCOLS:
        found = discrimination.discriminate(protocol, 6, 6)
        assert found.dprime == found.dprime_high == math.inf
        assert 0.0 < found.dprime_low < math.inf
        assert math.isnan(found.dprime_se)


def test_with_two_sides_neither_arm_is_right():
    one = discrimination.discriminate("pair", 2, 8, sides=2)
    other = discrimination.discriminate("pair", 6, 8, sides=2)
    assert one.p_value == other.p_value == pytest.approx(stats.binomtest(2, 8).pvalue)
    assert one.dprime == -other.dprime < 0.0
    assert (one.dprime_low, one.dprime_high) == (-other.dprime_high, -other.dprime_low)


def test_shown_and_the_interval_never_disagree():
    for trials in range(5, 15):
        for correct in range(trials + 1):
            one = discrimination.discriminate("odd one out", correct, trials)
            assert one.shown == (one.low > 1.0 / 3.0)
            two = discrimination.discriminate("pair", correct, trials, sides=2)
            assert two.shown == (not two.low <= 0.5 <= two.high)


def test_power_is_a_saw_and_the_stable_number_lies_beyond_its_teeth():
    needed = discrimination.distance_trials_needed("odd one out", 0.9)
    at = [discrimination.distance_power("odd one out", 0.9, n) for n in (297, 300, 318)]
    assert at[0] >= 0.8 > at[1]
    assert needed is not None
    later = range(needed.stable, needed.stable + 120)
    assert all(discrimination.distance_power("odd one out", 0.9, n) >= 0.8 for n in later)
    assert discrimination.distance_power("odd one out", 0.9, needed.stable - 1) < 0.8


def test_what_cannot_be_seen_is_none():
    assert binomial.least_correct(4, 0.5, 0.05) is None
    assert binomial.smallest_share(4, 0.5, alpha=0.05, wanted=0.8) is None
    assert binomial.power(4, 0.5, 0.99, 0.05) == 0.0
    assert binomial.most_correct(3, 0.55, 0.05) is None
    assert binomial.trials_needed(0.5, 0.505, alpha=0.05, wanted=0.8) is None


@pytest.mark.parametrize(("correct", "trials"), [(3, 2), (-1, 4), (0, 0)])
def test_impossible_answers_are_refused(correct, trials):
    with pytest.raises(InputError, match="at least one answer"):
        discrimination.discriminate("pair", correct, trials)


def test_an_unknown_way_of_asking_is_refused():
    with pytest.raises(NotFoundError, match="pair"):
        psychometric.correct_share("pairs", 1.0)


def test_two_with_neither_is_even_where_the_votes_are():
    even = criterion.two_with_neither(3, 4, 3)
    assert even.dprime == pytest.approx(0.0)
    assert even.low == pytest.approx(-even.high, abs=1e-6)
    other = criterion.two_with_neither(6, 2, 2)
    one = criterion.two_with_neither(2, 2, 6)
    assert one.dprime == pytest.approx(-other.dprime)
    assert criterion.two_with_neither(0, 0, 6).dprime == math.inf


def test_fisher_is_the_library_s():
    found = criterion.is_it_this_one(7, 9, 2, 8)
    wanted = stats.fisher_exact([[7, 2], [2, 6]], alternative="greater").pvalue
    assert found.p_value == pytest.approx(wanted)
    assert found.low < found.dprime < found.high


@pytest.mark.parametrize(
    ("right", "verdict", "stopped"),
    [([True] * 9, "different", 7), ([False] * 9, "alike", 5), ([True, False] * 4, "go on", None)],
)
def test_one_pair_after_another(right, verdict, stopped):
    found = sequential.running(right, guess=0.5, share=0.7, alpha=0.1, beta=0.1)
    assert (found.verdict, found.stopped) == (verdict, stopped)
    assert (found.need == 0) == (verdict != "go on")
