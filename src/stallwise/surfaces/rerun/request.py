"""`rerun`: cooks chosen, checked before anything runs, run, and compared with what was kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.record.cookfolder import CookFolder
from stallwise.record.folder import Cookbook
from stallwise.record.schema import Cook
from stallwise.surfaces.rerun.against import KEPT, check_against
from stallwise.surfaces.rerun.batch import cores, run_all
from stallwise.surfaces.rerun.checking import check_names, check_parameters, output_name
from stallwise.surfaces.rerun.choosing import Chosen, choose_cooks
from stallwise.surfaces.rerun.engine import Here
from stallwise.surfaces.rerun.rows import Report, Row
from stallwise.surfaces.rerun.running import Wanted, run_notebooks, run_numbers, without
from stallwise.tables.rerunning import Tolerances, notebook_limit_s, tolerances

__all__ = ["Report", "check_parameters", "output_name", "rerun"]


def rerun(
    book: Cookbook,
    names: Sequence[str] = (),
    *,
    where: Sequence[str] = (),
    changes: Mapping[str, Any] | None = None,
    numbers: bool = False,
    workers: int | None = None,
    trust: Sequence[str] = (),
    made_at: dt.datetime,
    again: bool = False,
    limit_s: float | None = None,
    within: Tolerances | None = None,
    against: str = KEPT,
    dask: str | None = None,
) -> Report:
    """Run cooks again, with something changed or not, beside what was kept.

    Parameters
    ----------
    book : Cookbook
        The cookbook.
    names : sequence of str
        Cooks; none means all.
    where : sequence of str
        ``cut=…``, ``pit=…``, ``tag=…``, ``date=…``: only cooks that fit all.
    changes : mapping, optional
        Plan parameters, checked for every cook before any runs.
    numbers : bool
        Only the figures, in this process; no notebook is executed.
    workers : int, optional
        Notebooks at once; the default is one a core.
    trust : sequence of str
        Cooks whose changed notebooks may run.
    made_at : datetime
        Wall clock, aware: the moment of every asking.
    again : bool
        Also where nothing has changed since the last such run.
    limit_s : float, optional
        Time allowed for all cells of one notebook [s]; the default is ``notebook.limit`` of data/rerun.csv.
    within : Tolerances, optional
        What is still the same; the default are the ``tolerance`` rows of data/rerun.csv.
    dask : str, optional
        Address of a dask scheduler that does the work in place of this machine.
    against : {"kept", "now"}
        Compare with what was kept, or with each cook unchanged, answered now.

    Returns
    -------
    Report
        A row for each cook, in the order asked. Stopped by Ctrl-C it holds what was finished.

    Raises
    ------
    InputError
        A name or value that is not allowed, or that none of the cooks can take; then nothing ran.
    """
    check_against(against)
    book = book.held()
    changes = dict(changes or {})
    check_names(changes)
    trusted = frozenset(book.cook(name).name for name in trust)
    wanted = Wanted(
        changes=changes,
        name=output_name(changes),
        made_at=made_at,
        again=again,
        limit_s=limit_s or notebook_limit_s(),
        trust=trusted,
        against=against,
        within=within or tolerances(),
    )
    chosen = choose_cooks(book, names, where)
    rows, able = _checked(chosen, changes)
    rows |= _engine(dask, workers, numbers=numbers)(able, wanted)
    return Report(tuple(_named(rows[one.folder.name], one.cook) for one in chosen))


def _named(row: Row, cook: Cook | None) -> Row:
    return row if cook is None else replace(row, title=cook.title, sample=cook.sample)


def _engine(
    dask: str | None, workers: int | None, *, numbers: bool
) -> Callable[[Sequence[CookFolder], Wanted], dict[str, Row]]:
    """Who runs the cooks: this process, its workers, or a cluster."""
    if dask:
        from stallwise.surfaces.rerun.cluster import Cluster

        place = Cluster(dask)
        if numbers:
            return lambda cooks, wanted: run_numbers(cooks, wanted, place)
        return lambda cooks, wanted: run_notebooks(cooks, wanted, place.run_all)
    if numbers:
        return lambda cooks, wanted: run_numbers(cooks, wanted, Here())
    count = workers or cores()
    return lambda cooks, wanted: run_notebooks(
        cooks, wanted, lambda jobs, done: run_all(jobs, workers=count, done=done)
    )


def _checked(
    chosen: Sequence[Chosen], changes: Mapping[str, Any]
) -> tuple[dict[str, Row], list[CookFolder]]:
    """Rows of cooks that cannot take what is asked, and those that can; refused when none can."""
    rows, able, first = {}, [], None
    for one in chosen:
        if one.cook is None:
            rows[one.folder.name] = without(one.folder, "refused", one.unread)
            continue
        try:
            check_parameters(one.folder, changes, one.cook)
            able.append(one.folder)
        except InputError as error:
            first = first or error
            rows[one.folder.name] = without(one.folder, "refused", str(error))
    if first is not None and not able:
        raise first
    return rows, able
