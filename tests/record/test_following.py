"""A file that grows is followed: nothing doubled, nothing lost, whatever its writer does and whoever is killed."""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import given, settings
from hypothesis import strategies as st

from stallwise.record.folder import Cookbook
from stallwise.record.following import Follow, followed, whole_lines
from stallwise.record.frame import Answers
from stallwise.record.leftout import leave_out
from stallwise.record.store import Store

PLAN = 'schema = 1\ntitle = "r"\ndate = 2027-09-25\n[[pieces]]\nletter = "A"\ncut = "c"\non = "06:00"\n'
HEAD = "time,pit (F),core A (F)\n"
START = dt.datetime(2027, 9, 25, 6)  # noqa: DTZ001 - as in a file


def rows(first: int, last: int) -> str:
    return "".join(
        f"{START + dt.timedelta(minutes=n)},{225 + n % 3},{40 + n / 4}\n"
        for n in range(first, last)
    )


@pytest.fixture
def cook(tmp_path: Path):
    return Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC").new_cook(
        "r", START.date(), PLAN
    )


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "live.csv"


def held(cook) -> list[tuple[str, dt.datetime, float]]:
    return sorted(
        (one.channel, when, round(value, 3))
        for one in cook.readings()
        for when, value in one.kept()
    )


def minutes(cook) -> list[int]:
    zero = START.replace(tzinfo=dt.UTC)
    return [
        round((when - zero).total_seconds() / 60) for name, when, _ in held(cook) if "pit" in name
    ]


def test_what_is_appended_comes_in_as_one_import_and_once(cook, file):
    file.write_text(HEAD + rows(0, 5))
    follow = Follow(cook, file)
    assert (follow.look().state, minutes(cook)) == ("new", list(range(5)))
    assert follow.look().state == "same"
    # A line half written is left until it is whole: 22 is not 225.
    with file.open("a") as out:
        out.write(rows(5, 7) + "2027-09-25 06:07:00,22")
    look = follow.look()
    assert (look.state, look.added, minutes(cook)) == ("new", 4, list(range(7)))
    with file.open("a") as out:
        out.write("5,41\n")
    # Another kernel goes on where the first stopped.
    assert Follow(cook, file).look().added == 2
    assert follow.look().state == "same"
    assert minutes(cook) == list(range(8))
    names = sorted(path.name for path in (cook.path / "readings").iterdir() if path.name[0] != ".")
    assert names == ["live.csv", "live.json", "live.raw.csv"]


def test_an_emptied_a_rotated_and_a_vanished_file(cook, file):
    file.write_text(HEAD + rows(0, 5))
    follow = Follow(cook, file)
    follow.look()
    file.write_text("")
    assert follow.look().state == "waiting"
    file.unlink()
    look = follow.look()
    assert (look.state, minutes(cook)) == ("gone", list(range(5)))
    # Another took its name, and holds the last minute once more.
    file.write_text(HEAD + rows(4, 8))
    assert (follow.look().added, minutes(cook)) == (6, list(range(8)))
    file.write_text(HEAD + rows(4, 9))
    assert (Follow(cook, file).look().added, minutes(cook)) == (2, list(range(9)))
    assert [name for name, _ in followed(cook)] == ["live", "live-2"]
    # Written anew from its first line on, as some programs do.
    file.write_text(HEAD + rows(0, 10))
    follow.look()
    assert minutes(cook) == list(range(10))


def test_what_is_in_doubt_is_asked_and_comes_in_whole_once_said(cook, file):
    file.write_text(HEAD.replace(" (F)", "") + rows(0, 4))
    look = Follow(cook, file).look()
    assert look.state == "asked"
    assert "--unit" in look.report.questions[0]
    assert held(cook) == []
    assert Follow(cook, file, Answers(unit="F"), said={"unit": "F"}).look().added == 8
    # Another answer has the same readings made anew, not added.
    again = Follow(cook, file, Answers(unit="F", shift_s=3600.0), said={"shift": "1 h later"})
    again.look()
    assert minutes(cook) == [60, 61, 62, 63]
    assert followed(cook)[0][1]["said"] == {"shift": "1 h later"}


