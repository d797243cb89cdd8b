"""`compare`: cooks beside each other."""

from __future__ import annotations

import argparse

from stallwise.cli.common import add_json, now, open_book, print_json


def add_compare(parser: argparse.ArgumentParser) -> None:
    """Options of `compare`."""
    parser.add_argument(
        "cooks",
        metavar="COOK",
        nargs="*",
        help="two cooks or more; spring-ribs/A means piece A alone; default: the last two of a cut",
    )
    add_json(parser)


def compare(args: argparse.Namespace) -> int:
    """Say what was different, what came out, and what of it the forecast puts down to what."""
    from stallwise.joins.past import comparewords as said
    from stallwise.joins.past.choosing import choose_cooks
    from stallwise.joins.past.comparison import compare_cooks
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    found = compare_cooks(choose_cooks(open_book(args), args.cooks), made_at=now())
    if args.json:
        print_json(to_plain(found))
        return 0
    _say(said.headline(found), as_text(said.different_table(found)), said.alike_words(found))
    _say(as_text(said.came_out_table(found)), "\n".join(said.told_words(found)))
    _say(as_text(said.foreseen_table(found)))
    _say("\n".join(said.said_of_them(found)), "\n".join(said.mixed_words(found)))
    for one in found.credits:
        _say(as_text(said.credit_table(one)), "\n".join(said.credit_words(one)))
    return 0


def _say(*parts: str) -> None:
    for part in parts:
        if part:
            print(f"{part}\n")
