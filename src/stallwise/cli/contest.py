"""`contest`: a day of several hand-ins at fixed minutes."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, now, open_cook, print_json, print_warnings

if TYPE_CHECKING:
    from stallwise.joins.contest.contestplan import ContestPlan
    from stallwise.joins.result import Result
    from stallwise.record.cookfolder import CookFolder


def add_contest(parser: argparse.ArgumentParser) -> None:
    """Options of `contest`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook with [contest]")
    parser.add_argument(
        "--keep", action="store_true", help="keep when the pieces go on, in cook.toml"
    )
    parser.add_argument(
        "--print",
        dest="folder",
        metavar="DIR",
        help="write the hand-ins, the day sheet and the last 45 minutes before each",
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "letter"),
        default=None,
        help="paper size; the default follows the cookbook's units",
    )
    add_json(parser)


def contest(args: argparse.Namespace) -> int:
    """Plan a contest day."""
    from stallwise.joins.contest.contestplan import contest_plan
    from stallwise.joins.contest.contestwords import handin_table, more_words, picked_table
    from stallwise.joins.parameters import edits
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    _, folder = open_cook(args)
    record = folder.load()
    plan, result = contest_plan(record, made_at=now())
    if args.keep and plan.starts:
        folder.save(edits(record.cook, plan.starts))
    if args.json:
        print_json(to_plain(plan))
        return 0
    print_warnings(plan.warnings)
    if args.folder:
        _print(args, folder, plan, result)
    print(as_text(handin_table(plan)))
    for line in more_words(plan):
        print(f"  {line}")
    if (picked := picked_table(plan)).rows:
        print(as_text(picked))
    return 0


def _print(args: argparse.Namespace, folder: CookFolder, plan: ContestPlan, result: Result) -> None:
    from stallwise.joins.sheet.givenout import give_sheet
    from stallwise.record.store import new_folder, write_new
    from stallwise.surfaces.contestprint import handins_html
    from stallwise.surfaces.minutesprint import minutes_html
    from stallwise.surfaces.paper import usual_paper
    from stallwise.surfaces.prints import print_of

    place = Path(args.folder)
    new_folder(place)
    paper = args.paper or usual_paper(result.units)
    # What the day sheet promises is that each hand-in has enough, not that every spare piece is ready.
    sheet = print_of(replace(result, odds=plan.all_share), paper=paper)
    give_sheet(folder, result, sheet, partial(write_new, place / "sheet.html"))
    write_new(place / "minutes.html", minutes_html(result, paper=paper, verb="Hand in"))
    write_new(place / "hand-ins.html", handins_html(plan, result, paper=paper))
    print(f"Hand-ins, day sheet, last 45 minutes: {args.folder}")
