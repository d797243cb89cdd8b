"""When somebody gets up in a night: with fuel, for steps of the day sheet, to look at a fire."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.fuelwords import units_words, visit_words
from stallwise.joins.result import Step
from stallwise.joins.sheet.nightresult import Look
from stallwise.joins.sheet.sheetwords import kind_of, planned_clock, sheet_rows

__all__ = ["Watch", "looks"]

#: What somebody has to get up for; fuel is told by the fire, and an alarm rings for feel checks.
_GET_UP = frozenset({"meat_on", "turn", "climb", "wrap", "unwrap", "glaze", "move"})
#: More visits than this in one night are one line.
_MANY = 4


@dataclass(frozen=True)
class Watch:
    """A night from when to when, and who is up in it: name, from, until."""

    begins: dt.datetime
    ends: dt.datetime
    shifts: tuple[tuple[str, dt.datetime, dt.datetime], ...] = ()

    def has(self, at: dt.datetime) -> bool:
        """Whether an instant falls into it."""
        return self.begins <= at < self.ends

    def up(self, at: dt.datetime) -> str:
        """Who is up then; nobody is named where there are no shifts."""
        return next((name for name, _, until in self.shifts if at < until), "")


def looks(
    watch: Watch,
    fires: Iterable[FuelResult],
    steps: Sequence[Step],
    *,
    date: dt.date,
    as_of: dt.datetime,
) -> tuple[Look, ...]:
    """Gather the times at which somebody gets up, as the day sheet shows them.

    Parameters
    ----------
    watch : Watch
        The night.
    fires : iterable of FuelResult
        Those that burn in it.
    steps : sequence of Step
        Of the day sheet, in order of time.
    date : date
        The cook's.
    as_of : datetime
        Moment of the forecast.
    """
    open_steps = [step for step in steps if step.done_at is None and watch.has(step.at)]
    found = [look for fire in fires for look in _at_the_fire(watch, fire, open_steps)]
    many = len({step.pit for step in steps if step.pit}) > 1
    todo = [step for step in open_steps if kind_of(step) in _GET_UP]
    rows = sheet_rows(todo, date=date, as_of=as_of, many_pits=many)
    found += [(row.at, f"{row.who}: {row.what}" if row.who else row.what) for row in rows]
    ordered = sorted(found, key=lambda look: (look[0].timestamp(), look[1]))
    return tuple(Look(at, what, watch.up(at)) for at, what in ordered)


def _at_the_fire(
    watch: Watch, fire: FuelResult, steps: Sequence[Step]
) -> Iterator[tuple[dt.datetime, str]]:
    """When fuel goes on, and once in the middle where a fire needs none till morning."""
    visits = list(_visits(watch, fire, steps))
    if not visits:
        yield watch.begins + (watch.ends - watch.begins) / 2.0, "look at fire and pit number"
        return
    words = f"{units_words(fire, fire.each)} on"
    if len(visits) > _MANY:
        # Whoever feeds it so often does not go to bed: one line a shift.
        words, own = f"{visit_words(fire)}, somebody stays up", [at for _, at, _ in watch.shifts]
        visits = [
            next((at for at in visits if at >= begins), visits[-1]) for begins in own or visits[:1]
        ]
    for at in visits:
        yield planned_clock(at), words


def _visits(watch: Watch, fire: FuelResult, steps: Sequence[Step]) -> Iterator[dt.datetime]:
    """When fuel goes on: by the sheet where each visit has a step there, else by the fire."""
    if fire.swing_k is not None:
        yield from filter(watch.has, fire.visits)
        return
    yield from (step.at for step in steps if kind_of(step) == "refuel" and step.pit == fire.pit)
