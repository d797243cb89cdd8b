"""`init` and `new`."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_settings, open_book, read_date
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook
    from stallwise.record.schema import Cook


def add_init(parser: argparse.ArgumentParser) -> None:
    """Options of `init`."""
    parser.add_argument("dir", metavar="DIR", help="folder to make")
    parser.add_argument(
        "--sample",
        nargs="?",
        const="year",
        choices=("year", "events"),
        help="bring the sample cooks (our own invention): a year of them, or a supper for ninety, a "
        "class and a contest day",
    )
    parser.add_argument(
        "--units", choices=("us", "metric"), default="us", help="units shown; both are read"
    )
    parser.add_argument(
        "--timezone", metavar="ZONE", default=None, help="IANA zone; the default is this machine's"
    )
    parser.add_argument(
        "--title", metavar="TEXT", default="My cookbook", help="title of the cookbook"
    )


def init(args: argparse.Namespace) -> int:
    """Start a cookbook."""
    from stallwise.record.folder import Cookbook
    from stallwise.surfaces.templates import BOOK_NOTEBOOKS, copy_template

    path = Path(args.dir)
    there = (path / "cookbook.toml").is_file()
    zone = args.timezone or _machine_zone()
    book = Cookbook.start(path, title=args.title, units=args.units, time_zone=zone)
    made = "is a cookbook already; its settings stay" if there else "is a cookbook now"
    print(f"{args.dir} {made} ({book.book.units} units, {book.book.time_zone}).")
    for name in BOOK_NOTEBOOKS:
        if not (path / f"{name}.ipynb").exists():
            copy_template(name, path)
    if args.sample:
        from stallwise.record.sample import bring_sample

        for name in bring_sample(book, args.sample):
            copy_template("cook", book.cook(name).path)
            print(f"  sample cook {name}")
    print(f"Next:  stallwise new --cookbook {args.dir} --cut pork-spare-ribs-trimmed")
    return 0


def _machine_zone() -> str:
    """Zone of this machine by its link or file; UTC when it does not say."""
    link = Path("/etc/localtime")
    if link.is_symlink() and "zoneinfo/" in (target := str(link.resolve())):
        return target.rsplit("zoneinfo/", maxsplit=1)[-1]
    named = Path("/etc/timezone")
    return (named.read_text(encoding="utf-8").strip() if named.is_file() else "") or "Etc/UTC"


def add_new(parser: argparse.ArgumentParser) -> None:
    """Options of `new`."""
    parser.add_argument(
        "template",
        metavar="TEMPLATE",
        nargs="?",
        default="cook",
        help="notebook template: cook (the default) or trial for a new cook; compare or year for the "
        "cookbook",
    )
    parser.add_argument("--cut", metavar="CUT", help="which cut, as in `stallwise cuts`")
    parser.add_argument(
        "--from", dest="source", metavar="COOK|FILE", help="an old cook, or a friend's cook.toml"
    )
    parser.add_argument("--title", metavar="T", help="title of the cook")
    parser.add_argument(
        "--on", metavar="DATE", help="date of eating, 2026-09-26; the default is today"
    )
    add_settings(parser)


def new(args: argparse.Namespace) -> int:
    """Start a cook from a template."""
    from stallwise.joins.draft import cooked_first, draft, last_of_cut
    from stallwise.joins.parameters import parse_settings, resolve
    from stallwise.surfaces.templates import BOOK_NOTEBOOKS, copy_template, shipped
    from stallwise.tables.catalogue import cut as find_cut

    shipped(args.template)  # a wrong name is told before anything is made
    book = open_book(args)
    if args.template in BOOK_NOTEBOOKS:
        return _look_back(args, book)
    changes = parse_settings(args.settings)
    cut = args.cut or changes.get("cut")
    entry = find_cut(cut, overlay=book.overlay("cuts")) if cut else None
    cut = entry.key if entry else None
    date = read_date(args.on)
    before = None
    if args.source:
        before = _source(book, args.source)
    elif cut:
        before = last_of_cut(cooked_first(book), cut)
    title = args.title or (entry.name if entry else before[1].title if before else "Cook")
    text = draft(
        title=title, date=date, cut=cut, before=before, changes=changes, template=args.template
    )
    folder = book.new_cook(title, date, text)
    copy_template(args.template, folder.path)
    print(f"Started {folder.name}" + (f", pre-filled from {before[0]}." if before else "."))
    cook = resolve(folder.read(), {})
    if cook.carried:
        print(f"Next time, said last time: {cook.carried}")
    print(f"Plan:      {folder.path / 'cook.toml'}")
    print(f"Notebook:  PYTHONSAFEPATH=1 jupyter lab {folder.path / 'cook.ipynb'}")
    return 0


def _look_back(args: argparse.Namespace, book: Cookbook) -> int:
    """Put a notebook that looks back into the cookbook; it is of no cook."""
    from stallwise.surfaces.templates import copy_template

    given = {"--cut": args.cut, "--from": args.source, "--title": args.title, "--on": args.on}
    said = [option for option, value in given.items() if value] + ["--set"] * bool(args.settings)
    if said:
        raise InputError(
            f"{said[0]} with the notebook {args.template}",
            "none of a cook's options",
            f"It is of no cook: stallwise new {args.template}",
        )
    print(f"Notebook:  PYTHONSAFEPATH=1 jupyter lab {copy_template(args.template, book.path)}")
    return 0


def _source(book: Cookbook, name: str) -> tuple[str, Cook]:
    from stallwise.record.folder import Cookbook, read_cook_file
    from stallwise.record.received import received

    path = Path(name)
    if path.is_file():
        return path.stem, read_cook_file(path)
    theirs = {one.name: one for one in received(book)}
    if name in theirs:
        return theirs[name].cook, Cookbook.open(theirs[name].path).cook(theirs[name].cook).read()
    folder = book.cook(name)
    return folder.name, folder.read()
