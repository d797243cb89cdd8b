"""`tally`: past forecasts against what happened."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from stallwise.cli.common import add_json, now, open_book, print_json, print_warnings

if TYPE_CHECKING:
    from stallwise.ground.errors import CookWarning
    from stallwise.record.folder import Cookbook


def add_tally(parser: argparse.ArgumentParser) -> None:
    """Options of `tally`."""
    parser.add_argument(
        "--all",
        dest="unfold",
        action="store_true",
        help="also the figures by elapsed time, cut and wrap, against hours per pound, and by piece",
    )
    parser.add_argument(
        "--hindcast",
        action="store_true",
        help="also answer every finished cook as of its meat on, as it would be today, and count "
        "that apart; nothing of it is kept",
    )
    parser.add_argument(
        "--dask", metavar="ADDRESS", help="hindcasts on the workers of a dask scheduler"
    )
    add_json(parser)


def tally(args: argparse.Namespace) -> int:
    """Say how often the forecasts were right."""
    from stallwise.joins.learn import tallywords
    from stallwise.joins.learn.tally import tally_book
    from stallwise.joins.tables import as_text

    book = open_book(args)
    made, untold = _hindcasts(args, book)
    result = tally_book(book, beside=made)
    print_warnings((*result.warnings, *untold))
    if args.json:
        print_json(tallywords.plain(result))
        return 1 if untold else 0
    print(tallywords.headline(result))
    for said in tallywords.cannot_say(result):
        print(said)
    if not (args.unfold or made):
        if result.widening.factor != result.applied.factor:
            print(tallywords.widening_text(result))
        if result.pieces or result.hindcasts.forecasts:
            print("More: stallwise tally --all")
        return 1 if untold else 0
    for table in tallywords.tables(result):
        print()
        print(as_text(table))
    print()
    print(tallywords.widening_text(result))
    if result.open_forecasts:
        print(f"Waiting for an outcome: {result.open_forecasts}")
    for reason, many in result.left_out.items():
        print(f"Left out, {reason}: {many}")
    return 1 if untold else 0


def _hindcasts(
    args: argparse.Namespace, book: Cookbook
) -> tuple[Mapping[str, dict[str, Any]], Sequence[CookWarning]]:
    """Hindcasts by their cooks, and who has none; nothing where they were not asked for."""
    if not (args.hindcast or args.dask):
        return {}, ()
    from stallwise.surfaces.rerun.hindcasts import hindcasts

    return hindcasts(book, now(), args.dask)
