"""A cook moved to another day: hours that name a day of their own go along with it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from typing import Any

from stallwise.ground.errors import InputError

__all__ = ["along", "day_of", "move", "moved"]

_DATED = re.compile(r"(\d{4}-\d{2}-\d{2})([ T].*)")
#: Hours of a cook, and of each of its pieces.
_OF_COOK = ("serve", "asleep", "awake")
_OF_PIECE = ("on", "serve", "thaw_from")
_SAID = frozenset({*_OF_COOK, *_OF_PIECE})


def day_of(text: object) -> dt.date:
    """Read a day.

    Parameters
    ----------
    text : str or date
        Year, month, day: ``2027-09-25``.

    Raises
    ------
    InputError
        Not a day of the calendar, or written in another way.
    """
    if isinstance(text, dt.date) and not isinstance(text, dt.datetime):
        return text
    try:
        return dt.date.fromisoformat(str(text).strip())
    except ValueError:
        raise InputError(
            f"{text!r} is no day" if str(text).strip() else "the day is empty",
            "year, month and day, as 2027-09-25",
        ) from None


def moved(data: Mapping[str, Any], day: dt.date) -> dict[str, str]:
    """Hours of a cook that go along to another day, by dotted key, as they are then.

    Parameters
    ----------
    data : mapping
        A cook as plain data.
    day : date
        The new day.

    Raises
    ------
    InputError
        A move to another pit names a day: it is written in a list, which is the cook's own.
    """
    by = day - data["date"]
    found = {}
    for key, owner, name in _hours(data):
        if match := _DATED.fullmatch(str(owner.get(name) or "")):
            found[key] = f"{dt.date.fromisoformat(match[1]) + by}{match[2]}"
    if by and any(_DATED.fullmatch(str(at)) for at in _of_moves(data)):
        raise InputError(
            "a move to another pit names a day of its own",
            "moves by the clock alone, as 04:30",
            "Change it in cook.toml, then move the cook",
        )
    return found


def along(said: Mapping[str, Any], by: dt.timedelta) -> dict[str, str]:
    """Take hours with a day of their own that were said of a plan along, by name of the parameter.

    Parameters
    ----------
    said : mapping
        What was said, by name.
    by : timedelta
        How far the cook is moved.
    """
    found = {}
    for name, value in said.items():
        match = _DATED.fullmatch(str(value)) if name.partition("__")[0] in _SAID else None
        if match:
            found[name] = f"{dt.date.fromisoformat(match[1]) + by}{match[2]}"
    return found


def move(data: dict[str, Any], day: dt.date) -> None:
    """Take the hours of a cook as plain data along to another day."""
    later = moved(data, day)
    for key, owner, name in _hours(data):
        if key in later:
            owner[name] = later[key]


def _hours(data: Mapping[str, Any]) -> Iterator[tuple[str, Any, str]]:
    for name in _OF_COOK:
        yield name, data, name
    for piece in data["pieces"]:
        for name in _OF_PIECE:
            yield f"pieces.{piece['letter']}.{name}", piece, name


def _of_moves(data: Mapping[str, Any]) -> Iterator[object]:
    for piece in data["pieces"]:
        for one in piece.get("moves") or ():
            yield one.get("at")
