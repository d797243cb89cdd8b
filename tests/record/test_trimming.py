"""What was bought goes on, is saved or goes to the bin, to within 3 %."""

import pytest

from stallwise.record.schema import Piece
from stallwise.record.trimming import board, trimming


def _piece(bought, on, saved, binned):
    weights = {"mass_bought": bought, "mass": on, "mass_saved": saved, "mass_bin": binned}
    return Piece.model_validate({"letter": "A", "cut": "c", **weights})


@pytest.mark.parametrize("on", ["8.9 kg", "8.61 kg", "9.19 kg"])
def test_weights_that_add_up_to_within_three_percent_ask_nothing(on):
    assert trimming(_piece("10 kg", on, "0.6 kg", "0.5 kg")) is None


@pytest.mark.parametrize(("on", "words"), [("8.59 kg", "310 g less"), ("9.21 kg", "310 g more")])
def test_weights_that_do_not_are_asked_about(on, words):
    question = trimming(_piece("10 kg", on, "0.6 kg", "0.5 kg"))
    assert question is not None
    assert words in question
    assert question.endswith("Which weight is wrong?")


def test_one_missing_asks_nothing_and_follows_from_the_others():
    piece = _piece("10 lb", "8 lb", "1 lb 8 oz", None)
    assert trimming(piece) is None
    found = board(piece)
    assert found.by_difference == "mass_bin"
    assert found.mass_bin_kg == pytest.approx(0.5 * 0.45359237)
    assert board(_piece(None, "8 kg", "1 kg", "0.5 kg")).mass_bought_kg == pytest.approx(9.5)


def test_two_missing_or_an_impossible_difference_stay_missing():
    assert board(_piece("10 kg", None, None, "1 kg")).by_difference == ""
    assert board(_piece("5 kg", "6 kg", "1 kg", None)).mass_bin_kg is None


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ({"mass_bought": "3 lb", "mass": "5 lb"}, "5 lb on is 907 g more than the 3 lb bought"),
        ({"mass": "5 lb", "mass_edible": "9 kg"}, "9 kg eaten is more than went on"),
        ({"mass": "5 lb", "count": 2, "mass_edible": "4 kg"}, None),
        ({"mass_bought": "3 lb", "mass": "3 lb 5 oz"}, None),  # pumped to 110 %
        ({"mass_bought": "3 lb"}, None),
    ],
)
def test_two_weights_that_contradict_are_asked_about(piece, words):
    question = trimming(Piece.model_validate({"letter": "A", "cut": "c", **piece}))
    assert (question is None) if words is None else (words in question)
