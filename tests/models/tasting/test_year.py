"""Over many cooks: what is pulled, who is lenient, what a look at many things invents."""

from __future__ import annotations

import numpy as np
import pytest

from stallwise.ground.errors import InputError
from stallwise.models.tasting import year


def test_doubtful_results_are_pulled_and_sure_ones_stay():
    found = year.pooled([4.0, 0.0, 0.2, -0.2], [3.0, 0.2, 0.2, 0.2])
    assert abs(found.means[0]) < 1.0
    assert found.means[1] == pytest.approx(0.0, abs=0.1)
    assert found.errors[0] < 3.0
    one = year.pooled([1.0], [0.5])
    assert (one.mean, one.error, one.better) == pytest.approx((1.0, 0.5, 0.977), abs=1e-3)


def test_eight_schools_come_out_as_computed():
    found = year.pooled([28, 8, -3, 7, -1, 1, 18, 12], [15, 10, 16, 11, 9, 11, 10, 18])
    assert found.means == pytest.approx([11.4, 7.9, 6.1, 7.6, 5.1, 6.1, 10.7, 8.5], abs=0.06)


def test_a_harsh_taster_does_not_make_a_poor_cook():
    # T1 gives two points less than T2; the second cook was judged by T1 alone.
    tasters = ["T1", "T2"] * 3 + ["T1"] * 3
    cooks = ["one"] * 6 + ["two"] * 3
    scores = [5.0, 7.0, 5.2, 7.1, 4.9, 6.9, 5.0, 5.1, 5.2]
    lenient, by_cook = year.leniency(tasters, cooks, scores, prior_spread=1.0)
    assert lenient["T2"] - lenient["T1"] == pytest.approx(2.0, abs=0.3)
    assert by_cook["two"][0] == pytest.approx(by_cook["one"][0], abs=0.3)
    assert by_cook["two"][1] > by_cook["one"][1]


def test_nothing_noticed_in_noise_is_believed():
    draw = np.random.default_rng(8)
    best = []
    for _ in range(100):
        found = year.noticed(
            "abcdefghij", draw.normal(size=(20, 10)), draw.normal(size=20), prior=0.5
        )
        best.append(min(one.by_chance for one in found))
    # One look in twenty, as it says.
    assert np.mean(np.array(best) <= 0.05) <= 0.05 + 3 * (0.05 * 0.95 / 100) ** 0.5


def test_what_changed_together_is_told_apart_from_what_did_not():
    draw = np.random.default_rng(9)
    wood = draw.normal(size=20)
    inputs = np.column_stack([wood, wood + 0.1 * draw.normal(size=20), draw.normal(size=20)])
    found = year.noticed(["wood", "rub", "weather"], inputs, wood + draw.normal(size=20), prior=0.5)
    assert [one.mixed_up > 5.0 for one in found] == [True, True, False]
    assert all(0.5 <= one.sign_right <= 1.0 for one in found)
    still = np.column_stack([wood, np.ones(20)])
    assert [one.name for one in year.noticed(["wood", "never"], still, wood, prior=0.5)] == ["wood"]


def test_three_cooks_notice_nothing():
    with pytest.raises(InputError, match="four cooks"):
        year.noticed(["a"], [[1], [2], [3]], [1, 2, 3], prior=0.5)
    with pytest.raises(InputError, match="one error"):
        year.pooled([1.0], [0.0])


def test_many_looks_let_fewer_stand():
    assert year.discoveries([0.01, 0.04, 0.03, 0.005]) == 4
    assert year.discoveries([0.01] + [0.5] * 19) == 0
    assert year.discoveries([]) == 0
