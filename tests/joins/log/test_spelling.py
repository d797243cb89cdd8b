"""Misspelt words: right where one word is near, left alone where two or none are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.joins.log.spelling import corrected, distance, near_words
from stallwise.joins.log.vocabulary import known_words


@pytest.mark.parametrize(
    ("left", "right", "slips"),
    [("wraped", "wrapped", 1), ("sprtiz", "spritz", 1), ("foyl", "foil", 1), ("rested", "rest", 2),
     ("fire", "fire", 0), ("kitten", "sitting", 3)],
)  # fmt: skip
def test_slips_are_counted(left, right, slips):
    assert distance(left, right, 3) == slips
    assert distance(left, right, 0) == min(slips, 1)


_TEXT = st.text("abcd", max_size=7)


@given(_TEXT, _TEXT)
def test_slips_are_the_same_both_ways(left, right):
    assert distance(left, right, 9) == distance(right, left, 9)
    assert (distance(left, right, 9) == 0) == (left == right)


@pytest.mark.parametrize("word", ["fine", "held", "rested", "seared", "nwrapped", "dog", "stall"])
def test_a_word_of_its_own_is_no_slip(word):
    assert corrected([word]) == ()


def test_a_known_word_is_never_changed():
    assert corrected(sorted(known_words())) == ()
    assert near_words("wrapped") == ()
