"""What of a quote, a class and a contest comes along to the next one like it: the terms, not what it came to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["carried_events"]

#: Terms of a quote; what was given out, who came and what was paid is that day's.
_TERMS = ("no_shows", "margin", "wage", "hours", "without", "liked", "note")
_LESSON, _TEAM, _SHOW = ("begins", "ends", "asks"), ("pit", "students"), ("shown", "at")
_CONTEST, _HAND_IN = ("opens", "grace"), ("name", "at", "wanted")


def carried_events(old: Mapping[str, Any], letters: set[str]) -> dict[str, Any]:
    """Take what a new cook is pre-filled with, as plain data.

    Parameters
    ----------
    old : mapping
        The earlier cook as plain data.
    letters : set of str
        Pieces that come along; a show or a hand-in without one is left out. Names never come along.
    """
    found: dict[str, Any] = {}
    if terms := _only(old.get("quote"), _TERMS):
        found["quote"] = terms
    if lesson := _only(old.get("lesson"), _LESSON):
        was = old["lesson"]
        teams = [_only(team, _TEAM) for team in was.get("teams", [])]
        shows = _with_pieces(was.get("shows", []), _SHOW, letters)
        found["lesson"] = lesson | _some("teams", teams) | _some("shows", shows)
    if was := old.get("contest"):
        hand_ins = _with_pieces(was.get("hand_ins", []), _HAND_IN, letters)
        if hand_ins:
            found["contest"] = {**_only(was, _CONTEST), "hand_ins": hand_ins}
    return found


def _only(table: Mapping[str, Any] | None, keys: tuple[str, ...]) -> dict[str, Any]:
    return {key: table[key] for key in keys if key in table} if table else {}


def _with_pieces(
    rows: list[Mapping[str, Any]], keys: tuple[str, ...], letters: set[str]
) -> list[dict[str, Any]]:
    return [
        {**_only(row, keys), "pieces": there}
        for row in rows
        if (there := [one for one in row["pieces"] if one in letters])
    ]


def _some(key: str, rows: list[dict[str, Any]]) -> dict[str, Any]:
    return {key: rows} if rows else {}
