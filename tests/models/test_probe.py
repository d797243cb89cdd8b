"""What a probe off the core reads."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError
from stallwise.models.probe import reading_c
from tests.series import series_temperature

SHARES = np.linspace(0.0, 1.0, 21)
warm = st.floats(0.0, 60.0)


@pytest.mark.parametrize(("biot", "fourier"), [(0.5, 0.3), (1.0, 0.2), (2.0, 0.5), (5.0, 0.2)])
@pytest.mark.parametrize("shape", [1.0, 1.69, 2.0, 3.0])
def test_it_follows_the_exact_series_through_a_body_being_heated(shape, biot, fourier):
    inside = 100.0 * (1.0 - series_temperature(shape, biot, np.full(21, fourier), SHARES))
    core, mid, skin = (inside[i] for i in (0, 10, 20))
    assert reading_c(core, mid, skin, SHARES) == pytest.approx(inside, abs=0.6)


@given(warm, warm, st.floats(0.0, 1.0))
def test_meat_that_is_heated_reads_no_colder_than_its_core(half, more, share):
    read = float(reading_c(60.0, 60.0 + half, 60.0 + half + more, share))
    assert read >= 60.0
    assert float(reading_c(60.0, 60.0 + half, 60.0 + half + more, 0.0)) == 60.0


def test_a_tip_outside_the_meat_is_refused():
    with pytest.raises(OutOfRangeError, match="place of a probe"):
        reading_c(60.0, 70.0, 80.0, 1.2)
