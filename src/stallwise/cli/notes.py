"""`log` and `readings`: what is written down during and after a cook."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, now, open_cook, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.folder import CookFolder
    from stallwise.record.log import Appended, LogLine


def add_log(parser: argparse.ArgumentParser) -> None:
    """Options of `log`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook")
    parser.add_argument(
        "what", metavar="WHAT", nargs="?", help='what happened, in short words: "wrapped foil"'
    )
    parser.add_argument("--piece", metavar="P", default="", help="letter of a piece or pit")
    parser.add_argument(
        "--at", metavar="TIME", help='"13:10", "1:10 pm", "+2:40" after meat on; the default is now'
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="a remark kept with the line")
    parser.add_argument(
        "--set",
        dest="settings",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="what goes with it, where the words leave it open: --set kind=foil",
    )
    parser.add_argument(
        "--lines", metavar="FILE", help="a block of short lines (- for standard input)"
    )
    parser.add_argument(
        "--accept",
        action="store_true",
        help="with --lines: write what is clear (the default only shows what was understood)",
    )
    add_json(parser)


def log(args: argparse.Namespace) -> int:
    """Write one line, or show and write a block."""
    if bool(args.what) == bool(args.lines):
        raise InputError(
            "log takes one thing that happened or a block of lines",
            'log COOK "wrapped foil", or log COOK --lines FILE',
        )
    return _block(args) if args.lines else _one(args)


def _one(args: argparse.Namespace) -> int:
    from stallwise.joins.paper import log_lines, paper_context

    _, folder = open_cook(args)
    record = folder.load()
    lines = list(
        log_lines(
            args.what,
            at=args.at,
            piece=args.piece,
            note=args.note,
            settings=_settings(args.settings),
            context=paper_context(record, now=now(), source="command"),
        )
    )
    done = folder.append(lines)
    _show_done(args, record, lines, done)
    if done.written:
        _forecast_aside(folder, lines)
    return 0


def _settings(pairs: list[str]) -> dict[str, str]:
    split = [pair.partition("=") for pair in pairs]
    for name, sign, _ in split:
        if not sign:
            raise InputError(f"--set {name!r} has no '='", "KEY=VALUE, for example kind=foil")
    return {name.strip(): value.strip() for name, _, value in split}


def _block(args: argparse.Namespace) -> int:
    from stallwise.joins.paper import as_words, paper_context, read_block

    _, folder = open_cook(args)
    record = folder.load()
    text = sys.stdin.read() if args.lines == "-" else _read_text(Path(args.lines))
    context = paper_context(record, now=now())
    block = read_block(text, context=context)
    clear = [entry for line in block.lines for entry in line.entries if line.state == "clear"]
    asked = [line for line in block.lines if line.state == "asked"]
    written = folder.append(clear) if args.accept else None
    if args.json:
        print_json(
            {
                "lines": [
                    {
                        "number": line.number,
                        "raw": line.raw,
                        "state": line.state,
                        "understood": line.as_text,
                        "question": line.question,
                    }
                    for line in block.lines
                ],
                "written": len(written.written) if written else 0,
                "already": len(written.already) if written else 0,
            }
        )
    else:
        for line in block.lines:
            if line.state != "skipped":
                print(f"{line.number:3}  {line.raw.strip():32}  {as_words(line)}")
        if written is None:
            print(f"{len(clear)} lines understood; nothing written. Add --accept to write them.")
        else:
            print(f"{len(written.written)} written, {len(written.already)} were there already.")
        for line in asked:
            print(f"line {line.number}: {line.question}", file=sys.stderr)
    return 2 if asked else 0


def _show_done(
    args: argparse.Namespace, record: CookRecord, lines: list[LogLine], done: Appended
) -> None:
    from stallwise.joins.paper import entry_words

    if args.json:
        print_json({"written": [line.id for line in done.written], "already": list(done.already)})
        return
    for line in lines:
        state = "" if done.written else " (was there already)"
        print(entry_words(line, record) + state)


def _forecast_aside(folder: CookFolder, lines: list[LogLine]) -> None:
    """Keep a new forecast after a line that changes the plan, without holding the cook up.

    A process of its own does it: the log line is on disk and the prompt is back before
    the model has been loaded.
    """
    from stallwise.joins.paper import changes_plan

    if not any(changes_plan(line) for line in lines):
        return
    import os
    import subprocess

    at = max(line.at for line in lines)
    subprocess.Popen(  # noqa: S603 - our own interpreter and module
        [
            sys.executable,
            "-P",
            "-m",
            "stallwise",
            "forecast",
            str(folder.path),
            "--keep",
            "--as-of",
            at.isoformat(),
        ],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        cwd=os.sep,
    )


def _read_text(path: Path) -> str:
    if not path.is_file():
        raise InputError(f"there is no file {str(path)!r}", "a text file with one short line a row")
    data = path.read_bytes()
    if len(data) > 1_000_000:
        raise InputError(f"{path.name} is {len(data)} bytes", "a block of lines up to 1 MB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def add_readings(parser: argparse.ArgumentParser) -> None:
    """Options of `readings`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook")
    parser.add_argument("file", metavar="FILE", help="CSV or text file with a header line")
    parser.add_argument("--unit", choices=("C", "F"), help="unit of the temperatures")
    parser.add_argument("--zone", metavar="ZONE", help="time zone of the file, an IANA name")
    parser.add_argument("--day-first", action="store_true", help="dates are written day first")
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="NAME=WHERE",
        help="what a column measures: a piece's letter, or pit (or a pit's letter), or skip",
    )
    parser.add_argument(
        "--dry-run", action="store_true", help="show what was understood, write nothing"
    )
    add_json(parser)


def readings(args: argparse.Namespace) -> int:
    """Bring in probe readings."""
    from stallwise.record.readings import describe

    _, folder = open_cook(args)
    columns = {}
    for pair in args.column:
        name, sign, where = pair.rpartition("=")
        if not sign:
            raise InputError(f"--column {pair!r} has no '='", "NAME=WHERE, for example meat=A")
        columns[name] = where
    report = folder.add_readings(
        Path(args.file),
        unit=args.unit,
        zone=args.zone,
        day_first=args.day_first,
        columns=columns,
        dry_run=args.dry_run,
    )
    if args.json:
        print_json(report.plain())
    else:
        print(describe(report))
    for question in report.questions:
        print(f"question: {question}", file=sys.stderr)
    return 2 if report.questions and not args.dry_run else 0
