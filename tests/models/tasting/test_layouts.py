"""Bones and plates: place kept apart from arm, orders that favour nobody."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.models.tasting import layouts, serving


@pytest.mark.parametrize("kind", sorted(layouts.LAYOUTS))
@pytest.mark.parametrize("bones", [(12, 12), (10, 11), (6, 6)])
def test_every_bone_gets_an_arm_and_no_arm_is_forgotten(kind, bones):
    racks = layouts.lay(kind, bones, 2, seed=3)
    assert tuple(map(len, racks)) == bones
    counts = Counter(arm for rack in racks for arm in rack)
    assert set(counts) == {0, 1}
    assert abs(counts[0] - counts[1]) <= 2


@pytest.mark.parametrize("kind", sorted(layouts.LAYOUTS))
@pytest.mark.parametrize("arms", [2, 3])
def test_a_later_rack_changes_nothing_of_those_before(kind, arms):
    few = layouts.lay(kind, (12, 12, 12), arms, seed=4)
    many = layouts.lay(kind, (12, 12, 12, 10, 12, 11), arms, seed=4)
    assert many[:3] == few


def test_racks_of_one_arm_come_the_other_way_round():
    racks = layouts.lay("rack by rack", (12,) * 4, 2, seed=1)
    assert [rack[0] for rack in racks[2:]] == [rack[0] for rack in racks[:2]][::-1]


def test_two_racks_crossed_over_keep_place_and_arm_apart():
    crossed = layouts.mixed_up(layouts.lay("crossed over", (12, 12), 2))
    assert (crossed.linear, crossed.rack) == (pytest.approx(0.0), pytest.approx(0.0))
    halves = layouts.mixed_up(layouts.lay("half and half", (12,), 2))
    assert halves.linear == pytest.approx(3.0 * 12**2 / (4.0 * (12**2 - 1.0)))
    assert halves.bones_apart == 6.0
    by_rack = layouts.mixed_up(layouts.lay("rack by rack", (12, 12), 2))
    assert by_rack.rack == pytest.approx(1.0)


@given(st.integers(6, 13), st.integers(1, 40))
def test_chance_stays_within_its_bound(bones, seed):
    racks = layouts.lay("by chance", (bones,), 2, seed=seed)
    assert layouts.mixed_up(racks).linear < 0.1
    assert racks == layouts.lay("by chance", (bones,), 2, seed=seed)


@pytest.mark.parametrize(
    ("kind", "bones", "words"),
    [
        ("crossed over", (12,), "second rack"),
        ("rack by rack", (12,), "2 racks"),
        ("by chance", (), "two arms"),
    ],
)
def test_too_few_bones_are_refused(kind, bones, words):
    with pytest.raises(InputError, match=words):
        layouts.lay(kind, bones, 2)


def test_what_cannot_be_laid_or_compared_is_refused():
    with pytest.raises(NotFoundError, match="every other"):
        layouts.lay("every othr", (12,), 2)
    with pytest.raises(InputError, match="compares with nothing"):
        layouts.mixed_up([(0, 0, 0)])


@pytest.mark.parametrize("arms", range(2, 8))
def test_williams_orders_favour_nobody(arms):
    rows = serving.williams(arms)
    assert len(rows) == (arms if arms % 2 == 0 else 2 * arms)
    assert serving.spread_of_followers(rows) == 0
    for place in range(arms):
        assert set(Counter(row[place] for row in rows).values()) == {len(rows) // arms}


@given(st.integers(1, 9), st.integers(2, 5), st.integers(1, 99))
def test_tasters_begin_as_evenly_as_can_be(tasters, arms, seed):
    rows = serving.orders(tasters, arms, seed)
    assert len(rows) == tasters
    assert all(sorted(row) == list(range(arms)) for row in rows)
    whole = len(serving.williams(arms))
    if tasters % whole == 0:
        assert serving.spread_of_followers(rows) == 0


def test_codes_say_nothing():
    every = serving.codes(633, 1)
    assert len(set(every)) == 633
    assert not {"123", "321", "112", "789"} & set(every)
    with pytest.raises(InputError, match="633"):
        serving.codes(634, 1)


def test_no_code_comes_twice():
    sets = [[[0, 1], [1, 0]]] * 8
    plates = serving.served(8, sets, 5)
    assert len({plate.code for plate in plates}) == len(plates) == 32
    assert [plate.arm for plate in plates if plate.taster == 3] == [0, 1, 1, 0]
    many = serving.served(60, [[[0, 1, 2, 0, 1, 2]] * 2] * 60, 5)
    for taster in (1, 60):
        own = [plate.code for plate in many if plate.taster == taster]
        assert len(own) == len(set(own)) == 12
