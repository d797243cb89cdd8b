"""The time left once readings were compared: later than drawn until the cut is known, and wider."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.models.draws import draw
from stallwise.models.plan import Body, Facts, Knowledge, Learned, PiecePlan, PitCurve
from stallwise.models.timeleft import with_time_left
from stallwise.tables.catalogue import cut, dimensions
from stallwise.tables.parameters import parameter

HOUR = 3600.0
LATE = parameter("update.late").value
BEFORE = parameter("tender.t95").spread
DAY = parameter("learn.within.t95").value


def piece(name="pork-shoulder-bone-in", mass_kg=3.6, **facts):
    entry = cut(name)
    half = dimensions(entry, mass_kg).half_m
    body = Body(mass_kg, *half, entry.composition, entry.surface, entry.tissue)
    seen = Facts(5 * HOUR, **facts)
    target = entry.finish().target
    return PiecePlan("A", entry.key, body, target, PitCurve.steady(115.0), facts=seen)


def knows(spread, name="pork-shoulder-bone-in"):
    return Knowledge("taught", {}, {name: {"tender.t95": Learned(10000.0, spread)}})


def log_pace(plan, looks=9, knowledge=None):
    drawn = draw(plan, seed=3, members=400)
    after = with_time_left(plan, drawn, looks, seed=3, knowledge=knowledge or Knowledge())
    assert np.array_equal(after.members["pace"], drawn.members["pace"])
    return np.log(after.members["pace_after"] / drawn.members["pace_after"])


def test_it_is_later_and_wider_than_drawn():
    found = log_pace(piece())
    assert np.mean(found) == pytest.approx(np.log(LATE), abs=0.01)
    assert np.std(found) == pytest.approx(parameter("update.pace_bare").value, rel=0.05)


def test_a_wrap_narrows_and_few_readings_widen():
    bare, wrapped = log_pace(piece()), log_pace(piece(wrapped_s=4 * HOUR))
    opened = log_pace(piece(wrapped_s=3 * HOUR, unwrapped_s=4 * HOUR))
    few = log_pace(piece(), looks=int(parameter("update.few").value) - 1)
    assert np.std(wrapped) < np.std(bare) == np.std(opened) < np.std(few)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_the_better_the_cut_is_known_the_less_it_is_late(one, other):
    low, high = sorted((one, other))
    spreads = [np.sqrt(DAY**2 + share * (BEFORE**2 - DAY**2)) for share in (low, high)]
    late = [np.mean(log_pace(piece(), knowledge=knows(spread))) for spread in spreads]
    assert late[0] <= late[1] + 1e-9
    assert late[0] == pytest.approx(low * np.log(LATE), abs=0.01)


def test_what_is_known_of_another_cut_or_a_finish_by_core_changes_nothing():
    assert np.mean(log_pace(piece(), knowledge=knows(DAY, "beef-brisket-whole"))) > 0.9 * np.log(
        LATE
    )
    bird = piece("chicken-whole", 1.8)
    known = log_pace(bird, knowledge=knows(DAY, "chicken-whole"))
    assert np.array_equal(known, log_pace(bird))
