"""What happened beside the forecast as it stood, from a cook on disk."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.ask import ask
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.record.folder import Cookbook
from stallwise.record.log import LogLine
from stallwise.surfaces.journal import publish

MADE_AT = dt.datetime(2026, 3, 30, 9, 0, tzinfo=dt.UTC)
ON = dt.datetime(2026, 3, 28, 21, 0, tzinfo=dt.UTC)

COOK = """\
schema = 1
title = "Shoulder over night"
date = 2026-03-28
time_zone = "Etc/UTC"
serve = "2026-03-29 15:00"

[[pits]]
letter = "P"
start = "250 F"

[[pieces]]
letter = "A"
cut = "pork-shoulder-bone-in"
mass = "8 lb"
on = "21:00"
wrap = "paper"

[[mixes]]
mix = "plain-rub"
on = ["A"]
"""


def line(what, hours, **data):
    at = ON + dt.timedelta(hours=hours)
    return LogLine(
        id=f"{what}{hours}", at=at, what=what, piece="A", data=data, made=at, source="command"
    )


@pytest.fixture
def book(tmp_path):
    (tmp_path / "cookbook.toml").write_text('schema = 1\ntitle = "Ours"\n', encoding="utf-8")
    cook = tmp_path / "cooks" / "2026-03-28-shoulder"
    cook.mkdir(parents=True)
    (cook / "cook.toml").write_text(COOK, encoding="utf-8")
    book = Cookbook.open(tmp_path)
    book.cook(cook.name).append(
        [
            line("meat_on", 0),
            line("wrapped", 6, kind="paper"),
            line("feel_check", 12.5, verdict="tender"),
            line("off", 12.6),
            line("served", 17.0),
        ]
    )
    return book


def test_forecast_stays_as_it_stood_and_the_day_is_laid_beside_it(book):
    record = book.cooks()[0].load()
    stood = ask(record, made_at=MADE_AT)
    whole = with_outcome(stood, record)
    assert {event.what for event in stood.events} == {"meat_on"}
    assert [event.what for event in whole.events] == [
        "meat_on",
        "wrapped",
        "feel_check",
        "off",
        "served",
    ]
    (piece,) = whole.pieces
    assert dataclasses.replace(piece, finish_seen=None) == stood.pieces[0]
    assert piece.finish_seen is not None
    done = {step.id.partition("-")[0]: step.done_at for step in whole.steps}
    assert done["wrap"] == ON + dt.timedelta(hours=6)
    assert done["serve"] == ON + dt.timedelta(hours=17)


def test_a_cook_on_disk_becomes_a_page(book):
    report = publish(book, [], book.path / "journal", made_at=MADE_AT)
    assert report.troubles == ()
    html = (book.path / "journal/cooks/2026-03-28-shoulder.html").read_text(encoding="utf-8")
    assert "it was tender at Sun 09:30" in html
    assert str(book.path) not in html
