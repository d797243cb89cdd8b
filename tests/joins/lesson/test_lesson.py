"""A class of twelve on four pits: shows planned backwards, guesses, sheets, handouts, names kept at home."""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
import time

import numpy as np
import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.foresight import foresee, question
from stallwise.joins.lesson.guesses import guessed
from stallwise.joins.lesson.handout import handout_text, student_names
from stallwise.joins.lesson.learnable import learnable
from stallwise.joins.lesson.lessonplan import lesson_plan
from stallwise.joins.lesson.lessonwords import guess_table, learn_lines
from stallwise.joins.log.paper import read_block
from stallwise.joins.log.papercontext import paper_context
from stallwise.models.rules import RuleHours
from stallwise.models.scores import likely_times
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook
from stallwise.record.sharing import shared
from stallwise.record.toml import parse
from stallwise.surfaces.journal.namescan import refuse_names
from stallwise.surfaces.journal.press import publish
from stallwise.surfaces.lessonprint import handouts_html, pits_html, slips_html, teacher_html
from tests.joins.eventbook import AHEAD, event_book, holds_together

SHOWN = set("STUV")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return event_book(tmp_path_factory.mktemp("class"))


@pytest.fixture(scope="module")
def kept(book):
    return book.cook("class-of-twelve").load()


def _changed(record, **changes):
    return dataclasses.replace(record, cook=record.cook.model_copy(update=changes))


def _unplanned(record):
    """The class before anybody looked when the shown pieces go on."""
    pieces = [
        piece.model_copy(update={"on": None}) if piece.letter in SHOWN else piece
        for piece in record.cook.pieces
    ]
    return _changed(record, pieces=pieces)


@pytest.fixture(scope="module")
def planned(kept):
    bare = _unplanned(kept)
    before = time.process_time()
    plan, result = lesson_plan(bare, made_at=AHEAD)
    return bare, plan, result, time.process_time() - before


def test_twelve_on_four_pits_in_six_hours_hold_together(planned):
    record, plan, result, seconds = planned
    holds_together(record, result)
    assert seconds < 3.0
    assert (plan.ends - plan.begins) == dt.timedelta(hours=6)
    assert [team.pit for team in plan.teams] == list("ABCD")
    assert sum(team.students for team in plan.teams) == 12
    assert not [one for one in plan.warnings if one.key in {"before-class", "after-class"}]
    mine = [step for step in result.steps if step.pit in set("ABCD")]
    assert min(step.at for step in mine) >= plan.begins


def test_a_show_is_there_on_as_many_days_as_it_says_and_a_stand_in_helps(planned):
    record, plan, *_ = planned
    stall, slicing = plan.shows
    assert (stall.shown, slicing.shown) == ("stall", "slicing")
    assert stall.share > max(share for _, _, share in stall.pieces) + 0.05
    assert stall.share >= 0.9
    assert slicing.share >= 0.9
    # Counted by hand over other possible days, with the starts that were found.
    asked = question(record, made_at=AHEAD, changes={**plan.starts, "seed": "7", "members": "300"})
    seen = foresee(asked)
    there = np.zeros(300, dtype=bool)
    for letter, on, _ in stall.pieces:
        after_s = (stall.at - on).total_seconds()
        stages = seen.forecast.pieces[letter].stages
        there |= (stages["stall_start"] <= after_s) & (after_s < stages["stall_end"])
    assert there.mean() == pytest.approx(stall.share, abs=0.07)


def test_what_is_kept_is_what_was_found(kept, planned):
    plan, _ = lesson_plan(kept, made_at=AHEAD)
    assert plan.starts == {}
    assert [one.pieces for one in plan.shows] == [one.pieces for one in planned[1].shows]


def test_a_show_that_is_not_sure_asks_for_a_stand_in(kept):
    alone = kept.cook.lesson.model_copy(
        update={"shows": [kept.cook.lesson.shows[1].model_copy(update={"pieces": ["U"]})]}
    )
    plan, _ = lesson_plan(_changed(_unplanned(kept), lesson=alone), made_at=AHEAD)
    (said,) = [one.text for one in plan.warnings if one.key == "show-unsure"]
    assert "one more piece to stand in" in said


