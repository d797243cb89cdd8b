"""`publish` and `rerun`."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from stallwise.cli.common import add_json, add_settings, now, open_book, print_json


def add_publish(parser: argparse.ArgumentParser) -> None:
    """Options of `publish`."""
    parser.add_argument(
        "cooks",
        metavar="COOK",
        nargs="*",
        help="cooks to write again; default: all that were started",
    )
    parser.add_argument("--out", metavar="DIR", help="where to; default: journal/ in the cookbook")
    add_json(parser)


def publish(args: argparse.Namespace) -> int:
    """Write journal pages and the index."""
    from stallwise.surfaces.journal import publish as write

    book = open_book(args)
    out = Path(args.out) if args.out else book.path / "journal"
    report = write(book, [book.cook(name) for name in args.cooks], out, made_at=now())
    if args.json:
        print_json(report.plain())
    else:
        for page in report.written:
            print(page)
    for name in report.left_out:
        print(f"stallwise: {name} is only planned: name it to publish it", file=sys.stderr)
    for trouble in report.troubles:
        print(f"stallwise: {trouble}", file=sys.stderr)
    return 1 if report.failed else 0


def add_rerun(parser: argparse.ArgumentParser) -> None:
    """Options of `rerun`."""
    parser.add_argument("cooks", metavar="COOK", nargs="*", help="cooks to run; default: all")
    parser.add_argument(
        "--where",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="only cooks whose cut, pit or tag fits",
    )
    add_settings(parser)
    parser.add_argument("--numbers", action="store_true", help="figures only, without notebooks")
    parser.add_argument("--workers", type=int, default=1, metavar="N", help="notebooks at once")
    parser.add_argument(
        "--trust",
        action="append",
        default=[],
        metavar="COOK",
        help="run this cook's own changed notebook",
    )
    parser.add_argument(
        "--fail-if-changed", action="store_true", help="status 1 when a figure moved"
    )
    add_json(parser)


def rerun(args: argparse.Namespace) -> int:
    """Run old cooks again and show what moved."""
    from stallwise.joins.parameters import parse_settings
    from stallwise.surfaces.rerun import rerun as run

    book = open_book(args)
    report = run(
        book,
        args.cooks,
        where=args.where,
        changes=parse_settings(args.settings),
        numbers=args.numbers,
        workers=args.workers,
        trust=args.trust,
        made_at=now(),
    )
    if args.json:
        print_json(report.plain())
    else:
        print(report.text())
    return 1 if report.failed or (args.fail_if_changed and report.changed) else 0
