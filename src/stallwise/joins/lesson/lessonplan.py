"""A class as planned: what is shown when, what each team cooks, whether it fits the hours, what can be learned."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.answer import answer
from stallwise.joins.foresight import Foreseen, foresee, question
from stallwise.joins.instants import apart
from stallwise.joins.lesson.guesses import Guessed, guessed
from stallwise.joins.lesson.learnable import Learnable, learnable
from stallwise.joins.lesson.showplan import ShowPlan, planned_starts, show_plans
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.words import day_clock, joined, odds_text
from stallwise.models.rules import piece_rule
from stallwise.record import clocks
from stallwise.record.cook import CookRecord
from stallwise.record.lesson import Lesson

__all__ = ["LessonPlan", "TeamPlan", "lesson_plan"]


@dataclass(frozen=True)
class TeamPlan:
    """One team: the letter and name of its pit, how many students, its pieces, and what was guessed of them."""

    pit: str
    pit_name: str
    students: int
    pieces: tuple[str, ...]
    guesses: tuple[Guessed, ...]


@dataclass(frozen=True)
class LessonPlan:
    """A class.

    Attributes
    ----------
    cook, title : str
    date : date
    begins, ends : datetime
    shows : tuple of ShowPlan
    starts : mapping of str to str
        Meat on of shown pieces as found, as settings; empty once they stand in ``cook.toml``.
    teams : tuple of TeamPlan
    learnable : tuple of Learnable
    warnings : tuple of CookWarning
    """

    cook: str
    title: str
    date: dt.date
    begins: dt.datetime
    ends: dt.datetime
    shows: tuple[ShowPlan, ...]
    starts: Mapping[str, str]
    teams: tuple[TeamPlan, ...]
    learnable: tuple[Learnable, ...]
    warnings: tuple[CookWarning, ...]


def lesson_plan(record: CookRecord, *, made_at: dt.datetime) -> tuple[LessonPlan, Result]:
    """Plan a class.

    Parameters
    ----------
    record : CookRecord
        With ``[lesson]`` in its ``cook.toml``.
    made_at : datetime
        Moment of the asking, aware.

    Returns
    -------
    LessonPlan, Result
        And the answer with the starts of what is shown.

    Raises
    ------
    InputError
        It is no class, or ends before it begins.
    """
    lesson = record.cook.lesson
    if lesson is None:
        raise InputError(
            f"{record.name} is no class",
            '[lesson] in its cook.toml, with begins = "09:00" and ends = "15:00"',
        )
    begins, ends = (
        clocks.moment(text, record.cook.date, record.zone).astimezone(record.zone)
        for text in (lesson.begins, lesson.ends)
    )
    if ends <= begins:
        raise InputError(f"a class from {lesson.begins} to {lesson.ends}", "an end after its begin")
    asked = question(record, made_at=made_at)
    seen = foresee(asked)
    starts = planned_starts(asked, seen)
    if starts:
        asked = question(record, made_at=made_at, changes=starts)
        seen = foresee(asked)
    result = answer(record, made_at=made_at, changes=starts)
    shows = show_plans(asked, seen)
    teams = tuple(_teams(record, lesson, seen, result))
    plan = LessonPlan(
        record.name,
        record.cook.title,
        record.cook.date,
        begins,
        ends,
        shows,
        starts,
        teams,
        learnable(record.cook),
        (*_told(shows), *_out_of_hours(result, teams, begins, ends), *_kept(result, record)),
    )
    return plan, result


def _teams(
    record: CookRecord, lesson: Lesson, seen: Foreseen, result: Result
) -> Iterator[TeamPlan]:
    rules = {one.piece.letter: piece_rule(one.plan) for one in seen.planned}
    for team in lesson.teams:
        mine = [piece for piece in record.cook.pieces if piece.pit == team.pit]
        yield TeamPlan(
            team.pit,
            result.pit_names.get(team.pit, team.pit),
            team.students,
            tuple(piece.letter for piece in mine),
            tuple(guessed(record, piece, rules.get(piece.letter)) for piece in mine),
        )


def _told(shows: tuple[ShowPlan, ...]) -> Iterator[CookWarning]:
    """Say which show is not sure enough, and what would make it so."""
    for show in shows:
        if not show.enough:
            letters = joined([letter for letter, _, _ in show.pieces], "and")
            cooler = " A cooler pit stalls longer and more surely." if show.shown == "stall" else ""
            yield CookWarning(
                "show-unsure",
                f"{show.shown.capitalize()} at {show.at:%H:%M} with {letters} works {odds_text(show.share)}: "
                f"one more piece to stand in makes it surer.{cooler}",
            )


def _out_of_hours(
    result: Result, teams: tuple[TeamPlan, ...], begins: dt.datetime, ends: dt.datetime
) -> Iterator[CookWarning]:
    """Say what a team would have to do out of the hours, and when it would be ready within them."""
    pieces = {piece.piece: piece for piece in result.pieces}
    for team in teams:
        mine = [pieces[letter] for letter in team.pieces]
        if not mine:
            yield CookWarning(
                "team-idle",
                f"Team {team.pit} has nothing on its pit: a piece with pit = {team.pit!r}.",
            )
            continue
        first = min(
            (
                step
                for step in result.steps
                if step.pit == team.pit and kind_of(step) in {"fire_lit", "switch_on", "meat_on"}
            ),
            key=lambda step: step.at,
            default=None,
        )
        if first is not None and first.at < begins:
            later = apart(begins, first.at)
            yield CookWarning(
                "before-class",
                f"Team {team.pit} would have to begin at {day_clock(first.at, result.date)} "
                f"({first.what.lower()}), and the class begins at {begins:%H:%M}. {_begun_later(mine, later, ends)}",
            )
        late = [one for one in mine if one.serve_at and one.serve_at > ends]
        if late:
            yield CookWarning(
                "after-class",
                f"{joined([one.piece for one in late], 'and')} of team {team.pit} is eaten after the class ends at "
                f"{ends:%H:%M}: a smaller piece, a hotter pit, or an earlier begin.",
            )


def _begun_later(mine: list[PieceResult], later: dt.timedelta, ends: dt.datetime) -> str:
    """When it is ready where it is begun with the class, by the usual odds; the nearest plan that works."""
    ready = [one.ready_at.get("usual") for one in mine]
    known = [at for at in ready if at is not None]
    if len(known) < len(mine):
        return "Begun with the class it is not ready that day: a smaller piece or a hotter pit."
    at = max(known) + later
    if at <= ends:
        return f"Begun with the class it can be eaten by {at:%H:%M} (usual): set serve to that."
    over = apart(at, ends)
    return (
        f"Begun with the class it can be eaten by {at:%H:%M} (usual), {int(over.total_seconds() // 60)} min "
        "after its end: a smaller piece, a hotter pit, or the fire lit by the teacher before."
    )


def _kept(result: Result, record: CookRecord) -> Iterator[CookWarning]:
    """Take what the day sheet warns of; that a shown piece has no serving time is meant so."""
    lesson = record.cook.lesson
    shown = {letter for show in (lesson.shows if lesson else []) for letter in show.pieces}
    for one in result.warnings:
        if not (one.key in {"no-serve", "assumed"} and one.piece in shown):
            yield one
