"""Two results subtracted: paired by name, times as times, a trace as one."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.surfaces.rerun.compare import compare
from stallwise.surfaces.rerun.moved import crossings, moves
from stallwise.surfaces.rerun.telling import in_words, told
from stallwise.surfaces.rerun.tolerating import read_tolerances
from stallwise.tables.rerunning import Tolerances, tolerances

OLD = {
    "made_at": "2026-09-26T08:00:00+01:00",
    "odds": 0.9,
    "pieces": [
        {
            "piece": "A",
            "stages": {
                "tender": {
                    "clock": {"p50": "2026-09-26T14:15:00+01:00"},
                    "elapsed_h": {"p50": 5.25},
                }
            },
            "core_c": {"elapsed_h": [0, 1], "p50": [5.0, 40.0], "p10": [5, 39], "p90": [5, 41]},
        },
        {"piece": "B", "rest_h": 1.0},
    ],
    "steps": [{"id": "fire", "at": "2026-09-26T07:00:00+01:00"}],
}


def changed(**pieces):
    new = json.loads(json.dumps(OLD))
    new["pieces"][0].update(pieces)
    return new


def test_a_result_does_not_differ_from_itself_whenever_it_was_asked():
    assert compare(OLD, {**OLD, "made_at": "2030-01-01T00:00:00+00:00"}) == ()


def test_a_time_moves_in_words():
    stages = {"tender": {"clock": {"p50": "2026-09-26T13:30:00+01:00"}, "elapsed_h": {"p50": 4.5}}}
    clock, elapsed = compare(OLD, changed(stages=stages))
    assert in_words(clock) == "A tender middle: 14:15 → 13:30, 45 min earlier"
    assert in_words(elapsed) == "A tender after meat on middle: 5 h 15 → 4 h 30, 45 min less"
    assert (elapsed.old, elapsed.new, elapsed.difference) == (5.25, 4.5, -0.75)


def test_the_same_instant_in_another_zone_is_the_same():
    assert compare(OLD, {**OLD, "steps": [{"id": "fire", "at": "2026-09-26T06:00:00+00:00"}]}) == ()


def test_pieces_pair_by_letter_not_by_place():
    new = {**OLD, "pieces": OLD["pieces"][::-1]}
    assert compare(OLD, new) == ()
    (row,) = compare(OLD, {**OLD, "pieces": OLD["pieces"][:1]})
    assert (row.path, row.old, row.new) == (("pieces", "B"), "there", None)


def test_a_trace_is_one_row_with_its_largest_difference():
    (row,) = compare(OLD, changed(core_c={**OLD["pieces"][0]["core_c"], "p50": [5.5, 43.0]}))
    assert in_words(row, "metric") == "A core most apart: 40 °C → 43 °C, +3 °C"
    assert in_words(row, "us") == "A core most apart: 104 °F → 109 °F, +5 °F"


def test_what_is_not_reached_is_none():
    (row,) = compare(OLD, {**OLD, "odds": None})
    assert in_words(row) == "chance to be in time: 90 % → none"


def test_better_words_are_no_change_and_steps_pair_by_their_id():
    step = {
        "id": "rest-A",
        "piece": "A",
        "what": "Rest",
        "detail": "1 h",
        "at": OLD["steps"][0]["at"],
    }
    new = {**step, "what": "Off to rest", "detail": "one hour"}
    assert compare({**OLD, "steps": [step]}, {**OLD, "steps": [new]}) == ()
    (row,) = compare({**OLD, "steps": [*OLD["steps"], step]}, {**OLD, "steps": [new]})
    assert (row.path, row.new) == (("steps", "fire"), None)


def test_a_trace_of_other_steps_is_compared_where_both_have_one():
    other = {"elapsed_h": [0, 0.5, 1, 2], "p50": [5.0, 20.0, 43.0, 70.0]}
    (row,) = compare(OLD, changed(core_c=other))
    assert row.difference == 3.0


def test_what_a_cook_asks_first_is_told_first():
    new = changed(on_at="2026-09-26T09:00:00+01:00", rest_h=2.0, odds_in_time=0.5)
    new["steps"][0]["at"] = "2026-09-26T06:00:00+01:00"
    rows = told(compare({**OLD, "odds": 0.1}, new))
    assert [row.path[-1] for row in rows] == ["on_at", "odds_in_time", "rest_h", "at"]
    assert in_words(rows[3]) == "step fire at: 07:00 → 06:00, 1 h earlier"


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_the_difference_leads_from_old_to_new_and_back(old, new):
    there = compare({"odds": old}, {"odds": new})
    back = compare({"odds": new}, {"odds": old})
    assert len(there) == len(back) <= 1
    for first, second in zip(there, back, strict=True):
        assert first.difference == -second.difference == new - old


def test_money_is_no_weight_and_nutrients_are_not_told_first():
    old = {"costs": [{"piece": "A", "per_eaten_kg": 8.0, "eaten_kg": 1.0}], "nutrition": [
        {"piece": "A", "amounts": {"fat": 20.0}}]}  # fmt: skip
    new = {"costs": [{"piece": "A", "per_eaten_kg": 9.0, "eaten_kg": 1.0}], "nutrition": [
        {"piece": "A", "amounts": {"fat": 25.0}}]}  # fmt: skip
    (row,) = told(compare(old, new))
    said = in_words(row)
    assert ("8" in said, "9" in said, "lb" in said) == (True, True, False)


@pytest.mark.parametrize(
    ("key", "was", "now", "same"),
    [
        ("rest_h", 1.0, 1.008, True),
        ("rest_h", 1.0, 1.009, False),
        ("at", "2026-09-26T07:00:00+01:00", "2026-09-26T06:00:29+00:00", True),
        ("at", "2026-09-26T07:00:00+01:00", "2026-09-26T06:00:31+00:00", False),
        ("peak_c", 90.0, 90.04, True),
        ("peak_c", 90.0, 90.06, False),
        ("mass_kg", 3.0, 3.0004, True),
        ("grams", 3.0, 3.6, False),
        ("odds", 0.8, 0.8004, True),
        ("odds", 0.8, 0.801, False),
        ("members", 200, 200.001, False),
        ("state", "met", "missed", False),
    ],
)
def test_what_could_not_be_seen_has_not_moved(key, was, now, same):
    old, new = ({"of": {key: value}} for value in (was, now))
    assert (compare(old, new, tolerances()) == ()) is same
    assert compare(old, new) != ()


def test_tolerances_are_read_as_a_person_gives_them():
    found = read_tolerances(["time=5 min", "temperature=1.8 F", "mass = 2 g", "share=1 %"])
    assert (found.time_s, found.mass_kg, found.share) == (300.0, 0.002, 0.01)
    assert found.temperature_k == pytest.approx(1.0)
    assert read_tolerances([], exact=True) == Tolerances()
    for wrong in ("time", "colour=1", "time=5", "time=-5 min"):
        with pytest.raises(InputError):
            read_tolerances([wrong])


def test_moves_and_crossings_are_what_a_cook_asks():
    def result(tender_h, odds, state):
        stages = {"tender": {"elapsed_h": {"p50": tender_h}}}
        piece = {"piece": "A", "name": "Shoulder", "on_at": "2026-09-26T07:00:00+01:00"}
        limit = {"limit": "left_out", "name": "Time out", "piece": "A", "state": state}
        return {
            "odds_words": "usual",
            "pieces": [piece | {"stages": stages, "odds_in_time": odds}],
            "limits": [limit],
        }

    old, new = result(9.0, 0.8, "met"), result(9.5, 0.7, "missed")
    (move,) = moves(old, new)
    assert (move.longer_h, move.on_h) == (0.5, 0.0)
    assert [one.text for one in crossings(old, new)] == [
        "Time out, A: met → missed",
        "A: no longer as sure as “usual” to be in time",
    ]
    assert crossings(new, old)[1].text == "A: now as sure as “usual” to be in time"
    assert crossings(old, old) == ()
    (move,) = moves(old, result(None, None, "met"))
    assert move.longer_h is None
