"""Which cooks a re-run is of: by name, or by what they are (cut, pit, tag, date)."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError, NotFoundError, StallwiseError
from stallwise.record.cookfolder import CookFolder
from stallwise.record.folder import Cookbook
from stallwise.record.schema import Cook

__all__ = ["Chosen", "choose_cooks", "span_of"]

Span = tuple[dt.date, dt.date]

_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_DATES = "2026, 2026-05, 2026-05-16, or from..to with either end left open"


@dataclass(frozen=True)
class Chosen:
    """One cook to run: its folder, and what is wrong with it where it cannot be read."""

    folder: CookFolder
    cook: Cook | None
    unread: str = ""


#: What a cook is asked by: all that it is called there.
_ASKED: Mapping[str, Callable[[Cook], Sequence[str]]] = {
    "cut": lambda cook: [piece.cut for piece in cook.pieces],
    "pit": lambda cook: [pit.pit for pit in cook.pits if pit.pit],
    "tag": lambda cook: list(cook.tags),
}


def choose_cooks(
    book: Cookbook, names: Sequence[str] = (), where: Sequence[str] = ()
) -> list[Chosen]:
    """Choose cooks; one that cannot be read stands among them, with the reason.

    Parameters
    ----------
    book : Cookbook
    names : sequence of str
        Cooks, none of them twice; none means all.
    where : sequence of str
        ``cut=…``, ``pit=…``, ``tag=…``, ``date=…`` (a day, month, year, or ``from..to``): only
        cooks that fit all.

    Raises
    ------
    InputError
        A condition without a value, of a key that there is not, or that no cook of the book has.
    """
    conditions = [_condition(text) for text in where]
    folders = {one.name: one for one in map(book.cook, names)} if names else None
    chosen = [_read(one) for one in (folders.values() if folders else book.cooks())]
    read = [one.cook for one in chosen if one.cook is not None]
    for key, value in conditions:
        if isinstance(value, str):
            there = {said for cook in read for said in _ASKED[key](cook)}
            if value not in there:
                raise NotFoundError(f"{key} of these cooks", value, there)
    return [one for one in chosen if one.cook is None or _fits(one.cook, conditions)]


def span_of(text: str) -> Span:
    """Read a day, a month, a year, or ``from..to`` as the first and last day of it.

    Raises
    ------
    InputError
        It is none of these.
    """
    low, dots, high = text.partition("..")
    if not dots:
        return _ends(text)
    first = _ends(low)[0] if low.strip() else dt.date.min
    last = _ends(high)[1] if high.strip() else dt.date.max
    if first > last:
        raise InputError(f"date={text} ends before it begins", _DATES)
    return first, last


def _ends(text: str) -> Span:
    found = _DATE.fullmatch(text.strip())
    if found is None:
        raise InputError(f"date {text!r}", _DATES)
    year, month, day = (int(part) if part else None for part in found.groups())
    try:
        if month is None or day is None:
            first = dt.date(year or 0, month or 1, 1)
            after = (first.year, first.month + 1) if month else (first.year + 1, 1)
            ends = dt.date(after[0] + after[1] // 13, after[1] % 13 or 1, 1)
            return first, ends - dt.timedelta(days=1)
        there = dt.date(year or 0, month, day)
    except ValueError:
        raise InputError(f"there is no date {text!r}", _DATES) from None
    return there, there


def _condition(text: str) -> tuple[str, str | Span]:
    key, sign, value = (part.strip() for part in text.partition("="))
    if not sign or not value:
        raise InputError(
            f"--where {text!r} says no value", "key=value, for example cut=lamb-shoulder"
        )
    if key == "date":
        return key, span_of(value)
    if key not in _ASKED:
        raise NotFoundError("key for --where", key, [*_ASKED, "date"])
    return key, value


def _fits(cook: Cook, conditions: Sequence[tuple[str, str | Span]]) -> bool:
    return all(
        value in _ASKED[key](cook) if isinstance(value, str) else value[0] <= cook.date <= value[1]
        for key, value in conditions
    )


def _read(folder: CookFolder) -> Chosen:
    try:
        return Chosen(folder, folder.read())
    except StallwiseError as error:
        return Chosen(folder, None, str(error))
