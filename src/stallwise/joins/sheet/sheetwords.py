"""Steps as a cook reads them: clocks rounded as is useful, like steps of several pieces in one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.joins import words
from stallwise.joins.instants import AGAIN, apart, is_second_hour, wall
from stallwise.joins.result import Step
from stallwise.joins.sheet.steptable import caution_short, step_row, step_rows

__all__ = [
    "SheetRow",
    "at_the_pit",
    "kind_of",
    "planned_clock",
    "sheet_rows",
    "shown_to",
    "step_clock",
    "step_span",
]

#: A plan is kept to five minutes; it is never rounded later.
_FIVE_S = 300
#: Steps of several pieces that are so close together are one row.
_BOARD_VISIT, _PIT_VISIT = dt.timedelta(minutes=45), dt.timedelta(minutes=20)
#: Two plates half an hour apart are two rows, whatever is on them.
_AT_TABLE, _ONE_HAND = frozenset({"carve", "pan", "carry", "serve"}), dt.timedelta(minutes=5)
#: These wait for the meat, so their times are as rough as its own.
_AFTER_TENDER = frozenset({"tender", "rest", "hold"})
#: A span shorter than this is a moment.
_SHORT = dt.timedelta(minutes=10)


def at_the_pit(step: Step) -> bool:
    """Whether a step is done at the pit, or else in the kitchen."""
    return step_row(kind_of(step)).place == "pit"


@dataclass(frozen=True)
class SheetRow:
    """One row of the day sheet, for one piece or several.

    Attributes
    ----------
    kind : str
        Kind of step, a key of ``data/steps.csv``.
    day : str
        ``Fri`` where the row is not on the cook's date, else empty; with ``again`` in the hour
        that comes twice.
    clock, span : str
        When, and between which times it is most likely (empty for a moment).
    who : str
        Letters of pieces, or of a pit where there are several.
    what, until, detail : str
        What is done, the sign it ends on, and what more is useful.
    cautions : tuple of str
        What may hurt, a line each.
    done : str
        When it was done, as logged.
    at : datetime
        Instant that `clock` shows.
    full : tuple of str
        The same in full, with its source.
    by : tuple of str
        Whose hands it has, ``1`` and so on, where people are counted.
    news : str
        What is new of it since the last print: ``was 13:30``, ``new``, or empty.
    odds : str
        By when it must be for serving, and how likely that is; empty where serving does not hang on it.
    """

    kind: str
    day: str
    clock: str
    span: str
    who: str
    what: str
    until: str
    detail: str
    cautions: tuple[str, ...]
    done: str
    at: dt.datetime
    full: tuple[str, ...] = ()
    by: tuple[str, ...] = ()
    news: str = ""
    odds: str = ""


def kind_of(step: Step) -> str:
    """Kind of a step, from its id."""
    return step.id.partition("-")[0]


def step_clock(step: Step, as_of: dt.datetime, at: dt.datetime | None = None) -> dt.datetime:
    """Time of a step as it is shown: a plan to five minutes and never later, a forecast as it bears.

    Parameters
    ----------
    step : Step
        The step.
    as_of : datetime
        Moment of the forecast.
    at : datetime, optional
        Another time than the step's own `at`.
    """
    at = at or step.at
    return words.round_clock(at, as_of) if _is_forecast(step) else planned_clock(at)


def planned_clock(at: dt.datetime) -> dt.datetime:
    """Time of what is planned as it is shown: to five minutes and never later."""
    return dt.datetime.fromtimestamp(at.timestamp() // _FIVE_S * _FIVE_S, at.tzinfo)


def _is_forecast(step: Step) -> bool:
    kind = kind_of(step)
    return kind in _AFTER_TENDER or (step.source == "forecast" and kind != "meat_on")


def shown_to(step: Step, as_of: dt.datetime) -> dt.timedelta:
    """How fine the time of a step is shown: a smaller move cannot be told from it."""
    if _is_forecast(step):
        return words.precision(apart(step.at, as_of))
    return dt.timedelta(seconds=_FIVE_S)


def step_span(steps: Sequence[Step], as_of: dt.datetime) -> str:
    """Span in which steps are most likely, rounded outwards; empty for a moment."""
    low = min((step.earliest for step in steps), key=_instant)
    high = max((step.latest for step in steps), key=_instant)
    if apart(high, low) < _SHORT:
        return ""
    shown = (words.round_clock(low, as_of, mode="down"), words.round_clock(high, as_of, mode="up"))
    return "–".join(wall(each) for each in shown)


def _instant(at: dt.datetime) -> float:
    return at.timestamp()


def sheet_rows(
    steps: Sequence[Step], *, date: dt.date, as_of: dt.datetime, many_pits: bool = False
) -> tuple[SheetRow, ...]:
    """Rows of a sheet: like steps of several pieces that come together share one.

    Parameters
    ----------
    steps : sequence of Step
        In order of time.
    date : date
        The cook's.
    as_of : datetime
        Moment of the forecast.
    many_pits : bool
        Whether a pit must be named.
    """
    groups: list[list[Step]] = []
    for step in steps:
        group = next((each for each in groups if _joins(each, step, as_of)), None)
        if group is None:
            groups.append([step])
        else:
            group.append(step)
    rows = (_row(group, date, as_of, many_pits=many_pits) for group in groups)
    # Times are shown rounded: what is tender comes before its rest where both are shown alike.
    order = {kind: rank for rank, kind in enumerate(step_rows())}
    return tuple(sorted(rows, key=lambda row: (row.at.timestamp(), order.get(row.kind, 0))))


def _joins(group: Sequence[Step], step: Step, as_of: dt.datetime) -> bool:
    first = group[0]
    if kind_of(first) != kind_of(step) or first.what != step.what or not step.piece:
        return False
    # A sign that is another piece's own is no sign of this one.
    if first.until_sign != step.until_sign:
        return False
    if any(each.piece == step.piece for each in group) or bool(first.done_at) != bool(step.done_at):
        return False
    if kind_of(step) == "thaw":
        return step.at.date() == first.at.date()
    if kind_of(step) in _AFTER_TENDER:
        # Nothing rests in a row that stands before it is tender.
        return step_clock(step, as_of) == step_clock(first, as_of)
    near = _PIT_VISIT if at_the_pit(step) else _BOARD_VISIT
    if kind_of(step) in _AT_TABLE:
        near = _ONE_HAND
    return apart(step.at, first.at) <= near


def _row(group: Sequence[Step], date: dt.date, as_of: dt.datetime, *, many_pits: bool) -> SheetRow:
    first = group[0]
    at = step_clock(first, as_of)
    letters = " ".join(sorted(step.piece for step in group if step.piece))
    done = min((step.done_at for step in group if step.done_at), key=_instant, default=None)
    day = "" if at.date() == date else f"{at:%a}"
    details = {step.detail for step in group}
    cautions = dict.fromkeys(short for step in group for short in caution_short(step.caution))
    return SheetRow(
        kind=kind_of(first),
        day=f"{day} {AGAIN}".strip() if is_second_hour(at) else day,
        clock=f"{at:%H:%M}",
        span=step_span(group, as_of),
        who=letters or (first.pit if many_pits else ""),
        what=first.what,
        until=first.until_sign,
        # Details that differ between pieces are not for one row.
        detail=next(iter(details)) if len(details) == 1 else "",
        cautions=tuple(cautions),
        done=words.day_clock(done.astimezone(at.tzinfo), at.date()) if done else "",
        at=at,
        full=tuple(dict.fromkeys(step.caution for step in group if step.caution)),
        by=tuple(sorted({number for step in group for number in step.person.split()})),
        news=next(filter(None, (_news(step, at.date()) for step in group)), ""),
        odds=_odds(group, at.date()),
    )


def _odds(group: Sequence[Step], day: dt.date) -> str:
    """By when the first of them must be, and the least of their odds."""
    due = min((step.due_at for step in group if step.due_at), key=_instant, default=None)
    odds = [step.odds for step in group if step.odds is not None]
    return f"by {words.day_clock(due, day)}, {words.odds_text(min(odds))}" if due and odds else ""


def _news(step: Step, day: dt.date) -> str:
    if step.was_at is None:
        return step.change
    return f"was {words.day_clock(step.was_at, day)}"
