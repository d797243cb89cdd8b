"""What several commands share: opening the cookbook, options, printing."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stallwise.ground.errors import CookWarning
    from stallwise.joins.mix.yields import OwnYield
    from stallwise.record.folder import Cookbook, CookFolder
    from stallwise.record.schema import Cook


def open_book(args: argparse.Namespace) -> Cookbook:
    """Open the cookbook named with --cookbook, or else the nearest one upwards."""
    from stallwise.record.folder import Cookbook, find_cookbook

    if args.cookbook:
        start = Path(args.cookbook)
    else:
        cook = Path(getattr(args, "cook", None) or ".")
        start = find_cookbook(cook if cook.is_dir() else Path.cwd())
    book = Cookbook.open(start)
    if (book.path / "received.json").is_file():
        from stallwise.record.received import received_from

        if theirs := received_from(book):
            print(f"note: this is a cook of somebody else, from {theirs.whose}", file=sys.stderr)
    return book


def book_at_hand(args: argparse.Namespace) -> Cookbook | None:
    """Open the cookbook at hand; None where there is none and none was named."""
    try:
        return open_book(args)
    except InputError:
        if args.cookbook:
            raise
        return None


def open_cook(args: argparse.Namespace) -> tuple[Cookbook, CookFolder]:
    """Open the cook named by folder or name."""
    book = open_book(args)
    return book, book.cook(args.cook)


def add_json(parser: argparse.ArgumentParser) -> None:
    """Offer ``--json``."""
    parser.add_argument("--json", action="store_true", help="answer as JSON")


def add_settings(parser: argparse.ArgumentParser) -> None:
    """Offer ``--set key=value``, any number of times."""
    parser.add_argument(
        "--set",
        dest="settings",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help='change a plan value, for example --set pit_start="250 F"; mass means every piece, '
        "mass__A piece A alone",
    )


def pairs(option: str, given: Iterable[str], example: str) -> dict[str, str]:
    """Read options of the form ``NAME=VALUE``; a name may hold a sign of its own."""
    found = {}
    for pair in given:
        name, sign, value = pair.rpartition("=")
        if not sign:
            raise InputError(f"{option} {pair!r} has no '='", f"for example {example}")
        found[name.strip()] = value.strip()
    return found


def own_yields(book: Cookbook | None) -> Mapping[str, OwnYield]:
    """Fold what past cooks weighed; a cook that cannot be read teaches nothing."""
    from stallwise.joins.mix.yields import own_yields as fold
    from stallwise.record.weighins import weigh_in

    return fold(map(weigh_in, earlier_cooks(book) if book else []))


def earlier_cooks(book: Cookbook, date: dt.date | None = None, name: str = "") -> list[Cook]:
    """Read all cooks that can be read; those before a date and other than one, where that is said.

    A crowd has what came back from its log too.
    """
    from stallwise.joins.crowd.leftovers import with_leftovers

    found = []
    for folder in book.cooks():
        try:
            cook = folder.read()
            if cook.quote and cook.quote.came:
                cook = with_leftovers(cook, folder.log().lines)
        except InputError:
            continue
        if folder.name != name and (date is None or cook.date < date):
            found.append(cook)
    return found


def now() -> dt.datetime:
    """Wall clock, read only here and in other surfaces."""
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


def read_date(text: str | None) -> dt.date:
    """Read the date of ``--on``; today where there is none."""
    if text is None:
        return now().astimezone().date()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise InputError(
            f"--on {text!r} is not a date", "year-month-day, for example 2026-09-26"
        ) from None


def print_json(value: Any) -> None:
    """Print JSON, unrounded, text as it is."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=1, allow_nan=False)
    sys.stdout.write("\n")


def print_warnings(warnings: Iterable[CookWarning]) -> None:
    """Print warnings to standard error, each once."""
    seen: set[str] = set()
    for warning in warnings:
        text = f"{warning.piece}: {warning.text}" if warning.piece else warning.text
        if text not in seen:
            seen.add(text)
            print(f"note: {text}", file=sys.stderr)
