"""Cooks run, each to its row: what stands is kept, the rest is done and compared."""

from __future__ import annotations

import datetime as dt
import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from stallwise.ground.errors import StallwiseError
from stallwise.record.cookfolder import CookFolder
from stallwise.surfaces.rerun.against import Base, base_of, keep_before
from stallwise.surfaces.rerun.batch import Done, progress
from stallwise.surfaces.rerun.checking import undeclared
from stallwise.surfaces.rerun.compare import compare
from stallwise.surfaces.rerun.engine import Engine, Item, Trouble, is_full
from stallwise.surfaces.rerun.execute import STAMP, STATES, Job, Run
from stallwise.surfaces.rerun.figures import read_figures, write_figures
from stallwise.surfaces.rerun.keys import NUMBERS, key_of, notebook_way
from stallwise.surfaces.rerun.moved import crossings, moves
from stallwise.surfaces.rerun.numbers import answers
from stallwise.surfaces.rerun.rows import Differences, Row
from stallwise.surfaces.rerun.trust import choose
from stallwise.tables.rerunning import Tolerances

__all__ = ["Wanted", "run_notebooks", "run_numbers", "without"]

#: Executes jobs by the name of their cook, and tells of each as it ends.
RunAll = Callable[[Mapping[str, Job], Done], Mapping[str, Run]]

#: A run that has written nothing for so long beyond its time is over [s].
_LONG_S = 600.0


@dataclass(frozen=True)
class Wanted:
    """What is asked of every cook: changes, the stem of its outputs, the moment, and how."""

    changes: Mapping[str, Any]
    name: str
    made_at: dt.datetime
    again: bool
    limit_s: float
    trust: frozenset[str]
    against: str
    within: Tolerances


@dataclass(frozen=True)
class _Open:
    """A cook that is being answered."""

    cook: CookFolder
    key: str
    state: str
    base: Base | None
    started: float


def without(cook: CookFolder, state: str, message: str, seconds: float = 0.0) -> Row:
    """Row of a cook that has no result."""
    return Row(cook.name, state, round(seconds, 3), None, message)


# --- figures alone ------------------------------------------------------------------------


def run_numbers(cooks: Sequence[CookFolder], wanted: Wanted, engine: Engine) -> dict[str, Row]:
    """Compute the figures of cooks, those that stand left out.

    Parameters
    ----------
    cooks : sequence of CookFolder
    wanted : Wanted
    engine : Engine
        Where.

    Returns
    -------
    dict of str to Row
        Every cook once; those not reached when Ctrl-C came are ``stopped``.
    """
    told = progress(len(cooks), "figures")
    rows: dict[str, Row] = {}
    opened: dict[str, _Open] = {}

    def settle(row: Row) -> None:
        rows[row.cook] = row
        told(row.cook, Run(row.state, row.message, seconds=row.seconds))

    def items() -> Iterator[Item]:
        for cook in cooks:
            made = _question(cook, wanted)
            if isinstance(made, Row):
                settle(made)
                continue
            opened[cook.name], arguments = made
            yield cook.name, arguments

    try:
        for name, outcome in engine.each(answers, items()):
            settle(_answered(opened.pop(name), outcome, wanted))
    except KeyboardInterrupt:
        pass
    return rows | {cook.name: _stopped(cook) for cook in cooks if cook.name not in rows}


def _question(cook: CookFolder, wanted: Wanted) -> tuple[_Open, dict[str, Any]] | Row:
    """Put the question of a cook together, or give its row where nothing is to be answered."""
    started = time.monotonic()
    try:
        record = cook.load()
        key = key_of(record, wanted.changes, way=NUMBERS, made_at=wanted.made_at)
        stands = not wanted.again and _stands(cook, wanted.name, key)
        if not stands:
            keep_before(cook, wanted.name)
        base = base_of(cook, wanted.name, wanted.against)
    except StallwiseError as error:
        return _failed(cook, error, started)
    one = _Open(cook, key, "kept" if stands else "done", base, started)
    old = base is not None and base.figures is None
    if stands and not old:
        return _compared(one, wanted, None, None)
    changes, made_at = wanted.changes, wanted.made_at
    asked = {
        "record": record,
        "changes": changes,
        "made_at": made_at,
        "new": not stands,
        "old": old,
    }
    return one, asked


def _answered(one: _Open, outcome: Any, wanted: Wanted) -> Row:
    if isinstance(outcome, Trouble):
        return without(one.cook, outcome.state, outcome.message, time.monotonic() - one.started)
    new, old = outcome
    try:
        if new is not None:
            path = one.cook.path / "results" / f"{wanted.name}.json"
            write_figures(one.cook, path, {**new, STAMP: {"key": one.key}})
    except StallwiseError as error:
        return _failed(one.cook, error, one.started)
    return _compared(one, wanted, new, old)


# --- notebooks ----------------------------------------------------------------------------


