"""`learn`: what the logged cooks taught."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from stallwise.cli.common import add_json, open_book, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook


def add_learn(parser: argparse.ArgumentParser) -> None:
    """Options of `learn`."""
    parser.add_argument(
        "--without",
        action="append",
        default=[],
        metavar="COOK",
        help="leave a cook out, to see what it changes; nothing is stored then",
    )
    add_json(parser)


def learn(args: argparse.Namespace) -> int:
    """Rebuild ``learned.json`` from all finished cooks, oldest first."""
    from tqdm import tqdm

    from stallwise.joins.learn.learnedwords import learned_lines, learned_table, widening_line
    from stallwise.joins.learn.learning import learn as fold
    from stallwise.joins.learn.widening import widening_plain
    from stallwise.joins.tables import as_text
    from stallwise.record.received import received_from

    book = open_book(args)
    if received_from(book):
        raise InputError(
            "this cook came from somebody else",
            "a cookbook of your own",
            "What was known of its pit came along with it and stays as it is",
        )
    without = [book.cook(name).name for name in args.without]
    folders = tqdm(book.cooks(), disable=None, leave=False, desc="cooks")
    records = (folder.load(learned=False) for folder in folders)
    found = fold(records, before=_before(book), without=without)
    if not without:
        book.write_learned(found)
    if args.json:
        print_json({**found, "widening": widening_plain(found)})
        return 0
    print(
        "\n".join(learned_lines(found))
        or "No cook is finished yet: there is nothing to learn from."
    )
    table = learned_table(found, book.book.units)
    if table.rows:
        print()
        print(as_text(table))
    if said := widening_line(found):
        print(said)
    if without:
        print("Nothing was stored.")
    return 0


def _before(book: Cookbook) -> dict[str, Any] | None:
    """Read what was learned before, which only saves time; a spoilt file is made anew."""
    from stallwise.joins.learn.knowledge import learned_entries

    try:
        found = book.learned()
        learned_entries(found)
    except InputError:
        print("note: learned.json could not be read and is made anew", file=sys.stderr)
        return None
    return found
