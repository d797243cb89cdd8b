"""Cards of a trial: whoever plates finds every plate, a slip tells nothing, nothing is fetched."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.taste.tastebefore import draft_trial
from stallwise.joins.taste.tasteserve import serve
from stallwise.record.trial import Trial, TrialRecord
from stallwise.surfaces.tasteprint import cards_html

ARMS = ["<b>stock</b>", "sharp"]


def record(**chosen):
    values = {"asks": "like", "factor": "glaze", "arms": ARMS, "tasters": 6, "bones": {"A": 12}}
    trial = Trial.model_validate(
        {**draft_trial("c", **{**values, **chosen}), "locked": {"at": dt.datetime.now(dt.UTC)}}
    )
    return TrialRecord("t", trial, serve(trial, "c").key, ())


def pages(html):
    """The page for whoever plates, and the slips."""
    first, _, second = html.partition("</section>")
    return first, second


def test_whoever_plates_finds_every_plate_and_a_slip_tells_nothing():
    one = record()
    html = cards_html(one, "c", title="Ribs & friends")
    first, slips = pages(html)
    for row in one.key:
        assert f"<b>{row.code}</b>" in first
        assert f"{row.taster} {row.code}" in first
        assert row.code in slips
    assert "counted from the thick end" in first.lower()
    assert "notch" in first
    for mark in ("●", "▲", "sharp", "stock"):
        assert mark in first
        assert mark not in slips
    assert "<b>stock</b>" not in html
    assert "&lt;b&gt;stock" in html
    assert not re.search(r"https?://|<script|url\(", html)


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"method": "like-score"}, "neither like nor dislike"),
        ({"asks": "more", "attribute": "smoky"}, "Which of the two has more smokiness?"),
        ({"method": "which-like-or-neither"}, "neither"),
        ({"asks": "tell", "method": "same-or-different", "bones": {}}, "the same"),
        ({"arms": ["a", "b", "c"], "tasters": 4}, "place"),
        ({"also": ["sweet", "smoky", "musty", "chews"]}, "much too little"),
        ({"factor": "rub", "bones": {}}, "Which of the two do you like better?"),
    ],
)  # fmt: skip
def test_a_slip_asks_what_the_trial_asks(chosen, words):
    assert words in pages(cards_html(record(**chosen), "c", title="Ribs"))[1]


def test_no_slip_is_a_row_of_numbers_from_one_to_nine():
    html = cards_html(
        record(method="like-score", also=["tender", "look-liking"]), "c", title="Ribs"
    )
    assert not re.search(
        r"1\D{0,60}2\D{0,60}3\D{0,60}4\D{0,60}5\D{0,60}6\D{0,60}7\D{0,60}8\D{0,60}9", pages(html)[1]
    )


def test_cards_of_a_trial_that_is_not_locked_are_refused():
    with pytest.raises(InputError, match="lock t"):
        cards_html(TrialRecord("t", record().trial, (), ()), "c", title="Ribs")
