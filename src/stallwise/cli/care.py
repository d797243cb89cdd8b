"""`check`: looking a cookbook over."""

from __future__ import annotations

import argparse
import dataclasses
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stallwise.record.look import Report
    from stallwise.record.schema import Cook


def add_check(parser: argparse.ArgumentParser) -> None:
    """Options of `check`."""
    parser.add_argument(
        "path", metavar="PATH", nargs="?", help="cookbook or cook; default: this cookbook"
    )
    parser.add_argument(
        "--repair",
        action="store_true",
        help="set aside what writes left that were cut short; deletes nothing",
    )
    add_json(parser)


def check(args: argparse.Namespace) -> int:
    """Validate every file; status 1 when something is wrong."""
    from stallwise.joins.log import vocabulary
    from stallwise.record.check import check as look
    from stallwise.record.folder import find_cookbook
    from stallwise.tables.catalogue import cuts
    from stallwise.tables.mixbook import mixbook

    known = {"cuts": set(cuts()), "mixes": set(mixbook()), "words": set(vocabulary.words())}
    named = args.path or args.cookbook
    path = Path(named) if named else find_cookbook(Path.cwd())
    report = look(path, repair=args.repair, known=known)
    if path.resolve() == find_cookbook(path).resolve():
        report = _with_mixes(report, path)
    report = _with_plans(report, path)
    if args.json:
        print_json(report.plain())
    else:
        for finding in report.findings:
            print(finding.text)
        print(report.summary)
    return 1 if report.wrong else 0


def _with_mixes(report: Report, path: Path) -> Report:
    """Add what is wrong inside the cook's own mixes and ingredients, which a record does not know."""
    from stallwise.joins.mix.mixfaults import mix_faults, unused_keys
    from stallwise.record.folder import Cookbook
    from stallwise.record.look import NOTE, WRONG, Finding
    from stallwise.record.problems import RecordError

    try:
        book = Cookbook.open(path)
        own = [book.overlay(kind) for kind in ("mixes", "ingredients", "cuts")]
        found = mix_faults(book.book, *own)
    except RecordError:
        return report  # a file that cannot be read was told already
    told = [Finding(WRONG, file, None, text) for file, text in found]
    told += [Finding(NOTE, file, None, text) for file, text in unused_keys(own[0], own[1])]
    return dataclasses.replace(report, findings=(*report.findings, *told))


def _kept_back(cook: Cook) -> Iterator[str]:
    """Tell a name in ``private`` or ``public`` that keeps nothing back or shows nothing."""
    from stallwise.record.keptback import check_kept_back

    try:
        check_kept_back(cook, where="")
    except InputError as error:
        yield str(error)


def _with_plans(report: Report, path: Path) -> Report:
    """Add what a forecast would refuse of the pieces of a cook, which a record does not know."""
    from stallwise.joins.planfaults import plan_faults
    from stallwise.record.folder import Cookbook, find_cookbook
    from stallwise.record.look import WRONG, Finding
    from stallwise.record.problems import RecordError

    root, here = find_cookbook(path).resolve(), path.resolve()
    told = []
    # A file that cannot be read was told already.
    with suppress(RecordError):
        book = Cookbook.open(root)
        own = book.overlay("cuts")
        for cook in book.cooks():
            if here not in (root, root / "cooks") and cook.path not in (here, *here.parents):
                continue
            file = book.store.name(cook.path / "cook.toml")
            with suppress(RecordError):
                plan = cook.read()
                said = [*plan_faults(plan, own), *_kept_back(plan)]
                told += [Finding(WRONG, file, None, f"{file}: {text}") for text in said]
    return dataclasses.replace(report, findings=(*report.findings, *told))
