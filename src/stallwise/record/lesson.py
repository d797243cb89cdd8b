"""A class in ``cook.toml``: when it begins and ends, its teams, and what is shown at which hour."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from stallwise.record.fields import Clock, Letter, Text
from stallwise.record.letters import Place, tables_of, unknown_letters
from stallwise.record.table import Table

__all__ = ["SHOWN", "Lesson", "Show", "Shown", "Team", "lesson_faults", "without_names"]

#: What a piece can be shown in, in a cook's words.
Shown = Literal["raw", "bark set", "stall", "wrapped", "tender", "resting", "slicing"]
SHOWN: tuple[Shown, ...] = ("raw", "bark set", "stall", "wrapped", "tender", "resting", "slicing")


class Team(Table):
    """Who cooks at one pit: ``{pit = "A", students = 3}``; nobody has a name unless it is given."""

    pit: Letter
    students: Annotated[int, Field(ge=1, le=100)]
    names: list[Annotated[str, Field(min_length=2, max_length=60)]] = []


class Show(Table):
    """A piece in a state at an hour: ``{pieces = ["S", "T"], shown = "stall", at = "11:30"}``.

    Several pieces stand in for each other: whichever is there is shown.
    """

    pieces: Annotated[list[Letter], Field(min_length=1)]
    shown: Shown
    at: Clock


class Lesson(Table):
    """A class: ``[lesson]`` with ``begins``, ``ends``, ``[[lesson.teams]]`` and ``[[lesson.shows]]``."""

    begins: Clock
    ends: Clock
    teams: list[Team] = []
    shows: list[Show] = []
    asks: Text | None = None


def without_names(lesson: Lesson) -> Lesson:
    """Leave the names of students out: what is given away names nobody."""
    teams = [team.model_copy(update={"names": []}) for team in lesson.teams]
    return lesson.model_copy(update={"teams": teams})


def lesson_faults(cook: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """Teams at pits and shows of pieces that are not there, in a cook as read."""
    lesson = cook.get("lesson")
    if not isinstance(lesson, Mapping):
        return []
    pits = {str(pit.get("letter", "P")) for _, pit in tables_of(cook, "pits")}
    pieces = {str(piece.get("letter")) for _, piece in tables_of(cook, "pieces")}
    found: list[tuple[Place, str, str]] = []
    taken: set[str] = set()
    for at, team in tables_of(lesson, "teams"):
        place = ("lesson", *at, "pit")
        found += unknown_letters([(place, team.get("pit"))], "a team is at pit", "pits", pits)
        if str(team.get("pit")) in taken:
            found.append((place, f"two teams at pit {team.get('pit')}", "each pit one team"))
        taken.add(str(team.get("pit")))
    for at, show in tables_of(lesson, "shows"):
        shown = show.get("pieces")
        named = [
            (("lesson", *at, "pieces"), one) for one in (shown if isinstance(shown, list) else [])
        ]
        found += unknown_letters(named, "shown is piece", "pieces", pieces)
    return found
