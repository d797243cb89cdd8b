"""What is different from the cook that a plan came from."""

import datetime as dt

from stallwise.joins.since import since
from stallwise.record.schema import Cook, Piece, PitUse

CUT = "pork-spare-ribs-trimmed"


def cook(serve="2026-05-16 15:30", start="225 F", **piece):
    return Cook(
        title="ribs",
        date=dt.date(2026, 5, 16),
        serve=serve,
        pits=[PitUse(start=start)],
        pieces=[Piece(letter="A", cut="turkey-half"), Piece(letter="B", cut=CUT, **piece)],
    )


def test_only_what_differs_is_listed_with_the_usual_named() -> None:
    table = since(cook(mass="3 lb"), cook(mass="3 lb 4 oz", wrap="foil", start="250 F"), "B")
    assert table.rows == (
        ("weight of one piece as it goes on", "3 lb", "3 lb 4 oz"),
        ("pit held at first", "225 F", "250 F"),
        ("wrap", "as usual", "foil"),
    )


def test_the_same_in_other_units_or_on_another_day_is_the_same() -> None:
    table = since(cook(mass="3 lb"), cook(mass="1.361 kg", serve="15:30", start="107.2 C"), "B")
    assert table.rows == ()


def test_a_piece_is_compared_with_the_first_of_its_cut() -> None:
    then = Cook(
        title="x", date=dt.date(2026, 1, 1), pieces=[Piece(letter="A", cut=CUT, rest="1 h")]
    )
    assert ("rest before the knife", "1 h", "as usual") in since(then, cook(), "B").rows
    assert since(then, cook(), "A") is None
