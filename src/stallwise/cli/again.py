"""`rerun` and `renew`: old cooks again, and their notebooks."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from stallwise.cli.common import add_json, add_settings, now, open_book, open_cook, print_json


def add_rerun(parser: argparse.ArgumentParser) -> None:
    """Options of `rerun`."""
    parser.add_argument("cooks", metavar="COOK", nargs="*", help="cooks to run; default: all")
    parser.add_argument(
        "--where",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="only cooks whose cut, pit or tag fits, or whose date: 2026, 2026-05, "
        "2026-05-01..2026-09-30",
    )
    add_settings(parser)
    parser.add_argument("--numbers", action="store_true", help="figures only, without notebooks")
    parser.add_argument(
        "--workers", type=_count, metavar="N", help="notebooks at once; default: one a core"
    )
    parser.add_argument(
        "--dask",
        metavar="ADDRESS",
        help="a dask scheduler that does the work: tcp://127.0.0.1:8786",
    )
    parser.add_argument(
        "--time-limit",
        metavar="TIME",
        help="for all cells of one notebook; default: 10 min",
    )
    parser.add_argument(
        "--again", action="store_true", help="also where nothing has changed since the last run"
    )
    parser.add_argument(
        "--trust",
        action="append",
        default=[],
        metavar="COOK",
        help="run this cook's own changed notebook",
    )
    parser.add_argument(
        "--against",
        choices=("kept", "now"),
        default="kept",
        help="compare with the result that was kept (default), or with each cook unchanged",
    )
    parser.add_argument(
        "--tolerance",
        action="append",
        default=[],
        metavar="KEY=AMOUNT",
        help='what is still the same: time="5 min", temperature="1 F", mass="2 g", share="1 %%"; '
        "default: less than could be seen",
    )
    parser.add_argument(
        "--page", action="store_true", help="write what moved as a page, into the book's results/"
    )
    parser.add_argument("--out", metavar="DIR", help="the page there: a folder, or a file.html")
    parser.add_argument("--exact", action="store_true", help="tolerate nothing that is not named")
    parser.add_argument(
        "--fail-if-changed", action="store_true", help="status 1 when a figure moved"
    )
    add_json(parser)


def rerun(args: argparse.Namespace) -> int:
    """Run old cooks again and show what moved."""
    from stallwise.joins.parameters import parse_settings
    from stallwise.surfaces.rerun import page_path, write_page
    from stallwise.surfaces.rerun import rerun as run
    from stallwise.surfaces.rerun.tolerating import read_tolerances

    book, moment = open_book(args), now()
    changes, within = (
        parse_settings(args.settings),
        read_tolerances(args.tolerance, exact=args.exact),
    )
    out = Path(args.out) if args.out else None
    if out:
        page_path(book, changes, out)
    report = run(
        book,
        args.cooks,
        where=args.where,
        changes=changes,
        numbers=args.numbers,
        workers=args.workers,
        dask=args.dask,
        trust=args.trust,
        made_at=moment,
        again=args.again,
        limit_s=_seconds(args.time_limit),
        against=args.against,
        within=within,
    )
    page = None
    if args.page or args.out:
        page = write_page(book, report, changes, within, moment, out)
    if args.json:
        print_json(report.plain() | ({"page": str(page)} if page else {}))
    else:
        print(report.text())
        if page:
            print(f"The page: {page}")
    if report.stopped:
        print("stallwise: stopped; the same command again does the rest", file=sys.stderr)
        return 130
    return 1 if report.failed or (args.fail_if_changed and report.changed) else 0


def add_renew(parser: argparse.ArgumentParser) -> None:
    """Options of `renew`."""
    parser.add_argument("cook", metavar="COOK", help="the cook's folder or its name")
    parser.add_argument(
        "--accept", action="store_true", help="write it; the old notebook is set aside beside it"
    )
    add_json(parser)


def renew(args: argparse.Namespace) -> int:
    """Bring a cook's notebook to the newest template, as a diff first."""
    from stallwise.surfaces.rerun.renewal import renew as bring

    _, cook = open_cook(args)
    renewal = bring(cook, accept=args.accept)
    if args.json:
        print_json(renewal.plain())
    else:
        print(renewal.text())
    return 0


def _seconds(text: str | None) -> float | None:
    from stallwise.ground import units
    from stallwise.ground.errors import InputError

    if text is None:
        return None
    found = units.parse("duration", text, key="--time-limit")
    if found <= 0.0:
        raise InputError(f"--time-limit {text}", "some time, such as '10 min'")
    return found


def _count(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text!r} came. Allowed: a whole number from 1")
    return number