def test_a_class_too_short_says_when_it_would_be_ready(kept):
    pieces = [
        p.model_copy(update={"on": None} if p.pit in set("ABCD") else {}) for p in kept.cook.pieces
    ]
    late = kept.cook.lesson.model_copy(update={"begins": "11:30"})
    plan, _ = lesson_plan(_changed(kept, lesson=late, pieces=pieces), made_at=AHEAD)
    said = [one.text for one in plan.warnings if one.key == "before-class"]
    assert len(said) == 4
    assert "the class begins at 11:30. Begun with the class it can be eaten by" in said[0]
    wrong = kept.cook.lesson.model_copy(update={"ends": "08:00"})
    with pytest.raises(InputError, match="an end after its begin"):
        lesson_plan(_changed(kept, lesson=wrong), made_at=AHEAD)
    with pytest.raises(InputError, match="is no class"):
        lesson_plan(_changed(kept, lesson=None), made_at=AHEAD)


def test_foil_on_a_and_paper_on_b_is_mixed_up_with_pit_fire_and_team(kept):
    wraps = {"A": "foil", "B": "paper", "C": "foil", "D": "paper"}
    pieces = [
        piece.model_copy(update={"wrap": wraps.get(piece.pit, piece.wrap)})
        for piece in kept.cook.pieces
    ]
    (mixed,) = learnable(kept.cook.model_copy(update={"pieces": pieces}))
    assert mixed.thing == "wrap"
    assert mixed.mixed_with == ("the pit, its fire and its team",)
    assert all(sorted(arms) == ["foil", "paper"] for arms in mixed.layout.values())
    first = [arms[0] for arms in mixed.layout.values()]
    assert first.count("foil") == first.count("paper") == 2  # places are crossed over
    (crossed,) = learnable(kept.cook)
    assert crossed.mixed_with == ()
    assert (crossed.pits, crossed.by_chance) == (4, 2 / 16)
    heavier = [
        piece.model_copy(update={"mass": "3 lb"}) if piece.wrap == "foil" else piece
        for piece in kept.cook.pieces
    ]
    wrap = learnable(kept.cook.model_copy(update={"pieces": heavier}))[0]
    assert wrap.mixed_with == ("weight",)


def _line(clock, what, piece="", **data):
    at = dt.datetime.fromisoformat(f"2027-07-10T{clock}:00-05:00")
    return LogLine(f"{clock}{what}{piece}", at, what, made=at, piece=piece, data=data)


