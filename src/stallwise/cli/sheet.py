"""`sheet`: the day on the clock, on a screen, on paper, on a phone."""

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
    from stallwise.joins.result import Result
    from stallwise.record.folder import CookFolder

#: Whose sheet; `serving` is nobody's but the table's, `camera` what to show.
_READERS = ("pit", "person", "night", "serving", "camera")


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
        choices=_READERS,
        default="",
        help="a sheet for each pit or each person, for the night watch, "
        "the last 45 minutes before serving, or what to show a camera",
    )
    parser.add_argument("--ics", metavar="FILE", help="write the steps as a calendar file")
    parser.add_argument("--text", metavar="FILE", help="write the sheet as plain text")
    parser.add_argument(
        "--labels", metavar="FILE", help="write labels for jars and leftovers to print"
    )
    add_json(parser)


def sheet(args: argparse.Namespace) -> int:
    """Print the day sheet."""
    from stallwise.joins import tables
    from stallwise.joins.ask import ask
    from stallwise.joins.fire.fuelwords import fuel_table
    from stallwise.joins.parameters import parse_settings
    from stallwise.joins.result import to_plain
    from stallwise.joins.sheet.daytables import gear_table, load_table
    from stallwise.joins.sheet.nightwords import night_lines
    from stallwise.joins.sheet.readers import READERS, steps_for
    from stallwise.surfaces.prints import text_of

    _, folder = open_cook(args)
    result = ask(
        folder.load(), as_of=args.as_of, changes=parse_settings(args.settings), made_at=now()
    )
    print_warnings(result.warnings)
    written = _write(args, folder, result)
    if args.json:
        steps = steps_for(args.reader if args.reader in READERS else "", result.steps)
        around = {name: to_plain(getattr(result, name)) for name in ("gear", "loads")}
        print_json({"steps": to_plain(steps), "odds": result.odds, **around})
    elif not written:
        print(text_of(result, reader=args.reader), end="")
        if args.reader in {"", "pit"} and result.fuel:
            print(tables.as_text(fuel_table(result)))
        if not args.reader:
            for table in (load_table(result), gear_table(result)):
                if table.rows:
                    print(tables.as_text(table))
            print("\n".join(night_lines(result)))
    return 0


def _write(args: argparse.Namespace, folder: CookFolder, result: Result) -> bool:
    """Write what was asked for; whether anything was."""
    from stallwise.joins.sheet.givenout import give_calendar, give_sheet
    from stallwise.joins.sheet.readers import READERS
    from stallwise.record.store import write_new
    from stallwise.surfaces.labelprint import labels_html
    from stallwise.surfaces.paper import sheet_file, usual_paper
    from stallwise.surfaces.prints import print_of, text_of

    paper = args.paper or usual_paper(result.units)
    if args.print_file:
        write = partial(write_new, sheet_file(args.print_file))
        give_sheet(folder, result, print_of(result, reader=args.reader, paper=paper), write)
        print(f"Printed sheet: {args.print_file}")
    if args.labels:
        write_new(sheet_file(args.labels), labels_html(result, paper=paper))
        print(f"Labels: {args.labels}")
    if args.text:
        write_new(Path(args.text), text_of(result, reader=args.reader))
        print(f"Plain text: {args.text}")
    if args.ics:
        # The last minutes are a list of all steps, so their calendar is everybody's.
        reader = args.reader if args.reader in READERS else ""
        give_calendar(folder, result, partial(write_new, Path(args.ics)), reader=reader)
        print(f"Calendar: {args.ics}")
    return any((args.print_file, args.labels, args.text, args.ics))
