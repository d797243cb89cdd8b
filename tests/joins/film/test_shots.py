"""The shot list: tied to steps, with clean hands, and what of it is missing."""

import datetime as dt

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.film.shots import Picture, missing, shots
from stallwise.joins.sheet.steptable import step_rows
from stallwise.tables.shots import shot_rows
from tests.joins.cooks import NOW, line, record


def test_every_row_is_of_a_step_that_there_is():
    assert shot_rows().keys() <= step_rows().keys()
    assert {row.view for row in shot_rows().values()} == {"close", "wide"}


def test_shots_stand_with_their_steps_and_nobody_films_with_bound_hands():
    result = answer(record(people=3, roles=["fire", "board", "table"]), as_of=NOW, made_at=NOW)
    found = shots(result)
    assert [shot.at for shot in found] == sorted(shot.at for shot in found)
    assert {"rub", "fire_lit", "meat_on", "wrap", "serve"} <= {shot.kind for shot in found}
    for shot in found:
        bound = {
            number
            for step in result.steps
            if step.at <= shot.at < step.at + dt.timedelta(seconds=step.hands_s)
            for number in step.person.split()
        }
        names = {result.roles[int(number) - 1] for number in bound}
        assert not names & set(shot.hands.replace(" and", ",").split(", ")), shot
        assert not shot.done


def test_alone_nobody_is_named():
    found = shots(answer(record(), as_of=NOW, made_at=NOW))
    assert {shot.hands for shot in found} == {""}


def test_a_picture_lies_with_the_step_that_was_done_nearest_to_it():
    log = (line("08:30", "rub_on"), line("10:00", "meat_on"), line("13:00", "wrapped"))
    made = record(log=log)
    at = log[-1].at + dt.timedelta(minutes=4)
    result = answer(made, as_of=at, made_at=at)
    late = dt.timedelta(hours=3)
    pictures = [
        Picture("fold.jpg", "", at),
        Picture("later.jpg", "", at + late),
        Picture("when.jpg", "", None),
    ]
    found = {shot.kind: shot for shot in shots(result, pictures)}
    assert found["wrap"].pictures == ("fold.jpg",)
    gone = {shot.kind for shot in missing(tuple(found.values()))}
    assert "meat_on" in gone
    assert "wrap" not in gone
    # What is still to come is not missing.
    assert "serve" not in gone
    assert not any("later.jpg" in shot.pictures for shot in found.values())


@pytest.mark.parametrize("kind", ["spritz", "look", "serve"])
def test_what_is_seen_again_is_shown_once(kind):
    found = [shot for shot in shots(answer(record(), as_of=NOW, made_at=NOW)) if shot.kind == kind]
    assert len(found) <= 1
