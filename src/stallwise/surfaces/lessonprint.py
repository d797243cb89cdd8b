"""A class on paper: the teacher's page, guess slips without the forecast, a handout for each student."""

from __future__ import annotations

from dataclasses import replace

from stallwise.joins.lesson.handout import came_words, student_names
from stallwise.joins.lesson.lessonplan import LessonPlan, TeamPlan
from stallwise.joins.lesson.lessonwords import (
    layout_table,
    learn_lines,
    rule_words,
    show_table,
    team_table,
)
from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.result import PieceResult, Result, Step
from stallwise.joins.sheet.sheetwords import at_the_pit, kind_of
from stallwise.joins.tables import grams
from stallwise.joins.words import day_clock, mass
from stallwise.surfaces.paper import long_day, paper_named, template
from stallwise.surfaces.sheetprint import sheet_html

__all__ = ["handouts_html", "pits_html", "slips_html", "teacher_html"]

#: What a student is told of the day: the meat's own steps.
_TOLD = frozenset({"fire_lit", "pit_steady", "meat_on", "look", "spritz", "wrap", "unwrap", "glaze",
                   "check", "tender", "rest", "carve"})  # fmt: skip


def teacher_html(plan: LessonPlan, result: Result, *, paper: str = "a4") -> str:
    """Make the teacher's page: what is shown when, the teams, what is mixed up with what.

    Parameters
    ----------
    plan : LessonPlan
    result : Result
        The same class as answered.
    paper : {"a4", "letter"}
    """
    own = {team.pit for team in plan.teams}
    by_teacher = [
        (_clock(step, result), step.piece or step.pit, step.what)
        for step in result.steps
        if step.at <= plan.ends
        and at_the_pit(step)
        and kind_of(step) in _TOLD
        and _pit_of(step, result) not in own
    ]
    return template("teacher.html").render(
        title=plan.title,
        day=long_day(plan.date),
        begins=f"{plan.begins:%H:%M}",
        ends=f"{plan.ends:%H:%M}",
        shows=show_table(plan, result),
        teams=team_table(plan, result),
        steps=by_teacher,
        lines=list(learn_lines(plan)),
        layouts=[layout_table(one) for one in plan.learnable],
        warnings=[one.text for one in plan.warnings if one.key in _TEACHER],
        sample=result.sample,
        paper=paper_named(paper),
    )


#: Warnings that are the teacher's to settle before the day.
_TEACHER = frozenset(
    {"show-unsure", "before-class", "after-class", "team-idle", "hands", "pit-full"}
)


def _clock(step: Step, result: Result) -> str:
    return day_clock(step.at, result.date, result.as_of)


def _pit_of(step: Step, result: Result) -> str:
    pits = {piece.piece: piece.pit for piece in result.pieces}
    return step.pit or pits.get(step.piece, "")


def pits_html(result: Result, *, paper: str = "a4") -> str:
    """Make a sheet for each pit: its team shares the work out by itself; as for the teacher's."""
    steps = tuple(replace(step, person="") for step in result.steps)
    return sheet_html(replace(result, steps=steps, roles=()), paper=paper, reader="pit")


def slips_html(plan: LessonPlan, result: Result, *, paper: str = "a4") -> str:
    """Make the slips on which each team writes its guess before the forecast is shown; as for the teacher's."""
    pieces = {piece.piece: piece for piece in result.pieces}
    return template("slips.html").render(
        title=plan.title,
        day=long_day(plan.date),
        teams=[
            {
                "pit": team.pit,
                "name": team.pit_name,
                "pieces": [
                    {
                        "letter": one.piece,
                        "name": pieces[one.piece].name,
                        "mass": mass(pieces[one.piece].mass_kg, result.units),
                        "wrap": pieces[one.piece].wrap,
                        "finish": pieces[one.piece].finish,
                        "rule": rule_words(one),
                    }
                    for one in team.guesses
                ],
            }
            for team in plan.teams
        ],
        sample=result.sample,
        paper=paper_named(paper),
    )


def handouts_html(plan: LessonPlan, result: Result, *, paper: str = "a4") -> str:
    """Make a handout for each student, two on a page; as for the teacher's."""
    return template("handouts.html").render(
        title=plan.title,
        day=long_day(plan.date),
        students=[
            {"name": name, **_team(team, result)}
            for team in plan.teams
            for name in student_names(team)
        ],
        sample=result.sample,
        paper=paper_named(paper),
    )


def _team(team: TeamPlan, result: Result) -> dict[str, object]:
    pieces = [piece for piece in result.pieces if piece.piece in team.pieces]
    rows: dict[tuple[str, str], list[str]] = {}
    for step in result.steps:
        mine = step.piece in team.pieces or (step.pit == team.pit and not step.piece)
        if mine and kind_of(step) in _TOLD and kind_of(step) != "tender":
            rows.setdefault((_clock(step, result), step.what), []).append(step.piece)
    return {
        "pit": team.pit,
        "pieces": [_piece(piece, result) for piece in pieces],
        "rubs": [_rub(mix) for mix in result.mixes if set(mix.on) & set(team.pieces)],
        "steps": [(at, " ".join(filter(None, who)), what) for (at, what), who in rows.items()],
        "came": [text for one in team.guesses if (text := came_words(one))],
    }


def _piece(piece: PieceResult, result: Result) -> str:
    weight = mass(piece.mass_kg, result.units)
    return f"{piece.piece}: {piece.name}, {weight}, wrap {piece.wrap}, {piece.finish}"


def _rub(mix: MixResult) -> str:
    """Write a rub by the share of each thing in it: it fits whatever the student weighs."""
    parts = ", ".join(
        f"{line.name} {grams(100.0 * line.grams / mix.total_g)}" for line in mix.lines
    )
    return f"{mix.name}, of 100 g: {parts}"
