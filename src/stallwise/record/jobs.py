"""Side jobs of a cook: sides, stock, a rolled table; what each takes, and what it waits for."""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from stallwise.ground.errors import InputError
from stallwise.record.clocks import split_clock
from stallwise.record.fields import Duration, Letter, Text, collected
from stallwise.record.letters import Place, tables_of, unknown_letters
from stallwise.record.table import Table

__all__ = ["BY", "Job", "job_faults"]

#: Steps of the day that a job can be ready for.
BY = ("serve", "carve", "glaze", "wrap", "meat on", "light the fire")


def _by(text: str) -> str:
    if text not in BY:
        try:
            split_clock(text)
        except InputError as error:
            allowed = f"a clock time such as 15:30, or one of: {', '.join(BY)}"
            raise InputError(error.came, allowed) from error
    return text


class Job(Table):
    """Work beside the meat: ``{job = "beans", takes = "2 h", hands = "15 min", needs = ["stock"]}``.

    It is ready `by` a clock time or a step (serving when not said), of the pieces `on` or the first of
    all. It is begun so early that `takes_most` is over in time. `hands` is how long somebody is bound from its begin on, all of it when not said. `needs` names
    jobs, or pieces, that come before. `place` is taken meanwhile: a ring, the oven.
    """

    job: Annotated[str, Field(min_length=1, max_length=60)]
    takes: Duration
    takes_most: Duration | None = None
    hands: Duration | None = None
    needs: list[str] = []
    by: Annotated[str, AfterValidator(collected(_by))] = "serve"
    on: list[Letter] = []
    place: Annotated[str | None, Field(min_length=1, max_length=60)] = None
    note: Text | None = None


def job_faults(cook: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """Jobs that come twice, that need what is not there, or that wait for each other.

    Parameters
    ----------
    cook : mapping
        Raw data; whatever has a wrong type is left to the models.

    Returns
    -------
    list of (place, what came, what is allowed)
    """
    jobs = [(at, job) for at, job in tables_of(cook, "jobs") if isinstance(job.get("job"), str)]
    letters = {str(piece.get("letter")) for _, piece in tables_of(cook, "pieces")}
    names = {str(job["job"]) for _, job in jobs}
    found: list[tuple[Place, str, str]] = []
    seen: set[str] = set()
    for at, job in jobs:
        name = str(job["job"])
        if name in seen:
            found.append(((*at, "job"), f"job {name!r} is there twice", "each job once"))
        seen.add(name)
        for need in _needs(job):
            if need not in names | letters:
                there = ", ".join([*sorted(names - {name}), *sorted(letters)])
                said = f"job {name!r} needs {need!r}"
                found.append(((*at, "needs"), said, f"jobs and pieces of this cook: {there}"))
        on = job.get("on")
        named = [((*at, "on"), each) for each in (on if isinstance(on, list) else [])]
        found += unknown_letters(named, f"job {name!r} is for piece", "pieces", letters)
    return found + _circles(jobs)


def _needs(job: Mapping[str, Any]) -> list[str]:
    needs = job.get("needs")
    return [need for need in needs if isinstance(need, str)] if isinstance(needs, list) else []


def _circles(jobs: list[tuple[Place, Mapping[str, Any]]]) -> list[tuple[Place, str, str]]:
    """Name the jobs that wait for each other in a circle: none of them could begin."""
    places = {str(job["job"]): at for at, job in jobs}
    graph = {str(job["job"]): [n for n in _needs(job) if n in places] for _, job in jobs}
    try:
        tuple(TopologicalSorter(graph).static_order())
    except CycleError as error:
        circle = list(reversed(error.args[1]))
        said = ", ".join(f"{one!r} needs {other!r}" for one, other in pairwise(circle))
        return [
            (
                (*places[circle[0]], "needs"),
                f"in a circle, {said}",
                "needs that end somewhere: take one out",
            )
        ]
    return []
