"""`shop`: what to buy for the cooks that are planned."""

from __future__ import annotations

import argparse
import datetime as dt
from typing import TYPE_CHECKING

from stallwise.cli.common import (
    add_json,
    now,
    open_book,
    own_yields,
    pairs,
    print_json,
    print_warnings,
)
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook, CookFolder


def add_shop(parser: argparse.ArgumentParser) -> None:
    """Options of `shop`."""
    parser.add_argument(
        "cooks",
        metavar="COOK",
        nargs="*",
        help="cooks to shop for; without one, the next day that has planned cooks",
    )
    parser.add_argument("--on", metavar="DATE", help="all cooks of that day, such as 2026-09-26")
    parser.add_argument(
        "--have",
        action="append",
        default=[],
        metavar="NAME=AMOUNT",
        help='what is there, for example --have "honey=200 g"; lasting stores go under [at_hand] '
        "in cookbook.toml",
    )
    add_json(parser)


def shop(args: argparse.Namespace) -> int:
    """Print one list over cooks and their mixes."""
    from stallwise.joins.mix.shopping import shopping
    from stallwise.joins.mix.shoptables import shop_lines, shop_tables
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    book = open_book(args)
    folders = _cooks(book, args)
    records = [folder.load() for folder in folders]
    at_hand = pairs("--have", args.have, '"honey=200 g"')
    found = shopping(records, own=own_yields(book), at_hand=at_hand)
    print_warnings(found.warnings)
    if args.json:
        print_json(to_plain(found))
        return 0
    print(f"For {', '.join(record.cook.title for record in records)}.")
    for table in shop_tables(found):
        print()
        print(as_text(table))
    if said := shop_lines(found):
        print("", *said, sep="\n")
    return 0


def _cooks(book: Cookbook, args: argparse.Namespace) -> list[CookFolder]:
    if args.cooks and args.on:
        raise InputError("cooks and --on together", "one of the two")
    if args.cooks:
        return list({folder.name: folder for folder in map(book.cook, args.cooks)}.values())
    dated = [(folder.read().date, folder) for folder in book.cooks()]
    if args.on:
        try:
            day = dt.date.fromisoformat(args.on)
        except ValueError:
            raise InputError(
                f"{args.on!r} is not a date", "year-month-day, as in 2026-09-26"
            ) from None
        found = [folder for date, folder in dated if date == day]
        if not found:
            days = ", ".join(sorted({date.isoformat() for date, _ in dated})) or "none"
            raise InputError(f"no cook on {args.on}", f"days with a cook: {days}")
        return found
    today = now().date() - dt.timedelta(days=1)  # the day is the cook's, not that of Greenwich
    coming = [(date, f) for date, f in dated if date >= today and f.state() == "planned"]
    if not coming:
        raise InputError(
            "no planned cook from today on", "the name of a cook", "stallwise cooks lists them"
        )
    first = min(date for date, _ in coming)
    return [folder for date, folder in coming if date == first]
