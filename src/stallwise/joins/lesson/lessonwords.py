"""A class in words: shows, teams, what is mixed up with what, guesses; one set for terminal and paper."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.joins.lesson.guesses import Guessed
from stallwise.joins.lesson.learnable import Learnable
from stallwise.joins.lesson.lessonplan import LessonPlan
from stallwise.joins.lesson.showplan import ShowPlan
from stallwise.joins.result import Result
from stallwise.joins.tables import Table
from stallwise.joins.words import day_clock, hours, joined, odds_text

__all__ = [
    "guess_table",
    "layout_table",
    "learn_lines",
    "rule_words",
    "show_table",
    "team_table",
]


def show_table(plan: LessonPlan, result: Result) -> Table:
    """When which piece is shown in what, with what went on when, and how sure that is."""
    rows = [
        (
            f"{show.at:%H:%M}",
            f"in the {show.shown}" if show.shown == "stall" else show.shown,
            _pieces(show, result),
            odds_text(show.share),
        )
        for show in plan.shows
    ]
    return Table("Shown", ("at", "", "whichever is there", "works"), tuple(rows), "forecast")


def _pieces(show: ShowPlan, result: Result) -> str:
    return joined(
        [f"{letter}, on {day_clock(on, result.date)}" for letter, on, _ in show.pieces], "or"
    )


def team_table(plan: LessonPlan, result: Result) -> Table:
    """Each team with its pit, its students and what it cooks."""
    pieces = {piece.piece: piece for piece in result.pieces}
    rows = [
        (
            team.pit,
            team.pit_name,
            str(team.students),
            joined(
                [f"{one} {pieces[one].name} ({pieces[one].wrap})" for one in team.pieces],
                "and",
            ),
        )
        for team in plan.teams
    ]
    return Table("Teams", ("", "pit", "students", "cook"), tuple(rows), "sheet")


def learn_lines(plan: LessonPlan) -> Iterator[str]:
    """Say what is mixed up with what between the teams, and how to lay it out so that something is learned."""
    for one in plan.learnable:
        yield _mixed(one)
        yield _better(one) if one.mixed_with else _as_it_is(one)


def _mixed(one: Learnable) -> str:
    where = "; ".join(
        f"{pit}: {joined(list(dict.fromkeys(arms)), 'and')}"
        for pit, arms in one.by_pit.items()
        if arms
    )
    told = f"{one.thing.capitalize()} differs ({where})"
    if not one.mixed_with:
        return f"{told} and is mixed up with nothing else that was planned."
    return f"{told} and is mixed up with {joined(list(one.mixed_with), 'and')}: whoever sees a difference sees all of these."


def _better(one: Learnable) -> str:
    return (
        f"So that something is learned, {joined(list(one.arms), 'and')} lie side by side at every pit, as "
        f"laid out below. {_chance(one)}"
    )


def _as_it_is(one: Learnable) -> str:
    return (
        "Each pit is a comparison of its own; which lies where is crossed over as laid out below. "
        f"{_chance(one)}"
    )


def _chance(one: Learnable) -> str:
    times = round(1.0 / one.by_chance)
    if times <= 1:
        return "One pit alone shows nothing that chance would not."
    return (
        f"If all {one.pits} then point the same way, chance alone does that 1 time in {times}; one that points "
        "the other way settles nothing."
    )


def layout_table(one: Learnable) -> Table:
    """Arms by pit, in the order of its places."""
    header = ("pit", *(f"place {n}" for n in range(1, len(one.arms) + 1)))
    rows = tuple((pit, *arms) for pit, arms in one.layout.items())
    return Table(f"Laid out: {one.thing}", header, rows, "lesson")


def guess_table(plan: LessonPlan) -> Table:
    """Guess, hours per pound, forecast and what happened, of every piece of the teams."""
    rows = [_guess_row(one) for team in plan.teams for one in team.guesses]
    header = ("", "guess", "hours per pound", "forecast", "tender", "nearest", "off by")
    return Table("Guesses, after its own meat on", header, tuple(rows), "tally")


def _guess_row(one: Guessed) -> tuple[str, ...]:
    guess = hours(one.guess.hours_h) if one.guess else ""
    late = " (after the forecast)" if one.first is False else ""
    off = "; ".join(f"{name} {hours(off_h)}" for name, off_h in one.off_h.items())
    return (
        f"{one.piece} ({one.pit})",
        guess + late,
        rule_words(one),
        span_words(one.forecast_h),
        " to ".join(hours(end) for end in one.happened_h) if one.happened_h else "",
        one.nearest,
        off,
    )


def rule_words(one: Guessed) -> str:
    """Hours per pound of a piece; empty where cooks have no such rule."""
    return span_words(one.rule_h)


def span_words(span_h: tuple[float, float, float] | None) -> str:
    """Say a window by its ends."""
    return f"{hours(span_h[0])} to {hours(span_h[2])}" if span_h else ""
