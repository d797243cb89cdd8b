"""From the finish to the knife: one group of a Result, the same on terminal, in JSON and on the page."""

from __future__ import annotations

import datetime as dt
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.joins import tables
from stallwise.joins.answer import answer
from stallwise.joins.explain import explain
from stallwise.joins.result import to_plain
from stallwise.record.schema import Piece, PitUse
from tests.joins.cooks import NOW, record

HOUR = dt.timedelta(hours=1)
PIT = [PitUse(letter="P", start="250 F")]


def served(changes=None, cut="beef-brisket-whole", **piece):
    given_of = {"letter": "A", "cut": cut} | piece
    cook = record(Piece(**given_of), pits=PIT, serve="18:00")
    return answer(cook, made_at=NOW, changes={"members": 40, **(changes or {})})


def test_a_brisket_comes_down_to_its_slicing_core_when_practice_has_one():
    slicing = served().pieces[0].serving
    assert slicing.serve_core_c == pytest.approx((148 - 32) / 1.8, abs=0.01)
    assert explain("cuts.beef-brisket-whole.serve.core")[0].grade == "common practice, no source"
    assert 0.0 < slicing.serve_core_h.p10 < slicing.serve_core_h.p50 < slicing.serve_core_h.p90
    assert slicing.serve_core_clock["p10"] < slicing.serve_core_clock["p90"]
    # hotter is sooner; another finish has none; a cook's own word wins
    hotter = served({"serve_core": "160 F"}).pieces[0].serving
    assert hotter.serve_core_h.p50 < slicing.serve_core_h.p50
    assert served(finish="chop").pieces[0].serving.serve_core_c is None
    assert served(finish="chop", serve_core="150 F").pieces[0].serving.serve_core_h is not None


def test_it_waits_from_its_finish_to_serving_less_the_carving_and_never_less_than_its_rest():
    piece = served().pieces[0]
    tender, wait = piece.stages["tender"].elapsed_h, piece.serving.wait_h
    ahead = (piece.serve_at - piece.on_at) / HOUR - piece.carve_h
    assert wait.p90 == pytest.approx(ahead - tender.p10, abs=0.3)
    assert wait.p10 >= piece.rest_h


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(["counter", "box", "oven"]), st.integers(0, 4), st.integers(1, 4))
def test_a_longer_wait_is_never_softer_by_less_nor_hotter(place, first, more):
    def at(hours):
        kept = {"hold": place, "rest": "1 h", "on": "2026-05-16 00:00"}
        return served({**kept, "serve": f"{15 + hours}:00"}).pieces[0].serving

    short, long = at(first), at(first + more)
    assert long.past_it.p50 >= short.past_it.p50 - 1e-9
    if place != "oven":
        assert long.core_c.p50 <= short.core_c.p50 + 1e-9
    assert long.below_line_h == short.below_line_h  # the meat knows nothing of the clock


def test_a_wait_longer_than_it_stays_hot_says_what_to_do_and_clears_nothing():
    early = {"on": "2026-05-15 22:00"}
    warned = {}
    for place in ("counter", "box", "oven"):
        result = served({**early, "hold": place})
        warned[place] = [w.text for w in result.warnings if w.key == "hold-cold"]
        share = result.pieces[0].serving.colder_share
        assert bool(warned[place]) == (share >= 0.2)
    assert "140 °F" in warned["counter"][0]
    assert "box with towels or in a warm oven" in warned["counter"][0]
    assert not warned["oven"]
    said = " ".join([*warned["counter"], *warned["box"]]).lower()
    assert not any(word in said for word in ("safe", "done", "pasteur"))


def test_a_hot_place_that_is_no_oven_is_asked_about():
    with pytest.raises(InputError, match="oven only"):
        served({"hold": "box", "hold_at": "150 F"})
    oven = served({"hold_at": "145 F"}).pieces[0].serving
    assert (oven.place, oven.place_c) == ("oven", pytest.approx(62.78, abs=0.01))
    assert oven.below_line_h.p50 is None
    assert oven.below_line_h.reached == 0.0


def test_without_a_serving_time_it_is_followed_to_its_rest_alone():
    cook = record(Piece(letter="A", cut="beef-brisket-whole", rest="90 min"), pits=PIT, serve=None)
    piece = answer(cook, made_at=NOW, changes={"members": 40}).pieces[0]
    assert piece.serving.wait_h.p10 == piece.serving.wait_h.p90 == pytest.approx(1.5)
    assert piece.serving.past_it.p50 == pytest.approx(1.0)
    assert piece.serving.past_words == "as wanted: slice"


def test_a_finish_by_temperature_has_no_past_it():
    held = served(cut="turkey-whole").pieces[0].serving
    assert held.past_it is None
    assert held.past_words == ""


def test_text_and_json_hold_the_same_figures():
    result = served({"hold": "box"})
    plain = json.loads(json.dumps(to_plain(result)))["pieces"][0]["serving"]
    rows = {row[1]: row[2:] for row in tables.serving_table(result).rows}
    fahrenheit = round(plain["core_c"]["p50"] * 1.8 + 32)
    assert rows["core to serve at 18:00"][1] == f"{fahrenheit} °F"
    assert rows["tenderness then"][1] == plain["past_words"]
    assert "in a box with towels" in next(iter(rows))
    assert plain["line_c"] == 60.0
    assert result.sources["serving"] == "serving"
    assert "140" in explain("serving")[0].note
