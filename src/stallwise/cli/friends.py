"""`share` and `open`: a cook as one file, given away or received."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from stallwise.cli.common import add_json, open_book, open_cook, print_json
from stallwise.ground.errors import InputError


def add_share(parser: argparse.ArgumentParser) -> None:
    """Options of `share`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of the cook")
    parser.add_argument(
        "--out", metavar="FILE", help="file to write; the default is the cook's name here"
    )
    add_json(parser)


def share(args: argparse.Namespace) -> int:
    """Write a cook as one file, without what is kept back."""
    from stallwise.record.packing import pack
    from stallwise.record.sharing import shared
    from stallwise.record.store import write_new

    _, folder = open_cook(args)
    path = Path(args.out) if args.out else Path(f"{folder.name}.zip")
    if path.suffix.casefold() != ".zip":
        raise InputError(f"--out {args.out!r}", "a name that ends in .zip")
    found = shared(folder)
    data = pack(found.files, found.told)
    write_new(path, data)
    if args.json:
        print_json({
            "file": str(path), "bytes": len(data), "files": sorted(found.files),
            "left_out": list(found.left_out),
        })  # fmt: skip
        return 0
    print(f"{path} holds {folder.name}: {len(found.files)} files, {len(data) / 1e6:.1f} MB.")
    print("Pictures carry no place, time or camera. Log, notes and weights go along as written.")
    for one in found.left_out:
        print(f"Left out: {one}.")
    print(f"To be opened with:  stallwise open {path.name}")
    return 0


def add_open(parser: argparse.ArgumentParser) -> None:
    """Options of `open`."""
    parser.add_argument("file", metavar="FILE", help="file made by `stallwise share`")
    parser.add_argument("--as", dest="name", metavar="NAME", help="what to call it here")
    add_json(parser)


def open(args: argparse.Namespace) -> int:  # noqa: A001 - named like its command
    """Open a cook of somebody else beside one's own."""
    from stallwise.record.received import open_shared

    book = open_book(args)
    found, new = open_shared(book, Path(args.file), args.name)
    if args.json:
        print_json({
            "name": found.name, "cook": found.cook, "from": found.whose, "new": new,
            "path": found.path.relative_to(book.path).as_posix(),
        })  # fmt: skip
        return 0
    place = os.path.relpath(found.path)
    if args.name and args.name != found.name and not new:
        print(f"note: it keeps its name {found.name}", file=sys.stderr)
    print(
        f"{found.cook}, from {found.whose}, lies in {place}."
        if new
        else f"The same file was opened before: it lies in {place}."
    )
    print("It teaches nothing here: its pit is not yours. Nothing of it was run.")
    print(f"Look at it:    stallwise forecast {found.cook} --cookbook {place}")
    print(f"Its page:      stallwise publish --cookbook {place}")
    print(f"Plan from it:  stallwise new --from {found.name}")
    return 0
