"""`tally`: past forecasts against what happened."""

from __future__ import annotations

import argparse

from stallwise.cli.common import add_json, open_book, print_json, print_warnings


def add_tally(parser: argparse.ArgumentParser) -> None:
    """Options of `tally`."""
    parser.add_argument(
        "--all",
        dest="unfold",
        action="store_true",
        help="also the figures by elapsed time, cut and wrap, against hours per pound, and by piece",
    )
    add_json(parser)


def tally(args: argparse.Namespace) -> int:
    """Say how often the forecasts were right."""
    from stallwise.joins.learn import tallywords
    from stallwise.joins.learn.tally import tally_book
    from stallwise.joins.tables import as_text

    result = tally_book(open_book(args))
    print_warnings(result.warnings)
    if args.json:
        print_json(tallywords.plain(result))
        return 0
    print(tallywords.headline(result))
    for said in tallywords.cannot_say(result):
        print(said)
    if not args.unfold:
        if result.widening.factor != result.applied.factor:
            print(tallywords.widening_text(result))
        if result.pieces or result.hindcasts.forecasts:
            print("More: stallwise tally --all")
        return 0
    for table in tallywords.tables(result):
        print()
        print(as_text(table))
    print()
    print(tallywords.widening_text(result))
    if result.open_forecasts:
        print(f"Waiting for an outcome: {result.open_forecasts}")
    for reason, many in result.left_out.items():
        print(f"Left out, {reason}: {many}")
    return 0
