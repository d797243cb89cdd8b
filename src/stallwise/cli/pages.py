"""`publish`: the journal."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from stallwise.cli.common import add_json, now, open_book, print_json


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
