"""`taste --year` and `taste COOK score`: all cooks beside each other."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from stallwise.cli.common import open_book, print_json, print_warnings
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stallwise.record.folder import Cookbook, CookFolder
    from stallwise.record.schema import Cook
    from stallwise.record.trial import Trial


def score(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    """Keep how a whole cook was liked, taster by taster."""
    from stallwise.joins.taste.tasteentry import read_scores
    from stallwise.record.trials import add_answers

    typed = read_scores([word for word in (args.name, *args.slips) if word], folder.name)
    for question in typed.questions:
        print(f"? {question}", file=sys.stderr)
    written = add_answers(book, folder.name, typed.answers)
    print(f"{len(written)} kept.")
    return 2 if typed.questions or not typed.answers else 0


def year(args: argparse.Namespace) -> int:
    """Lay all cooks beside each other; two lists that are never mixed."""
    from stallwise.joins import tables
    from stallwise.joins.result import to_plain
    from stallwise.joins.taste import tasteyearwords
    from stallwise.joins.taste.tasteresult import trial_results
    from stallwise.joins.taste.tasteyear import year_of
    from stallwise.record.trials import all_answers, read_trial, trial_names

    book = open_book(args)
    cooks = {folder.name: cook for folder in book.cooks() if (cook := _readable(folder))}
    own = {name: cook for name, cook in cooks.items() if not cook.sample}
    records = []
    for name in trial_names(book):
        try:
            record = read_trial(book, name)
        except InputError as error:
            print(f"note: trial {name} cannot be read: {error}", file=sys.stderr)
            continue
        # What was made up stands beside nothing that was tasted.
        if not (own and _made_up(record.trial, cooks)):
            records.append(record)
    results, unread = trial_results(records)
    print_warnings(unread)
    found = year_of(own or cooks, all_answers(book), results)
    if args.json:
        print_json(to_plain(found))
        return 0
    parts = {
        "Tested": list(tasteyearwords.planned_words(found)),
        "Noticed, and not tested": list(tasteyearwords.noticed_words(found)),
    }
    for title, lines in parts.items():
        print(f"{title}:")
        for said in lines:
            print(f"  {said}")
        print()
    if found.scores:
        print(tables.as_text(tasteyearwords.score_table(found)))
        print(f"{tasteyearwords.lenient_words(found)}\n")
    print(tasteyearwords.next_words(found.next))
    return 0


def _made_up(trial: Trial, cooks: Mapping[str, Cook]) -> bool:
    names = trial.all_cooks
    return bool(names) and all(name in cooks and cooks[name].sample for name in names)


def _readable(folder: CookFolder) -> Cook | None:
    try:
        return folder.read()
    except InputError:
        return None
