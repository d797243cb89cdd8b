"""`lesson`: a class at several pits, planned, printed, and its guesses held against what happened."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, now, open_cook, print_json, print_warnings

if TYPE_CHECKING:
    from stallwise.joins.lesson.lessonplan import LessonPlan
    from stallwise.joins.result import Result
    from stallwise.record.cook import CookRecord
    from stallwise.record.cookfolder import CookFolder


def add_lesson(parser: argparse.ArgumentParser) -> None:
    """Options of `lesson`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook with [lesson]")
    parser.add_argument(
        "--keep", action="store_true", help="keep when the shown pieces go on, in cook.toml"
    )
    parser.add_argument(
        "--open",
        dest="opened",
        action="store_true",
        help="show the forecast of the teams' pieces and keep it; guesses come before",
    )
    parser.add_argument(
        "--print",
        dest="folder",
        metavar="DIR",
        help="write the teacher's page, sheets by pit, guess slips and a handout for each student",
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "letter"),
        default=None,
        help="paper size; the default follows the cookbook's units",
    )
    add_json(parser)


def lesson(args: argparse.Namespace) -> int:
    """Plan a class."""
    from stallwise.joins.ask import keep_forecast
    from stallwise.joins.lesson.lessonplan import lesson_plan
    from stallwise.joins.lesson.lessonwords import (
        guess_table,
        layout_table,
        learn_lines,
        show_table,
        team_table,
    )
    from stallwise.joins.parameters import edits
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    _, folder = open_cook(args)
    record = folder.load()
    plan, result = lesson_plan(record, made_at=now())
    if args.keep and plan.starts:
        folder.save(edits(record.cook, plan.starts))
    if args.opened:
        keep_forecast(folder, result)
        plan, result = lesson_plan(folder.load(), made_at=now())
    if args.json:
        print_json(to_plain(plan))
        return 0
    print_warnings(plan.warnings)
    if args.folder:
        _print(args, folder, record, plan, result)
    for table in (show_table(plan, result), team_table(plan, result)):
        print(as_text(table))
    for line in learn_lines(plan):
        print(f"  {line}")
    for one in plan.learnable:
        print(as_text(layout_table(one)))
    if any(one.guess or one.forecast_h for team in plan.teams for one in team.guesses):
        print(as_text(guess_table(plan)))
    if missing := [one.piece for team in plan.teams for one in team.guesses if one.guess is None]:
        print(
            f'No guess yet for {", ".join(missing)}: stallwise log COOK "9:10 A guess 4 h 20 min"'
        )
    return 0


def _print(
    args: argparse.Namespace,
    folder: CookFolder,
    record: CookRecord,
    plan: LessonPlan,
    result: Result,
) -> None:
    """Write all papers and files of a class into a folder."""
    from stallwise.joins.lesson.handout import handout_text, student_names
    from stallwise.joins.sheet.givenout import give_sheet
    from stallwise.record.store import new_folder, write_new
    from stallwise.surfaces.lessonprint import handouts_html, pits_html, slips_html, teacher_html
    from stallwise.surfaces.paper import usual_paper

    place = Path(args.folder)
    new_folder(place)
    paper = args.paper or usual_paper(result.units)
    give_sheet(
        folder, result, pits_html(result, paper=paper), partial(write_new, place / "pits.html")
    )
    pages = {"teacher": teacher_html, "slips": slips_html, "handouts": handouts_html}
    for name, page in pages.items():
        write_new(place / f"{name}.html", page(plan, result, paper=paper))
    for team in plan.teams:
        text = handout_text(record.cook, team)
        for name in student_names(team):
            write_new(place / f"{name}.toml", text)
    print(f"Teacher's page, sheets by pit, guess slips, handouts: {args.folder}")