def test_guesses_are_scored_at_the_moments_the_tally_takes(kept):
    hours = {"p05": 2.4, "p10": 2.8, "p25": 3.3, "p50": 3.9, "p75": 4.4, "p90": 5.0, "p95": 5.4}
    kept_line = {
        "made_at": "2027-07-10T09:20:00-05:00",
        "as_of": "2027-07-10T09:20:00-05:00",
        "pieces": {"E": {"stages": {"tender": hours}}},
    }
    log = (
        _line("09:10", "guess", "E", duration_s=4.5 * 3600),
        _line("09:45", "meat_on"),
        _line("13:15", "feel_check", "E", verdict="not yet"),
        _line("13:45", "feel_check", "E", verdict="tender"),
    )
    record = dataclasses.replace(kept, log=log, forecasts=(kept_line,))
    piece = next(one for one in record.cook.pieces if one.letter == "E")
    found = guessed(record, piece, RuleHours(4.0, 4.75, 5.5, None))
    assert found.first is True
    assert found.happened_h == (3.5, 4.0)
    values, levels = list(hours.values()), (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
    times = likely_times(values, levels, (3.5, 4.0))
    assert found.off_h["guess"] == pytest.approx(np.mean(np.abs(times - 4.5)))
    assert found.off_h["hours per pound"] == pytest.approx(np.mean(np.abs(times - 4.75)))
    assert found.off_h["forecast"] == pytest.approx(np.mean(np.abs(times - 3.9)))
    assert found.nearest == "forecast"
    before = {**kept_line, "made_at": "2027-07-01T09:20:00-05:00"}
    planned = guessed(dataclasses.replace(record, forecasts=(before,)), piece, None)
    assert planned.first is None  # kept weeks ahead: nobody in class has seen it
    assert planned.off_h["forecast"] == found.off_h["forecast"]
    late = dataclasses.replace(log[0], at=log[1].at)
    assert guessed(dataclasses.replace(record, log=(late, *log[1:])), piece, None).first is False
    plan, _ = lesson_plan(record, made_at=AHEAD)
    row = guess_table(plan).rows[0]
    assert row[0] == "E (A)"
    assert row[5] == "forecast"
    text = handout_text(record.cook, plan.teams[0])
    assert "tender 3 h 30 to 4 h after meat on, guessed 4 h 30" in text


def test_blocks_of_four_pits_come_to_the_same_in_any_order(kept):
    blocks = {
        pit: f"{pit}:\n0910 {one} guess 4 h 20 min\n0945 meat on\n1030 spritz\n1030 spritz\n1145 {one} wrapped foil\n1320 {one} bend not yet\n"
        f"1340 {one} tender\n"
        for pit, one in zip("ABCD", "EGJL", strict=True)
    }
    logs = set()
    now = dt.datetime(2027, 7, 10, 23, tzinfo=dt.UTC)
    for order in itertools.permutations("ABCD"):
        context = paper_context(kept, now=now, source="paper", log=())
        block = read_block("\n".join(blocks[pit] for pit in order), context=context)
        entries = block.entries
        assert not block.asked
        logs.add(frozenset((one.id, one.at, one.what, one.piece, one.pit) for one in entries))
    assert len(logs) == 1


def test_a_handout_opens_as_a_plan_and_names_nobody(kept):
    named = kept.cook.lesson.model_copy(
        update={
            "teams": [
                team.model_copy(update={"names": ["Quillon Vey", "Ossie"]})
                for team in kept.cook.lesson.teams
            ]
        }
    )
    record = _changed(kept, lesson=named)
    plan, result = lesson_plan(record, made_at=AHEAD)
    assert student_names(plan.teams[0]) == ("A1", "A2", "A3")
    text = handout_text(record.cook, plan.teams[0])
    cook = parse(text, Cook, file="A1.toml")
    assert [piece.letter for piece in cook.pieces] == ["E", "F"]
    assert cook.pits[0].start == "280 F"
    assert cook.pits[0].pit == "pit"
    assert not any(piece.on for piece in cook.pieces)
    pages = [make(plan, result) for make in (teacher_html, slips_html, handouts_html)]
    for page in [text, *pages, pits_html(result)]:
        assert "Quillon" not in page
        assert "Ossie" not in page
    assert "3 h" not in slips_html(plan, result).split("<body>")[1].replace("4 h", "")
    assert handouts_html(plan, result).count('class="sheet"') == 12
    assert list(learn_lines(plan))


def test_a_name_is_found_whole_or_in_part_and_not_in_another_word(kept):
    team = kept.cook.lesson.teams[0].model_copy(update={"names": ["Quillon Vey", "Ann"]})
    cook = kept.cook.model_copy(
        update={"lesson": kept.cook.lesson.model_copy(update={"teams": [team]})}
    )
    refuse_names(cook, {"page.html": "the annual supper; a tranquillon of it"})
    for text in ("well done, QUILLON!", "by ann's pit", "Vey_1"):
        with pytest.raises(InputError, match="somebody of the class is named in page"):
            refuse_names(cook, {"page.html": text})


def test_a_class_that_is_given_away_names_nobody(book):
    folder = book.cook("class-of-twelve")
    text = folder.text()
    team = '[[lesson.teams]]\npit = "A"\nstudents = 3\n'
    path = folder.path / "cook.toml"
    try:
        path.write_text(text.replace(team, team + 'names = ["Quillon Vey"]\n'))
        given = shared(folder)
        assert "the names of students" in given.left_out
        assert not [name for name, held in given.files.items() if b"Quillon" in held]
        assert b"lesson.teams" in given.files[f"cooks/{folder.name}/cook.toml"]
    finally:
        path.write_text(text)


@pytest.mark.audit
def test_a_page_that_names_a_student_is_not_published(book, tmp_path):
    folder = book.cook("class-of-twelve")
    text = folder.text()
    team = '[[lesson.teams]]\npit = "A"\nstudents = 3\n'
    note = 'odds = "usual"\noutcome = "Well done by quillon and his team."\n'
    path = folder.path / "cook.toml"
    try:
        path.write_text(
            text.replace(team, team + 'names = ["Quillon Vey"]\n').replace('odds = "usual"\n', note)
        )
        report = publish(book, [folder], tmp_path / "named", made_at=AHEAD)
        assert report.failed == (folder.name,)
        assert "quillon and his team" in report.troubles[0]
    finally:
        path.write_text(text)
