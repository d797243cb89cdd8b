"""`forecast` and `sheet`."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
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
    from stallwise.joins.fuelwords import fuel_table
    from stallwise.joins.inferredwords import inferred_table
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
    shown = (tables.stage_table, tables.remedy_table, tables.serving_table, tables.chance_table)
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


def add_sheet(parser: argparse.ArgumentParser) -> None:
    """Options of `sheet`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook")
    add_settings(parser)
    parser.add_argument("--as-of", metavar="TIME", help="the sheet as it stood then")
    parser.add_argument(
        "--print",
        dest="print_file",
        metavar="FILE",
        help="write a page to print on one side (HTML; opens in any browser)",
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "letter"),
        default=None,
        help="paper size; the default follows the cookbook's units",
    )
    parser.add_argument(
        "--for",
        dest="reader",
        choices=("pit", "person", "night"),
        default="",
        help="only the steps at the pit, at board and table, or of the night watch",
    )
    parser.add_argument("--ics", metavar="FILE", help="write the steps as a calendar file")
    add_json(parser)


def sheet(args: argparse.Namespace) -> int:
    """Print the day sheet."""
    from stallwise.joins import tables, words
    from stallwise.joins.ask import ask
    from stallwise.joins.fuelwords import fuel_table
    from stallwise.joins.nightwords import night_lines
    from stallwise.joins.parameters import parse_settings
    from stallwise.joins.readers import steps_for
    from stallwise.joins.result import to_plain

    file = None
    if args.print_file:
        from stallwise.surfaces.paper import sheet_file

        file = sheet_file(args.print_file)
    _, folder = open_cook(args)
    result = ask(
        folder.load(), as_of=args.as_of, changes=parse_settings(args.settings), made_at=now()
    )
    print_warnings(result.warnings)
    if file:
        from stallwise.joins.givenout import give_sheet
        from stallwise.record.store import write_new
        from stallwise.surfaces.paper import usual_paper
        from stallwise.surfaces.sheetprint import sheet_html

        paper = args.paper or usual_paper(result.units)
        text = sheet_html(result, paper=paper, reader=args.reader)
        give_sheet(folder, result, text, partial(write_new, file))
        print(f"Printed sheet: {args.print_file}")
    if args.ics:
        from stallwise.joins.givenout import give_calendar
        from stallwise.record.store import write_new

        give_calendar(folder, result, partial(write_new, Path(args.ics)), reader=args.reader)
        print(f"Calendar: {args.ics}")
    if args.json:
        steps = steps_for(args.reader, result.steps)
        print_json({"steps": to_plain(steps), "odds": result.odds})
        return 0
    if not (args.print_file or args.ics):
        print(f"{result.title} · {result.odds_words}: {words.odds_text(result.odds)} ready in time")
        print(tables.as_text(tables.sheet_table(result, args.reader)))
        if args.reader != "person" and result.fuel:
            print(tables.as_text(fuel_table(result)))
        if args.reader in {"", "night"}:
            print("\n".join(night_lines(result)))
        for step in steps_for(args.reader, result.steps):
            if step.caution:
                print(f"  care at “{step.what}”: {step.caution}")
    return 0
