"""`check`: looking a cookbook over."""

from __future__ import annotations

import argparse
from pathlib import Path

from stallwise.cli.common import add_json, open_book, print_json


def add_check(parser: argparse.ArgumentParser) -> None:
    """Options of `check`."""
    parser.add_argument(
        "path", metavar="PATH", nargs="?", help="cookbook or cook; default: this cookbook"
    )
    parser.add_argument("--repair", action="store_true", help="set torn last lines aside")
    add_json(parser)


def check(args: argparse.Namespace) -> int:
    """Validate every file; status 1 when something is wrong."""
    from stallwise.joins import vocabulary
    from stallwise.record.check import check as look
    from stallwise.tables.catalogue import cuts
    from stallwise.tables.mixbook import mixbook

    known = {"cuts": set(cuts()), "mixes": set(mixbook()), "words": set(vocabulary.words())}
    path = Path(args.path) if args.path else open_book(args).path
    report = look(path, repair=args.repair, known=known)
    if args.json:
        print_json(report.plain())
    else:
        for finding in report.findings:
            print(finding.text)
        print(report.summary)
    return 1 if report.wrong else 0