def run_notebooks(cooks: Sequence[CookFolder], wanted: Wanted, run_all: RunAll) -> dict[str, Row]:
    """Execute the notebooks of cooks, those whose outputs stand left out.

    Parameters
    ----------
    cooks : sequence of CookFolder
    wanted : Wanted
    run_all : callable
        Executes jobs, here or elsewhere.

    Returns
    -------
    dict of str to Row
        Every cook once.
    """
    rows: dict[str, Row] = {}
    opened: dict[str, _Open] = {}
    jobs: dict[str, Job] = {}
    token = os.urandom(4).hex()
    for cook in cooks:
        made = _task(cook, wanted, token)
        if isinstance(made, Row):
            rows[cook.name] = made
        else:
            opened[cook.name], jobs[cook.name] = made
    for name, run in run_all(jobs, progress(len(jobs), "notebooks")).items():
        _sweep(opened[name].cook, wanted, token)
        rows[name] = _ran(opened[name], run, wanted)
    return rows


def _task(cook: CookFolder, wanted: Wanted, token: str) -> tuple[_Open, Job] | Row:
    """Put the job of a cook together, or give its row where nothing is to be executed."""
    started = time.monotonic()
    choice = choose(cook.path, trust=cook.name in wanted.trust)
    refused = choice.refused or undeclared(cook, choice, wanted.changes)
    if choice.notebook is None or refused:
        return without(cook, "refused", refused)
    try:
        way = notebook_way(choice.notebook)
        key = key_of(cook.load(), wanted.changes, way=way, made_at=wanted.made_at)
        there = (cook.path / "results" / f"{wanted.name}.ipynb").is_file()
        stands = not wanted.again and there and _stands(cook, wanted.name, key)
        if not stands:
            keep_before(cook, wanted.name)
    except StallwiseError as error:
        return _failed(cook, error, started)
    one = _Open(cook, key, "kept" if stands else "done", None, started)
    if stands:
        return _with_base(one, wanted)
    job = Job(
        notebook=_without_outputs(choice.notebook),
        folder=str(cook.path.resolve()),
        name=wanted.name,
        parameters=dict(wanted.changes),
        limit_s=wanted.limit_s,
        moment=wanted.made_at.isoformat(),
        stamp={"key": key},
        run=token,
    )
    return one, job


def _ran(one: _Open, run: Run, wanted: Wanted) -> Row:
    if run.state == "done":
        return _with_base(one, wanted, run.seconds)
    if run.state == "stopped":
        return _stopped(one.cook)
    kept = f" (kept: results/{run.notebook})" if run.notebook else ""
    message = (run.message or STATES[run.state]) + kept
    return without(one.cook, run.state, message, run.seconds)


def _with_base(one: _Open, wanted: Wanted, seconds: float | None = None) -> Row:
    """Row of a cook that has its result; the old one is read only now, for a batch is long."""
    try:
        base = base_of(one.cook, wanted.name, wanted.against)
        old = None
        if base is not None and base.figures is None:
            _, old = answers(one.cook.load(), {}, wanted.made_at, new=False, old=True)
    except StallwiseError as error:
        return _failed(one.cook, error, one.started)
    return _compared(replace(one, base=base), wanted, None, old, seconds)


def _without_outputs(notebook: Mapping[str, Any]) -> dict[str, Any]:
    """Leave out what it printed the last time: it is not needed to run it."""
    cells = [
        {**cell, "outputs": [], "execution_count": None}
        if cell.get("cell_type") == "code"
        else cell
        for cell in notebook["cells"]
    ]
    return {**notebook, "cells": cells}


def _sweep(cook: CookFolder, wanted: Wanted, token: str) -> None:
    """Take away what a process that was killed had begun: in this run, or in one long ago."""
    long_ago = time.time() - wanted.limit_s - _LONG_S
    for path in (cook.path / "results").glob(f".{wanted.name}.*.running.*"):
        with suppress(OSError):
            if path.name.startswith(f".{wanted.name}.{token}") or path.stat().st_mtime < long_ago:
                path.unlink()


# --- rows ---------------------------------------------------------------------------------


def _stands(cook: CookFolder, name: str, key: str) -> bool:
    """Whether the outputs called `name` are there and were made from just this."""
    path = cook.path / "results" / f"{name}.json"
    try:
        return cook.store.has(path) and read_figures(cook, path).get(STAMP, {}).get("key") == key
    except (StallwiseError, AttributeError):
        return False  # spoilt: it is made anew


def _compared(one: _Open, wanted: Wanted, new: Any, old: Any, seconds: float | None = None) -> Row:
    """Row of a cook that has its result, with what moved."""
    cook, base, name = one.cook, one.base, wanted.name
    try:
        new = new or read_figures(cook, cook.path / "results" / f"{name}.json")
    except StallwiseError as error:
        return _failed(cook, error, one.started)
    took = time.monotonic() - one.started if seconds is None else seconds
    figures = base.figures if base is not None and base.figures is not None else old
    row = Row(cook.name, one.state, round(took, 3), None, f"results/{name}.json")
    if base is None or figures is None or isinstance(figures, Trouble):
        return row
    differences = compare(figures, new, wanted.within)
    return Row(
        cook=cook.name,
        state=one.state,
        seconds=row.seconds,
        changed=bool(differences),
        message=row.message,
        against=base.words,
        differences=Differences.of(differences),
        moves=moves(figures, new),
        crossings=crossings(figures, new),
        units=cook.home.book.units,
    )


def _failed(cook: CookFolder, error: StallwiseError, started: float) -> Row:
    state = "disk full" if is_full(error) else "failed"
    return without(cook, state, str(error), time.monotonic() - started)


def _stopped(cook: CookFolder) -> Row:
    return without(cook, "stopped", STATES["stopped"])
