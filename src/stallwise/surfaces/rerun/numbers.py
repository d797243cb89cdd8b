"""The figures of a cook answered in process, without a kernel."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from stallwise.joins.ask import ask
from stallwise.joins.result import to_plain
from stallwise.surfaces.rerun.checking import plan_of

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord

__all__ = ["answers"]

Plain = dict[str, Any]


def answers(
    record: CookRecord, changes: Mapping[str, Any], made_at: dt.datetime, *, new: bool, old: bool
) -> tuple[Plain | None, Plain | None]:
    """Answer a cook with changes, and as it is: whole Results as plain data.

    Parameters
    ----------
    record : CookRecord
        The cook; all that the answer rests on, so that it can be sent elsewhere.
    changes : mapping
        Plan parameters, and ``as_of``.
    made_at : datetime
        Wall clock of the asking, aware.
    new, old : bool
        Which of the two is wanted.

    Returns
    -------
    new, old : dict or None

    Raises
    ------
    StallwiseError
        It cannot be answered, in words.
    """
    as_of, plan = changes.get("as_of"), plan_of(changes)
    return (
        to_plain(ask(record, made_at=made_at, as_of=as_of, changes=plan)) if new else None,
        to_plain(ask(record, made_at=made_at)) if old else None,
    )
