"""`forecast`: predict a cook."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from stallwise.cli.common import (
    add_json,
    add_settings,
    now,
    open_cook,
    print_json,
    print_warnings,
)

if TYPE_CHECKING:
    from stallwise.joins.result import Lever


def add_forecast(parser: argparse.ArgumentParser) -> None:
    """Options of `forecast`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook")
    add_settings(parser)
    parser.add_argument(
        "--as-of",
        metavar="TIME",
        help='use only what was logged until then: "14:30", "2026-09-26 14:30" or "+3:00" after meat on',
    )
    parser.add_argument(
        "--what-if",
        action="store_true",
        help="also say what would make each piece sooner or later, and by how much",
    )
    parser.add_argument("--keep", action="store_true", help="add it to the cook's forecasts.jsonl")
    add_json(parser)


def forecast(args: argparse.Namespace) -> int:
    """Predict, or re-predict from what is logged so far."""
    from stallwise.joins import tables, words
    from stallwise.joins.ask import ask, ask_what_if, keep_forecast
    from stallwise.joins.fire.fuelwords import fuel_table
    from stallwise.joins.learn.inferredwords import inferred_table
    from stallwise.joins.parameters import parse_settings
    from stallwise.joins.result import to_plain

    _, folder = open_cook(args)
    changes = parse_settings(args.settings)
    record = folder.load()
    result = ask(record, as_of=args.as_of, changes=changes, made_at=now())
    if args.keep:
        keep_forecast(folder, result)
    print_warnings(result.warnings)
    levers: tuple[Lever, ...] = ()
    if args.what_if:
        levers = ask_what_if(record, result, changes=changes)
    if args.json:
        asked = {"what_if": to_plain(levers)} if args.what_if else {}
        print_json({**to_plain(result), **asked})
        return 0
    print(f"{result.title} · {words.as_of_text(result)}")
    print(words.headline(result))
    for said in (*words.rules_said(result), words.widening_words(result)):
        if said:
            print(said)
    shown = (
        tables.stage_table,
        tables.trouble_table,
        tables.remedy_table,
        tables.serving_table,
        tables.chance_table,
    )
    for text in (tables.as_text(table(result)) for table in (*shown, fuel_table, inferred_table)):
        if text:
            print()
            print(text)
    if args.what_if:
        print()
        print(tables.as_text(tables.lever_table(levers, result)) or "Nothing would change it now.")
    if args.keep:
        print("Kept.")
    return 0
