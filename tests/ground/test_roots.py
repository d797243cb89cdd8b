"""Roots for numbers and arrays at once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError
from stallwise.ground.roots import bracketed_root


@given(st.floats(-50.0, 50.0), st.sampled_from([1.0, -1.0]))
def test_rising_and_falling_alike(root, sign):
    found = bracketed_root(lambda x: sign * np.expm1(x - root), -60.0, 60.0)
    assert found == pytest.approx(root, abs=1e-12)


def test_each_member_has_its_own():
    wanted = np.array([[1.0, 2.0], [3.0, 4.0]])
    found = bracketed_root(lambda x: x**2 - wanted, np.zeros(2), 5.0)
    np.testing.assert_allclose(found, np.sqrt(wanted), rtol=1e-14)


@pytest.mark.parametrize("root", [0.0, 1.0])
def test_a_root_at_an_end(root):
    assert bracketed_root(lambda x: x - root, 0.0, 1.0) == pytest.approx(root, abs=1e-15)


def test_no_root_is_an_error_not_a_number():
    with pytest.raises(OutOfRangeError, match="no meaning between 0 and 1"):
        bracketed_root(lambda x: x + 1.0, 0.0, 1.0, wanted="meaning")
    with pytest.raises(OutOfRangeError):
        bracketed_root(lambda x: x * np.nan, -1.0, 1.0)
