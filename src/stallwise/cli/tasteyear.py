"""`taste --year` and `taste COOK score`: all cooks beside each other."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from stallwise.cli.common import open_book, print_json, print_warnings

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook, CookFolder


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
    from stallwise.joins.taste.bookyear import taste_year

    found, unread = taste_year(open_book(args))
    print_warnings(unread)
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