def test_what_was_imported_or_left_out_by_hand_stays(cook, file):
    file.write_text(HEAD + rows(0, 3))
    cook.add_readings(file)
    file.write_text(HEAD + rows(0, 6))
    Follow(cook, file).look()
    assert minutes(cook) == list(range(6))
    leave_out(cook, "pit (F)", *(START.replace(tzinfo=dt.UTC, minute=m) for m in (4, 5)))
    file.write_text(HEAD + rows(0, 8))
    Follow(cook, file).look()
    assert minutes(cook) == [0, 1, 2, 3, 6, 7]


def test_no_two_write_at_once_and_nothing_is_made_of_a_cook_that_is_gone(cook, file, monkeypatch):
    file.write_text(HEAD + rows(0, 3))
    monkeypatch.setattr("stallwise.record.following._WAIT_S", 0.1)
    with FileLock(cook.home.path / ".stallwise.follow.lock"):
        assert Follow(cook, file).look().state == "waiting"
    cook.path.rename(cook.path.with_name("elsewhere"))
    assert Follow(cook, file).look().state == "wrong"
    assert not cook.path.exists()


@pytest.mark.parametrize("stopped", range(1, 7))
def test_killed_between_two_writes_the_next_look_does_it_over(cook, file, monkeypatch, stopped):
    """Six writes of two looks: whichever is the last one done, nothing is lost or doubled."""
    done = 0
    replace = Store.replace

    def dying(*args, **named):
        nonlocal done
        if done == stopped:
            raise KeyboardInterrupt
        done += 1
        return replace(*args, **named)

    monkeypatch.setattr(Store, "replace", dying)
    for last in (4, 7):
        file.write_text(HEAD + rows(0, last))
        try:
            Follow(cook, file).look()
        except KeyboardInterrupt:
            break
    monkeypatch.setattr(Store, "replace", replace)
    file.write_text(HEAD + rows(0, 9))
    Follow(cook, file).look()
    assert minutes(cook) == list(range(9))
    assert len(held(cook)) == 18
    # It is the same import still: what was killed was not taken for a change by hand.
    assert len(followed(cook)) == 1


@settings(max_examples=6)
@given(seed=st.integers(0, 10**6))
def test_whatever_the_writer_does(seed, tmp_path_factory):
    """Appended in torn pieces, emptied, rotated, looked at by several: each minute once, in the end."""
    draw = random.Random(seed)
    place = tmp_path_factory.mktemp("book")
    cook = Cookbook.start(place / "book", title="b", time_zone="Etc/UTC").new_cook(
        "r", START.date(), PLAN
    )
    file = place / "live.csv"
    whole, last, first = HEAD + rows(0, 3), 3, 0
    for _ in range(12):
        what = draw.random()
        if what < 0.6:
            last += draw.randint(1, 3)
            whole = HEAD + rows(first, last)
            file.write_text(whole[: len(whole) - draw.randint(0, 30)])
        elif what < 0.7:
            file.write_text("")
        elif what < 0.8:
            file.unlink(missing_ok=True)
        elif what < 0.9:
            file.write_text(whole)
            Follow(cook, file).look()  # all of it was seen before it was rotated away
            first = last - 1
            whole = HEAD + rows(first, last)
        Follow(cook, file).look()
        assert len(held(cook)) == len(set(held(cook)))
    file.write_text(whole)
    Follow(cook, file).look()
    assert minutes(cook) == list(range(last))


def test_half_a_letter_is_no_line():
    text = "a\nb\nc"
    for coding, end in (("utf-8", ""), ("utf-16", "")):
        data = text.encode(coding)
        assert whole_lines(data).decode(coding) + end == "a\nb\n"
        assert whole_lines(data[:-1]).decode(coding) == "a\nb\n"
    assert whole_lines(b"no end") == b""
    # An end of line that stands across two letters is none.
    odd = b"\xff\xfe" + "x\u0a00\u0100".encode("utf-16-le")
    assert whole_lines(odd) == b""
