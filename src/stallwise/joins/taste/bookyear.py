"""A year of tastings read from a book: trials and scores of all its cooks, samples beside samples only."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.taste.tasteresult import trial_results
from stallwise.joins.taste.tasteyear import Year, year_of
from stallwise.record.folder import Cookbook, CookFolder
from stallwise.record.schema import Cook
from stallwise.record.trial import Trial
from stallwise.record.trials import all_answers, read_trial, trial_names

__all__ = ["taste_year"]


def taste_year(
    book: Cookbook, only: Collection[str] | None = None
) -> tuple[Year, tuple[CookWarning, ...]]:
    """Lay all tastings of a book beside each other.

    Parameters
    ----------
    book : Cookbook
    only : collection of str, optional
        Names of the cooks that count; all of them by default.

    Returns
    -------
    Year, tuple of CookWarning
        And what could not be read.
    """
    every = {folder.name: cook for folder in book.cooks() if (cook := _readable(folder))}
    cooks = {name: cook for name, cook in every.items() if only is None or name in only}
    own = {name: cook for name, cook in cooks.items() if not cook.sample}
    records, unread = [], []
    for name in trial_names(book):
        try:
            record = read_trial(book, name)
        except InputError as error:
            unread.append(CookWarning(f"trial-{name}", f"trial {name} cannot be read: {error}"))
            continue
        # What was made up stands beside nothing that was tasted.
        if not (own and _made_up(record.trial, every)) and _meant(record.trial, only):
            records.append(record)
    results, untold = trial_results(records)
    return year_of(own or cooks, all_answers(book), results), (*unread, *untold)


def _meant(trial: Trial, only: Collection[str] | None) -> bool:
    return only is None or bool(set(trial.all_cooks) & set(only))


def _made_up(trial: Trial, cooks: Mapping[str, Cook]) -> bool:
    names = trial.all_cooks
    return bool(names) and all(name in cooks and cooks[name].sample for name in names)


def _readable(folder: CookFolder) -> Cook | None:
    try:
        return folder.read()
    except InputError:
        return None
