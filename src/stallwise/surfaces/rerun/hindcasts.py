"""Forecasts of finished cooks as they would be made today, for the tally to count apart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.ask import ask, forecast_line
from stallwise.surfaces.rerun.batch import progress
from stallwise.surfaces.rerun.engine import Engine, Here, Item, Trouble
from stallwise.surfaces.rerun.execute import Run

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import Cookbook

__all__ = ["hindcasts"]

Line = dict[str, Any]


def hindcasts(
    book: Cookbook, made_at: dt.datetime, dask: str | None = None
) -> tuple[dict[str, Line], list[CookWarning]]:
    """Answer every finished cook as of its meat on, by what was learned before it.

    Parameters
    ----------
    book : Cookbook
    made_at : datetime
        Wall clock, aware.
    dask : str, optional
        Address of a dask scheduler that computes the ensembles in place of this process.

    Returns
    -------
    lines : dict
        A forecast's line by the name of its cook, as `CookFolder.keep_forecast` takes it; none is kept.
    untold : list of CookWarning
        Cooks that have none, each with the reason.
    """
    book = book.held()
    untold: list[CookWarning] = []

    def items() -> Iterator[Item]:
        for cook in book.cooks():
            try:
                record = cook.load()
            except InputError:
                continue  # the tally tells it
            if record.state == "finished":
                yield cook.name, {"record": record, "made_at": made_at}

    told = progress(len(book.cooks()), "hindcasts")
    found: dict[str, Line] = {}
    for name, outcome in _engine(dask).each(line_of, items()):
        if isinstance(outcome, Trouble):
            untold.append(CookWarning("hindcast", f"{name}: {outcome.state}. {outcome.message}"))
            told(name, Run(outcome.state))
        else:
            found[name] = outcome
            told(name, Run("done"))
    return found, untold


def line_of(record: CookRecord, made_at: dt.datetime) -> Line:
    """Forecast a cook as of its meat on; here, or on a cluster."""
    return forecast_line(ask(record, made_at=made_at))


def _engine(dask: str | None) -> Engine:
    if not dask:
        return Here()
    from stallwise.surfaces.rerun.cluster import Cluster

    return Cluster(dask)
