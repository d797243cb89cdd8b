"""`limits`: rules of time and temperature, what runs, what they ask."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, now, open_cook, print_json

if TYPE_CHECKING:
    from stallwise.joins.result import Result


def add_limits(parser: argparse.ArgumentParser) -> None:
    """Options of `limits`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook")
    parser.add_argument(
        "--as-of", metavar="TIME", help='as they stood then: "14:30", or "+3:00" after meat on'
    )
    parser.add_argument("--all", action="store_true", help="also those that were met, in full")
    add_json(parser)


def limits(args: argparse.Namespace) -> int:
    """Say which limits run or ask, each with its rule and what it needs to know."""
    from stallwise.joins.ask import ask
    from stallwise.joins.limitwords import DEFERS
    from stallwise.joins.result import to_plain

    _, folder = open_cook(args)
    # Few possible days: the limits come from what was read, not from the forecast.
    result = ask(folder.load(), as_of=args.as_of, changes={"members": 20}, made_at=now())
    if args.json:
        print_json(
            {
                "limits": to_plain(result.limits),
                "estimates": to_plain(result.estimates),
                "defers": DEFERS,
            }
        )
        return 0
    _say(result, everything=args.all)
    return 0


def _say(result: Result, *, everything: bool) -> None:
    from stallwise.joins import limitwords, words

    shown = result.limits if everything else limitwords.open_limits(result)
    for one in shown:
        until = f" until {words.day_clock(one.until, result.date)}" if one.until else ""
        head = f"{one.piece + ' · ' if one.piece else ''}{one.name}: "
        print(f"{head}{limitwords.state_words(one.state)}{until}")
        for fact in one.facts:
            print(f"    {fact}")
        print(f"    rule: {one.says}")
        print(f"      {one.rule}; for {one.applies}; {one.grade}")
    if not result.limits:
        print("No limit runs or asks yet.")
    if asked := limitwords.questions(shown):
        print("\nTo be answered:")
        for question in asked:
            print(f"  - {question}")
    if met := "" if everything else limitwords.folded(result):
        print(f"\n{met}")
    for line in limitwords.estimate_lines(result):
        print(f"\n{line}")
    print(f"\n{limitwords.DEFERS}")
