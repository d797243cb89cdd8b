"""A probe moved to another piece in mid-file: asked, and split where the cook says."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.readings import as_csv, from_csv

ON = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
TWO = Frame("Etc/UTC", ON.date(), ON, ("A", "B"), ("P",))
ONE = Frame("Etc/UTC", ON.date(), ON, ("A",), ("P",))


def log(header: str = "core A (C)", after: float = 55.0, hours: int = 8) -> str:
    """A core to 85 °C within five hours; then the probe is in something cooler."""
    rows = [f"time,{header}"]
    for minute in range(0, hours * 60, 5):
        value = 5 + minute * 80 / 300 if minute < 300 else after + (minute - 300) * 0.08
        at = ON + dt.timedelta(minutes=minute)
        rows.append(f"{at:%Y-%m-%d %H:%M},{value:.1f}")
    return "\n".join(rows) + "\n"


def read(text, frame=TWO, **columns):
    return understand(text, frame, Answers(columns=columns), file="probe.csv")


def test_a_leap_in_a_cook_of_several_pieces_is_asked():
    report = read(log())
    (question,) = report.questions
    assert "leaps from 84 to 55 °C at 11:00" in question
    assert "--column 'core A (C)=A until 11:00 B'" in question
    assert "--column 'core A (C)=A' if it stayed in A" in question
    # in a cook of one piece it can only have moved within it
    assert read(log(), ONE).questions == ()


def test_both_answers_are_taken():
    stayed = read(log(), **{"core A (C)": "A"})
    assert stayed.questions == ()
    assert any("until 11:00 B" in note for note in stayed.notes)
    moved = read(log(), **{"core A (C)": "A until 11:00 B"})
    assert moved.questions == ()
    one, other = moved.channels
    assert (one.piece, other.piece) == ("A", "B")
    assert one.at[-1] < ON + dt.timedelta(hours=5) == other.at[0]
    assert len(one.at) + len(other.at) == 96
    kept = from_csv(as_csv(moved.channels), file="probe.csv")
    assert [(each.piece, len(each.at)) for each in kept] == [("A", 60), ("B", 36)]


def test_a_probe_may_be_moved_often_and_to_the_pit_with_units_of_its_own():
    (a, pit, b) = read(
        log("x (C)"), **{"x (C)": "A until 11:00 grate until 12:00, then B flat"}
    ).channels
    assert (a.piece, pit.pit, pit.place, b.piece, b.place) == ("A", "P", "grate", "B", "flat")
    assert pit.at[-1] < b.at[0]


def test_a_probe_that_comes_out_for_good_may_have_gone_elsewhere():
    out = read(log(after=20.0))
    assert out.questions == ()
    assert any("left out from 11:00 on" in note for note in out.notes)
    assert read(log(after=20.0), ONE).notes == ()


def test_a_night_is_split_on_the_day_that_is_there():
    text = log(hours=22).replace("core A (C)", "x (C)")
    (_, b) = read(text, **{"x (C)": "A until 02:00 B"}).channels
    assert b.at[0] == ON + dt.timedelta(hours=20)


@pytest.mark.parametrize(
    ("said", "error", "words"),
    [
        ("A until 23:00 B", InputError, "from 2027-09-25 06:00 to 2027-09-25 13:55"),
        ("A until 11:00 Z", NotFoundError, "Z"),
        ("A until 12:00 B until 11:00 A", InputError, "before it was moved last"),
        ("A until 7:00 B", InputError, "07:00"),
    ],
)
def test_what_cannot_be_is_told(said, error, words):
    with pytest.raises(error) as caught:
        read(log("x (C)"), **{"x (C)": said})
    assert words in str(caught.value)
