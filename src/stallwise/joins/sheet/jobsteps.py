"""Side jobs on the day sheet: each before what needs it, with hands and a place free."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from graphlib import TopologicalSorter

from stallwise.ground import units
from stallwise.ground.errors import CookWarning
from stallwise.joins.result import Step
from stallwise.joins.sheet.hands import Bench
from stallwise.joins.sheet.stepdraft import SheetDay, after, make_step, utc
from stallwise.record import clocks
from stallwise.record.jobs import BY, Job

__all__ = ["job_steps"]

#: Steps that a job can be ready for, by its words in ``cook.toml``; the first kind that is there counts.
_BY: Mapping[str, tuple[str, ...]] = {
    "serve": ("carry", "serve"),
    "carve": ("carve",),
    "glaze": ("glaze",),
    "wrap": ("wrap",),
    "meat on": ("meat_on",),
    "light the fire": ("fire_lit", "switch_on"),
}

_NEVER = (
    "{} is to be ready by “{}”, and nothing of that is planned in this cook. It is laid out for "
    "serving: say by = with another step, or a clock time."
)


def job_steps(
    steps: Sequence[Step], day: SheetDay, bench: Bench
) -> tuple[list[Step], list[CookWarning]]:
    """Lay out the side jobs of a cook, the last first.

    Parameters
    ----------
    steps : sequence of Step
        Everything else of the day.
    day : SheetDay
    bench : Bench
        With what is booked for everything else.

    Returns
    -------
    tuple of list of Step and list of CookWarning
    """
    jobs = {job.job: job for job in day.cook.jobs}
    graph = {name: [need for need in job.needs if need in jobs] for name, job in jobs.items()}
    begun: dict[str, dt.datetime] = {}
    found, warned = [], []
    for name in reversed(tuple(TopologicalSorter(graph).static_order())):
        job = jobs[name]
        users = [begun[other] for other, needs in graph.items() if name in needs and other in begun]
        wanted = _by(job, steps, day)
        if not wanted:
            # What is to be ready for a step that never comes is ready when its piece is eaten.
            wanted = _by(job.model_copy(update={"by": "serve"}), steps, day) or _last(steps)
            warned += [CookWarning("job-by", _NEVER.format(name[:1].upper() + name[1:], job.by))]
        by = min([*users, *wanted], default=None)
        if by is None:
            continue
        step, said = _placed(job, by, steps, day, bench)
        begun[name] = step.at
        found.append(step)
        warned += said
    return found, warned


def _by(job: Job, steps: Sequence[Step], day: SheetDay) -> list[dt.datetime]:
    """When a job is wanted: by its clock, by its step; nothing where there is no such step."""
    if job.by not in BY:
        return [utc(clocks.moment(job.by, day.cook.date, day.zone))]
    for kind in _BY[job.by]:
        times = [
            step.at
            for step in steps
            if step.id.partition("-")[0] == kind
            and (not job.on or not step.piece or step.piece in job.on)
        ]
        if times:
            return [min(times)]
    return []


def _last(steps: Sequence[Step]) -> list[dt.datetime]:
    """When the day is over, where nothing is served at a time."""
    return [max(step.at for step in steps)] if steps else []


def _placed(
    job: Job, by: dt.datetime, steps: Sequence[Step], day: SheetDay, bench: Bench
) -> tuple[Step, list[CookWarning]]:
    usual_s = units.parse("duration", job.takes, key="takes")
    most = units.parse("duration", job.takes_most, key="takes_most") if job.takes_most else 0.0
    takes_s = max(usual_s, most)
    bound_s = units.parse("duration", job.hands, key="hands") if job.hands else usual_s
    bound_s = min(bound_s, takes_s)
    waits = [(at, letter) for letter in job.needs if (at := _off(letter, steps)) is not None]
    since, letter = max(waits, default=(None, ""))
    place = job.place or ""
    placed = bench.latest(by, takes_s, bound_s, place, since=since)
    if placed is None and since is not None:
        placed = bench.earliest(since, takes_s, bound_s, place)
    begin, who = placed or (since or after(by, -takes_s), "")
    ready = after(begin, takes_s)
    step = make_step(
        "job",
        job.job.replace(" ", "_"),
        begin,
        what=job.job[:1].upper() + job.job[1:],
        piece=job.on[0] if len(job.on) == 1 else "",
        until=f"done by {ready.astimezone(day.zone):%H:%M}",
        detail=_told(job),
        hands_s=bound_s,
    )
    step = replace(step, person=who)
    if ready <= by:
        return step, []
    off, wanted, told = (
        at.astimezone(day.zone).strftime("%H:%M") for at in (since or begin, by, ready)
    )
    why = f"waits for {letter}, which most likely comes off at {off}" if letter else "has to wait"
    text = (
        f"{step.what} {why}: with {units.format_duration(takes_s)} it is ready by {told}, and is "
        f"wanted by {wanted}."
    )
    return step, [CookWarning("job-late", text, letter)]


def _off(letter: str, steps: Sequence[Step]) -> dt.datetime | None:
    """When a piece most likely comes off."""
    return next((s.at for s in steps if s.id == f"rest-{letter}"), None)


def _told(job: Job) -> str:
    takes = units.format_duration(units.parse("duration", job.takes, key="takes"))
    said = [takes]
    if job.takes_most:
        most = units.format_duration(units.parse("duration", job.takes_most, key="takes_most"))
        said = [f"{takes}, at most {most}"]
    if job.hands:
        bound = units.format_duration(units.parse("duration", job.hands, key="hands"))
        said.append(f"hands for {bound}")
    if job.place:
        said.append(f"place: {job.place}")
    if job.needs:
        said.append(f"needs {', '.join(job.needs)}")
    return ", ".join(said)
