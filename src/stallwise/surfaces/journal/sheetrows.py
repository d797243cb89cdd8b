"""The day sheet on a page: each step as it was planned, and as it went."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stallwise.joins import instants, words
from stallwise.joins.result import Result
from stallwise.joins.sheet.sheetwords import step_clock
from stallwise.surfaces.journal.kept import steps_kept

__all__ = ["Moment", "SheetRow", "sheet_rows"]


#: A sign of more letters is said with the first step that ends on it.
_LONG_SIGN = 40


@dataclass(frozen=True)
class Moment:
    """A time as it is read and as a machine reads it; both empty for none."""

    text: str
    iso: str


@dataclass(frozen=True)
class SheetRow:
    """One step, as planned and as it went; `of` holds the letters of what it is for."""

    what: str
    of: tuple[str, ...]
    planned: Moment
    span: str
    done: Moment
    apart: str
    sign: str
    detail: str
    caution: str


def sheet_rows(result: Result) -> tuple[SheetRow, ...]:
    """Lay out the day sheet, planned against real; what pieces have in common is told once.

    Parameters
    ----------
    result : Result
        Without what is kept back.
    """
    return _joined(_rows(result))


def _rows(result: Result) -> Iterator[SheetRow]:
    cautioned: set[str] = set()
    signed: set[str] = set()
    for step in steps_kept(result):
        # A caution stands where the step is, once.
        caution = "" if step.caution in cautioned else step.caution
        cautioned.add(step.caution)
        # So does a sign that takes a line or two to say.
        sign = "" if step.until_sign in signed else step.until_sign
        signed.update([step.until_sign] if len(step.until_sign) > _LONG_SIGN else [])
        # What was planned is never told to the minute, also where it lies before the forecast.
        as_of = min(result.as_of, step.earliest - dt.timedelta(hours=1))
        ends = (
            words.round_clock(step.earliest, as_of, mode="down"),
            words.round_clock(step.latest, as_of, mode="up"),
        )
        span = ""
        if instants.apart(step.latest, step.earliest) >= dt.timedelta(minutes=10):
            span = " to ".join(words.day_clock(at, result.date) for at in ends)
        yield SheetRow(
            what=step.what,
            of=tuple(filter(None, [step.piece or step.pit])),
            planned=_moment(step_clock(step, as_of), result),
            span=span,
            done=_moment(step.done_at, result),
            apart=_apart(step.done_at, *ends),
            sign=sign,
            detail=step.detail,
            caution=caution,
        )


def _joined(rows: Iterable[SheetRow]) -> tuple[SheetRow, ...]:
    """Tell the same step of several pieces once, where nothing but the letter differs."""
    found: list[SheetRow] = []
    for row in rows:
        same = next((i for i, other in enumerate(found) if _same(other, row)), None)
        if same is None or not row.of:
            found.append(row)
        else:
            letters = tuple(sorted({*found[same].of, *row.of}))
            found[same] = dataclasses.replace(found[same], of=letters)
    return tuple(found)


def _same(one: SheetRow, other: SheetRow) -> bool:
    # The first has the caution and the long sign, which are said once.
    return one == dataclasses.replace(
        other, of=one.of, caution=other.caution or one.caution, sign=other.sign or one.sign
    )


def _moment(when: dt.datetime | None, result: Result) -> Moment:
    if when is None:
        return Moment("", "")
    return Moment(words.day_clock(when, result.date), when.isoformat(timespec="minutes"))


def _apart(done_at: dt.datetime | None, earliest: dt.datetime, latest: dt.datetime) -> str:
    """How far the real step fell outside the likely span as it is shown, where that is worth a word."""
    if done_at is None:
        return ""
    # As instants: two times of one zone are compared as clocks, which may jump in the night.
    done, first, last = (at.astimezone(dt.UTC) for at in (done_at, earliest, latest))
    margin = dt.timedelta(minutes=10)
    if first - margin <= done <= last + margin:
        return ""
    early = done < first
    apart = first - done if early else done - last
    return (
        f"{words.hours(apart.total_seconds() / 3600)} {'earlier' if early else 'later'} than likely"
    )
