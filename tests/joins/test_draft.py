"""A new cook is pre-filled with the plan of the last one, never with its facts."""

from __future__ import annotations

import datetime as dt
import tomllib

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.draft import draft, last_of_cut
from stallwise.record.jobs import Job
from stallwise.record.schema import Cook, MixUse, Photo, Piece, PitUse

OLD = Cook(
    title="last time",
    date=dt.date(2026, 5, 16),
    serve="2026-05-16 15:30",
    pits=[PitUse(letter="P", pit="yard", start="225 F")],
    pieces=[
        Piece(
            letter="A",
            cut="pork-spare-ribs-trimmed",
            mass="3 lb",
            mass_cooked="2 lb",
            pit="P",
            finish="pulls clean",
            wrap="foil",
            on="2026-05-16 09:00",
            note="thin end dried",
            frozen=True,
            thaw_from="2026-05-14 08:00",
        ),
        Piece(letter="B", cut="pork-shoulder-bone-in", mass="8 lb"),
    ],
    mixes=[MixUse(mix="plain-rub", on=["A"]), MixUse(mix="low-salt-rub", on=["B"])],
    photos=[Photo(file="board.jpg")],
    notes="windy",
    outcome="good",
    next_time="wrap 20 min later",
    people=2,
    roles=["pit", "board"],
)
NEW = dt.date(2026, 6, 1)


def made(**given) -> Cook:
    settings = {"title": "again", "date": NEW, "cut": "pork-spare-ribs-trimmed", "changes": {}}
    text = draft(before=("2026-05-16-last-time", OLD), **settings | given)
    return Cook.model_validate(tomllib.loads(text))


def test_the_plan_of_that_cut_comes_along_and_the_facts_stay() -> None:
    cook = made()
    (piece,) = cook.pieces
    assert (piece.mass, piece.finish, piece.wrap) == ("3 lb", "pulls clean", "foil")
    assert (piece.mass_cooked, piece.on, piece.note) == (None, None, None)
    assert (piece.frozen, piece.thaw_from) == (False, None)
    assert (cook.people, cook.roles) == (2, ["pit", "board"])
    assert (cook.photos, cook.notes, cook.outcome, cook.next_time) == ([], None, None, None)
    assert [mix.mix for mix in cook.mixes] == ["plain-rub"]
    assert cook.pits == OLD.pits


def test_a_serving_time_comes_along_without_its_date() -> None:
    assert (made().serve, made().date) == ("15:30", NEW)


def test_the_next_time_line_is_carried_with_where_it_came_from() -> None:
    assert (made().carried, made().carried_from) == ("wrap 20 min later", "2026-05-16-last-time")


def test_settings_win_over_what_is_carried() -> None:
    assert made(changes={"mass": "4 lb", "wrap": "none"}).pieces[0].mass == "4 lb"


def test_from_an_old_cook_all_its_pieces_come() -> None:
    assert [piece.letter for piece in made(cut=None).pieces] == ["A", "B"]


def test_the_newest_cook_of_a_cut_is_the_one() -> None:
    newer = OLD.model_copy(update={"title": "newest"})
    assert last_of_cut([("n", newer), ("o", OLD)], "pork-shoulder-bone-in") == ("n", newer)
    assert last_of_cut([("o", OLD)], "beef-brisket") is None


def test_without_cut_or_cook_it_asks() -> None:
    with pytest.raises(InputError, match="--cut"):
        draft(title="x", date=NEW, cut=None, before=None, changes={})


def test_jobs_come_along_without_what_stays_behind() -> None:
    jobs = [
        Job(job="slaw", takes="20 min", on=["B"]),
        Job(job="beans", takes="2 h", on=["A", "B"]),
        Job(job="gravy", takes="20 min", needs=["B", "beans", "slaw"]),
    ]
    before = ("last", OLD.model_copy(update={"jobs": jobs}))
    text = draft(title="again", date=NEW, cut="pork-spare-ribs-trimmed", before=before, changes={})
    beans, gravy = Cook.model_validate(tomllib.loads(text)).jobs
    assert (beans.job, beans.on) == ("beans", ["A"])
    assert (gravy.job, gravy.needs) == ("gravy", ["beans"])
