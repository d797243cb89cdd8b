"""How many people a day takes, where those it has are wanted twice at once: the nearest number that does."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from stallwise.ground.errors import CookWarning
from stallwise.joins.answer import answer
from stallwise.joins.result import Result
from stallwise.record.cook import CookRecord

__all__ = ["enough_people"]

#: More than these on top are not tried: then the day is too full.
_MORE = 3
_HANDS = "hands"


def enough_people(
    record: CookRecord,
    result: Result,
    *,
    made_at: dt.datetime,
    changes: Mapping[str, Any] | None = None,
) -> tuple[CookWarning, ...]:
    """Say with how many people nobody is wanted in two places; nothing where that is so already.

    Parameters
    ----------
    record, made_at, changes
        As the answer was asked with.
    result : Result
        The answer.
    """
    people = record.cook.people
    if people is None or not _short(result):
        return ()
    for many in range(people + 1, people + 1 + _MORE):
        more = replace(record, cook=record.cook.model_copy(update={"people": many}))
        if not _short(answer(more, made_at=made_at, changes=changes)):
            text = f"With {many} people nobody is wanted in two places: people = {many}."
            return (CookWarning("people", text),)
    text = f"With {people + _MORE} people somebody is still wanted in two places: spread the times out."
    return (CookWarning("people", text),)


def _short(result: Result) -> bool:
    return any(one.key == _HANDS for one in result.warnings)
