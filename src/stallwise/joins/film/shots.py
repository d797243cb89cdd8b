"""The shot list of a cook: its steps that are worth showing, who has clean hands then, which are missing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stallwise.joins.result import Result, Step
from stallwise.joins.sheet.readers import people_words, person_name
from stallwise.joins.sheet.sheetwords import SheetRow, sheet_rows
from stallwise.tables.parameters import parameter
from stallwise.tables.shots import shot_rows

__all__ = ["ONCE", "Picture", "Shot", "missing", "shots"]

#: A plate is served once for the camera, a lid is opened for it once.
ONCE = frozenset({"spritz", "look", "check", "glaze", "rest", "hold", "serve"})
_TWO = 2


@dataclass(frozen=True)
class Picture:
    """A picture of the cook: its file, its caption, and when it was taken, where that is known."""

    file: str
    caption: str
    at: dt.datetime | None


@dataclass(frozen=True)
class Shot:
    """One thing to show.

    Attributes
    ----------
    kind : str
        Kind of step, a key of ``data/shots.csv``.
    at : datetime
        When, as planned, or as logged once it was done.
    day, clock : str
        The same for a cook; `day` is empty on the cook's date.
    who : str
        Letters of pieces, or of a pit where there are several.
    step, show, view, note : str
        The step, what to show of it, ``close`` or ``wide``, and what to mind.
    hands : str
        Who has clean hands then; empty where one cooks alone.
    done : bool
        The step is logged as done.
    pictures : tuple of str
        Files that were taken about then.
    """

    kind: str
    at: dt.datetime
    day: str
    clock: str
    who: str
    step: str
    show: str
    view: str
    note: str
    hands: str
    done: bool
    pictures: tuple[str, ...]


def shots(result: Result, pictures: Iterable[Picture] = ()) -> tuple[Shot, ...]:
    """List what to show of a cook, in the order of the day.

    Parameters
    ----------
    result : Result
        The cook as answered.
    pictures : iterable of Picture
        Those that it has.

    Returns
    -------
    tuple of Shot
        What is seen again and again (a spritz, a look) once.
    """
    pits = {step.pit for step in result.steps if step.pit}
    rows = sheet_rows(result.steps, date=result.date, as_of=result.as_of, many_pits=len(pits) > 1)
    seen: set[tuple[str, str]] = set()
    found = []
    for row in rows:
        of = (row.kind, "" if row.kind in ONCE else row.who)
        if row.kind in shot_rows() and of not in seen:
            seen.add(of)
            found.append(_shot(row, result))
    return _with_pictures(found, pictures)


def missing(found: Sequence[Shot]) -> tuple[Shot, ...]:
    """Choose what was done and not shown."""
    return tuple(shot for shot in found if shot.done and not shot.pictures)


def _shot(row: SheetRow, result: Result) -> Shot:
    shown = shot_rows()[row.kind]
    done = [step.done_at for step in _steps(row, result.steps) if step.done_at]
    return Shot(
        row.kind, min(done, default=row.at), row.day, row.clock, row.who, row.what, shown.show,
        shown.view, shown.note, _hands(row, result), bool(done), (),
    )  # fmt: skip


def _steps(row: SheetRow, steps: Iterable[Step]) -> list[Step]:
    letters = row.who.split()
    return [
        step
        for step in steps
        if step.id.partition("-")[0] == row.kind
        and (not letters or {step.piece, step.pit} & set(letters))
    ]


def _hands(row: SheetRow, result: Result) -> str:
    """Say who is free while a step binds somebody's hands."""
    people = {number for step in result.steps for number in step.person.split()}
    people |= {str(number) for number in range(1, len(result.roles) + 1)}
    if len(people) < _TWO:
        return ""
    bound = set(row.by)
    for step in result.steps:
        ends = step.at + dt.timedelta(seconds=step.hands_s)
        if step.at <= row.at < ends or step.at == row.at:
            bound |= set(step.person.split())
    free = sorted(people - bound, key=int)
    if not free:
        return "nobody is free: stand it up before"
    return people_words(free, result) if len(free) > 1 else person_name(free[0], result)


def _with_pictures(found: Sequence[Shot], pictures: Iterable[Picture]) -> tuple[Shot, ...]:
    """Lay each picture on the step that was done nearest to it."""
    near = dt.timedelta(minutes=parameter("film.near").value)
    taken: dict[int, list[str]] = {}
    for picture in pictures:
        if picture.at is None:
            continue
        apart = {n: abs(shot.at - picture.at) for n, shot in enumerate(found) if shot.done}
        best = min(apart, key=apart.__getitem__, default=-1)
        if apart.get(best, near + near) <= near:
            taken.setdefault(best, []).append(picture.file)
    return tuple(
        Shot(**{**vars(shot), "pictures": tuple(taken.get(number, ()))})
        for number, shot in enumerate(found)
    )
