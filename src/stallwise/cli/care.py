"""`check`: looking a cookbook over."""

from __future__ import annotations

import argparse
import dataclasses
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, open_book, print_json

if TYPE_CHECKING:
    from stallwise.record.check import Report
    from stallwise.record.folder import Cookbook


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
    from stallwise.record.folder import Cookbook, find_cookbook
    from stallwise.tables.catalogue import cuts
    from stallwise.tables.mixbook import mixbook

    known = {"cuts": set(cuts()), "mixes": set(mixbook()), "words": set(vocabulary.words())}
    path = Path(args.path) if args.path else open_book(args).path
    report = look(path, repair=args.repair, known=known)
    if path.resolve() == (book := Cookbook.open(find_cookbook(path))).path.resolve():
        report = _with_mixes(report, book)
    if args.json:
        print_json(report.plain())
    else:
        for finding in report.findings:
            print(finding.text)
        print(report.summary)
    return 1 if report.wrong else 0


def _with_mixes(report: Report, book: Cookbook) -> Report:
    """Add what is wrong inside the cook's own mixes and ingredients, which a record does not know."""
    from stallwise.joins.mixfaults import mix_faults
    from stallwise.record.check import Finding
    from stallwise.record.problems import RecordError

    try:
        own = [book.overlay(kind) for kind in ("mixes", "ingredients", "cuts")]
        found = mix_faults(book.book, *own)
    except RecordError:
        return report  # a file that is no TOML was told already
    told = [Finding("wrong", file, None, text) for file, text in found]
    return dataclasses.replace(report, findings=(*report.findings, *told))
