"""Hot and cool places of a pit: hotter is never later, a tested place is surer than an unknown one."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest

from stallwise.models.assimilate import assimilate
from stallwise.models.draws import draw
from stallwise.models.forecast import forecast_pieces
from stallwise.models.learning import Habits, fold, knowledge_of, lesson
from stallwise.models.plan import (
    Body,
    Facts,
    Knowledge,
    Learned,
    OtherNumber,
    PiecePlan,
    PitChange,
    PitCurve,
    PitPlace,
    ProbeTrace,
    Wrap,
)
from stallwise.tables.catalogue import cut, dimensions

ENTRY = cut("pork-shoulder-bone-in")
SIZES = dimensions(ENTRY, 3.6)
HERE = "back yard / next to firebox"


def shoulder(place: PitPlace | None = None, **changes) -> PiecePlan:
    body = Body(
        3.6,
        *SIZES.half_m,
        composition=ENTRY.composition,
        surface=ENTRY.surface,
        tissue=ENTRY.tissue,
    )
    plan = PiecePlan(
        "A",
        ENTRY.key,
        body,
        ENTRY.finish(None).target,
        PitCurve.steady(115.0),
        pit_name="back yard",
        place=place,
        wrap=Wrap(),
    )
    return dataclasses.replace(plan, **changes)


def tender(plan: PiecePlan, knowledge: Knowledge | None = None) -> np.ndarray:
    made = forecast_pieces([plan], seed=3, members=60, knowledge=knowledge)
    return np.minimum(made.pieces["A"].stages["tender"], 40.0 * 3600.0)


def air(plan: PiecePlan, knowledge: Knowledge | None = None) -> np.ndarray:
    return draw(plan, seed=3, members=4000, knowledge=knowledge).pits[:, 0, 0]


def test_a_hotter_place_is_never_later():
    days = [
        np.sort(tender(shoulder(PitPlace("next to firebox", "thermometer", apart))))
        for apart in (-8.0, -3.0, 0.0, 3.0, 8.0)
    ]
    for cooler, hotter in itertools.pairwise(days):
        assert np.all(hotter <= cooler + 1.0)
    assert np.median(days[0]) - np.median(days[-1]) > 1800.0


def test_what_is_known_of_a_place_tells_how_wide_it_is():
    spread = {
        known: float(np.std(air(shoulder(PitPlace("next to firebox", known)))))
        for known in ("unknown", "toast", "thermometer")
    }
    nowhere = float(np.std(air(shoulder())))
    assert nowhere < spread["thermometer"] < spread["toast"] < spread["unknown"] < 1.5 * nowhere


def test_a_place_tested_against_the_pits_own_number_narrows():
    by_lid = {"number_place": "lid"}
    tested = PitPlace("next to firebox", "thermometer", 5.0, of_number=True)
    surely = air(shoulder(tested, **by_lid))
    assert np.mean(surely) == pytest.approx(5.0, abs=0.3)
    assert np.std(surely) < 0.5 * np.std(air(shoulder(**by_lid)))


def test_two_pieces_in_one_place_share_it_and_another_place_does_not():
    one = draw(shoulder(PitPlace("next to firebox")), seed=3, members=50)
    two = draw(shoulder(PitPlace("next to firebox"), key="B"), seed=3, members=50)
    other = draw(shoulder(PitPlace("under chimney"), key="C"), seed=3, members=50)
    assert np.array_equal(one.pits[:, 0, 0], two.pits[:, 0, 0])
    assert not np.array_equal(one.pits[:, 0, 0], other.pits[:, 0, 0])


def test_a_place_is_learned_under_its_own_name():
    learned = Knowledge(pits={HERE: {"pit.place.unknown": Learned(9.0, 2.0)}})
    there = shoulder(PitPlace("next to firebox"))
    assert np.mean(air(there, learned)) > np.mean(air(there)) + 7.0
    assert np.median(tender(there, learned)) < np.median(tender(there))
    assert np.array_equal(air(shoulder(), learned), air(shoulder()))


def test_a_core_that_runs_ahead_says_its_place_is_hot():
    facts = Facts(4.0 * 3600.0, probes=(ProbeTrace((3600.0, 7200.0, 14400.0), (22.0, 52.0, 70.0)),))
    plan = shoulder(PitPlace("next to firebox"), facts=facts)
    scores = assimilate([plan], seed=3, members=100).scores["A"]
    assert np.mean(scores[f"{HERE}: pit.place.unknown"]) > 0.55


def test_a_piece_that_is_moved_within_its_pit_changes_its_air():
    cool = PitPlace("under chimney", "thermometer", -10.0)
    moved = shoulder(pit_changes=(PitChange(3600.0, "back yard", "offset", "grate", cool),))
    drawn = draw(moved, seed=3, members=50)
    apart = drawn.pits[:, 1, 0] - drawn.pits[:, 0, 0]
    assert np.mean(apart) == pytest.approx(-10.0, abs=0.5)


def test_a_lid_read_beside_the_grate_is_known_by_it_from_then_on():
    facts = Facts(8.0 * 3600.0, others=(OtherNumber("back yard", "pit.gap.lid", -14.0),))
    told = lesson([shoulder(facts=facts)], seed=3, members=40)
    known = knowledge_of(fold(Habits(), told), "one")
    by_lid = shoulder(number_place="lid")
    before, after = air(by_lid), air(by_lid, known)
    assert np.mean(after) == pytest.approx(0.5 - 14.0, abs=1.5)
    assert np.std(after) < 0.8 * np.std(before)
    # but never surer than the number at the grate is
    assert np.std(after) > np.std(air(shoulder()))
