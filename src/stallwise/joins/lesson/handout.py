"""A student's handout: the team's plan as a ``cook.toml`` that opens as that student's next one."""

from __future__ import annotations

from typing import Any

from stallwise.joins.draft import cook_text, piece_plan
from stallwise.joins.lesson.guesses import Guessed
from stallwise.joins.lesson.lessonplan import TeamPlan
from stallwise.joins.words import hours
from stallwise.record.schema import SCHEMA, Cook

__all__ = ["came_words", "handout_text", "student_names"]


def student_names(team: TeamPlan) -> tuple[str, ...]:
    """Names of a team's handouts: the pit and a number, never a person's."""
    return tuple(f"{team.pit}{number}" for number in range(1, team.students + 1))


def handout_text(cook: Cook, team: TeamPlan) -> str:
    """Text of the file that ``stallwise new --from`` opens.

    It holds the plan of the team's pieces, pit and rubs, and how it went as the line for the next
    time; nobody's name, no guest, no price, no other team.

    Parameters
    ----------
    cook : Cook
        Of the class.
    team : TeamPlan
    """
    letters = set(team.pieces)
    pits = [use for use in cook.pits if use.letter == team.pit]
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "title": f"After the class: {cook.title}",
        "date": cook.date,
        "template": "cook",
        "odds": cook.odds,
        "sample": cook.sample,
    }
    if serve := next((piece.serve for piece in cook.pieces if piece.letter in letters), None):
        data["serve"] = serve
    if came := [text for one in team.guesses if (text := came_words(one))]:
        data["next_time"] = " ".join(came)
    # The class's pit is not the student's: its heat and fuel come along, its name does not.
    data["pits"] = [
        {
            key: value
            for key, value in use.model_dump(exclude_none=True, exclude_defaults=True).items()
            if key != "pit"
        }
        for use in pits
    ]
    data["pieces"] = [piece_plan(piece) for piece in cook.pieces if piece.letter in letters]
    mixes = []
    for use in cook.mixes:
        on = [letter for letter in use.on if letter in letters]
        if on:
            kept = {"mix": use.mix, "on": on}
            mixes.append(kept)
    data["mixes"] = mixes
    return cook_text({key: value for key, value in data.items() if value not in ([], False)})


def came_words(one: Guessed) -> str:
    """Say how a piece came out beside what was guessed and forecast; empty before it is known."""
    if one.happened_h is None:
        return ""
    low, high = (hours(end) for end in one.happened_h)
    said = f"{one.piece}: tender {low} to {high} after meat on"
    if one.guess:
        said += f", guessed {hours(one.guess.hours_h)}"
    if one.forecast_h:
        said += f", forecast {hours(one.forecast_h[0])} to {hours(one.forecast_h[2])}"
    return f"{said}."
