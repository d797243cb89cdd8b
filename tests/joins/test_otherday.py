"""A cook moved to another day takes its hours along, and says what it cannot take."""

import datetime as dt

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.otherday import day_of
from stallwise.joins.parameters import edits, resolve
from stallwise.record.schema import Cook

COOK = Cook.model_validate(
    {
        "title": "t", "date": dt.date(2027, 9, 25), "serve": "2027-09-26 12:00", "asleep": "23:00",
        "pieces": [{"letter": "A", "cut": "c", "on": "2027-09-24T22:00"}, {"letter": "B", "cut": "c"}],
    }
)  # fmt: skip


def test_hours_with_a_day_of_their_own_go_along():
    there = resolve(COOK, {"date": "2027-10-02"})
    assert (there.date, there.serve, there.asleep) == (
        dt.date(2027, 10, 2), "2027-10-03 12:00", "23:00",
    )  # fmt: skip
    assert [piece.on for piece in there.pieces] == ["2027-10-01T22:00", None]
    written = edits(COOK, {"date": "2027-10-02"})
    assert written == {
        "date": dt.date(2027, 10, 2), "serve": "2027-10-03 12:00", "pieces.A.on": "2027-10-01T22:00",
    }  # fmt: skip
    assert resolve(there, {"date": "2027-09-25"}) == COOK


def test_what_is_said_of_an_hour_is_said_of_the_new_day():
    there = resolve(COOK, {"asleep": "2027-10-01 22:00", "date": "2027-10-02", "serve": "13:00"})
    assert (there.asleep, there.serve) == ("2027-10-01 22:00", "13:00")
    assert edits(COOK, {"date": "2027-10-02", "serve": "13:00"})["serve"] == "13:00"


@pytest.mark.parametrize("text", ["", "tomorrow", "02/10/2027", "2027-02-30"])
def test_what_is_no_day(text):
    with pytest.raises(InputError, match="as 2027-09-25"):
        day_of(text)


def test_a_move_with_a_day_of_its_own_is_told():
    pieces = [{"letter": "A", "cut": "c", "moves": [{"to": "Q", "at": "2027-09-26 04:30"}]}]
    cook = COOK.model_validate(
        {**COOK.model_dump(by_alias=True), "pits": [{"letter": "Q"}], "pieces": pieces}
    )
    with pytest.raises(InputError, match="a day of its own"):
        resolve(cook, {"date": "2027-10-02"})
    assert resolve(cook, {"date": "2027-09-25"}).date == cook.date
