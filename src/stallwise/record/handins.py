"""A contest day in ``cook.toml``: what is handed in when, and afterwards what was picked and said of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field

from stallwise.record.fields import Clock, Duration, FileName, Letter, Text
from stallwise.record.letters import Place, tables_of, unknown_letters
from stallwise.record.number import Number
from stallwise.record.table import Table

__all__ = ["Contest", "HandIn", "handin_faults"]


class HandIn(Table):
    """One hand-in: ``{name = "ribs", at = "12:30", pieces = ["A", "B"], wanted = 1}``.

    Its pieces are cooked for it, more than the `wanted` ones, so that there is something to pick.
    Afterwards `picked` says which, `why` in a line, `photo` shows it; `comments` and one `number` of
    the cook's choice are whatever came back.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    at: Clock
    pieces: Annotated[list[Letter], Field(min_length=1)]
    wanted: Annotated[int, Field(ge=1, le=200)] = 1
    picked: list[Letter] = []
    why: Annotated[str, Field(max_length=300)] | None = None
    photo: FileName | None = None
    comments: list[Text] = []
    number: Number | None = None


class Contest(Table):
    """A contest day: ``[contest]`` with ``[[contest.hand_ins]]``.

    No fire is lit before it `opens`. `grace` is how late a hand-in is still taken; none when not said.
    """

    opens: Clock | None = None
    grace: Duration | None = None
    hand_ins: Annotated[list[HandIn], Field(min_length=1)]


def handin_faults(cook: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """Pieces of hand-ins that are not there, are in two, or have another serving time."""
    contest = cook.get("contest")
    if not isinstance(contest, Mapping):
        return []
    pieces = {str(piece.get("letter")): piece for _, piece in tables_of(cook, "pieces")}
    found: list[tuple[Place, str, str]] = []
    where: dict[str, str] = {}
    for at, hand_in in tables_of(contest, "hand_ins"):
        name, place = str(hand_in.get("name")), ("contest", *at, "pieces")
        for key in ("pieces", "picked"):
            said = hand_in.get(key)
            named = [
                (("contest", *at, key), one) for one in (said if isinstance(said, list) else [])
            ]
            found += unknown_letters(named, f"hand-in {name!r} is of piece", "pieces", set(pieces))
        letters = hand_in.get("pieces")
        for letter in letters if isinstance(letters, list) else []:
            serve = pieces.get(str(letter), {}).get("serve")
            if str(letter) in where:
                told = f"piece {letter} is handed in as {where[letter]!r} and as {name!r}"
                found.append((place, told, "each piece once"))
            elif serve is not None and str(serve) != str(hand_in.get("at")):
                told = f"piece {letter} is served at {serve}, and handed in at {hand_in.get('at')}"
                found.append((place, told, "one time: leave serve out of the piece"))
            where[str(letter)] = name
    return found
