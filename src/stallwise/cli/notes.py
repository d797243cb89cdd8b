"""`log`: what is written down during and after a cook."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.cli.common import add_json, now, open_cook, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stallwise.joins.log.papercontext import PaperContext
    from stallwise.joins.log.understood import Block
    from stallwise.record.folder import CookFolder
    from stallwise.record.log import Appended, LogLine


def add_log(parser: argparse.ArgumentParser) -> None:
    """Options of `log`."""
    parser.add_argument("cook", metavar="COOK", nargs="?", help="folder or name of a cook")
    parser.add_argument(
        "what",
        metavar="WHAT",
        nargs="?",
        help='what happened, in short words: "wrapped foil"; without it the log is listed',
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
    parser.add_argument(
        "--take-back",
        metavar="N",
        help="take back the line of this number or id; the log keeps both",
    )
    parser.add_argument(
        "--words", action="store_true", help="list the words that are understood, with examples"
    )
    add_json(parser)
    parser.epilog = (
        f"{parser.epilog or ''}\n\n"
        "The words that are understood:  stallwise log --words\n"
        "What is logged, numbered:       stallwise log spring-ribs\n"
        "A line that was wrong:          stallwise log spring-ribs --take-back 3"
    )


def log(args: argparse.Namespace) -> int:
    """Write, list or take back lines, show and write a block, or list the words."""
    asked = [bool(args.what), bool(args.lines), args.take_back is not None, args.words]
    if sum(asked) > 1 or not (args.cook or args.words) or _loose_options(args):
        raise InputError(
            "log takes one thing that happened, a block of lines, or a line to take back",
            'log COOK "wrapped foil", log COOK --lines FILE, log COOK --take-back N, '
            "log COOK alone to list what is logged, or log --words",
        )
    if args.words:
        return _list_words(args)
    if args.take_back is not None:
        return _take_back(args)
    if args.lines:
        return _block(args)
    return _one(args) if args.what else _list_log(args)


def _loose_options(args: argparse.Namespace) -> bool:
    """Whether a time or a letter was given with nothing that it belongs to."""
    return not args.what and bool(args.at or args.piece or args.note or args.settings)


def _one(args: argparse.Namespace) -> int:
    from stallwise.joins.log.paper import read_one

    _, folder = open_cook(args)
    line = read_one(
        args.what,
        at=args.at,
        piece=args.piece,
        note=args.note,
        settings=_settings(args.settings),
        context=_context(folder, "command"),
    )
    done = folder.append(line.entries)
    if args.json:
        print_json(
            {
                **_counted(done),
                "understood": line.as_text,
                "notes": list(line.doubts),
            }
        )
    else:
        print(line.as_text + ("" if done.written else " (was there already)"))
    _print_notes(line.doubts)
    if done.written:
        _forecast_aside(folder, line.entries)
    return 0


def _context(folder: CookFolder, source: str) -> PaperContext:
    from stallwise.joins.log.papercontext import paper_context

    return paper_context(
        folder.load(readings=False), now=now(), source=source, log=folder.log().lines
    )


def _counted(done: Appended) -> dict[str, Any]:
    return {"written": [line.id for line in done.written], "already": list(done.already)}


def _print_notes(texts: Iterable[str]) -> None:
    for text in texts:
        print(f"note: {text}", file=sys.stderr)


def _list_words(args: argparse.Namespace) -> int:
    from stallwise.joins.log.wordlist import word_list

    listed = word_list()
    if args.json:
        rows = [{"key": key, "help": text, "examples": list(ways)} for key, text, ways in listed]
        print_json({"words": rows})
        return 0
    for key, text, ways in listed:
        print(f"{key:13} {text}\n{'':13} {' | '.join(ways)}")
    print(
        "Times: 1310, 13:10, 1:10 pm, +2:40 after meat on, about 3, noon. "
        "Letters of pieces or pits before or behind: A 13:10 turned. Remarks after ' - '."
    )
    return 0


def _list_log(args: argparse.Namespace) -> int:
    from stallwise.joins.log.logbook import numbered
    from stallwise.joins.log.paper import entry_words

    _, folder = open_cook(args)
    context = _context(folder, "command")
    lines = numbered(context.log)
    if args.json:
        rows = [
            {
                "number": each.number,
                **each.line.to_json(),
                "words": entry_words(each.line, context),
                "state": each.state,
            }
            for each in lines
        ]
        print_json({"cook": folder.name, "lines": rows})
        return 0
    for each in lines:
        state = "" if each.state == "holds" else f"  ({each.state})"
        print(f"{each.number:3}  {entry_words(each.line, context)}{state}")
    if not lines:
        print("Nothing is logged yet.")
    return 0


def _take_back(args: argparse.Namespace) -> int:
    from stallwise.joins.log.logbook import find_line
    from stallwise.joins.log.paper import changes_plan, entry_words
    from stallwise.record.log import withdrawal

    _, folder = open_cook(args)
    context = _context(folder, "command")
    found = find_line(context.log, args.take_back)
    words = entry_words(found.line, context)
    there = found.state == "holds"
    done = folder.append([withdrawal(found.line, made=now())] if there else [])
    if args.json:
        taken = [found.line.id] if done.written else []
        print_json({"taken_back": taken, "number": found.number, "words": words})
    elif done.written:
        print(f"taken back: {words}")
    else:
        print(f"{words} (was {found.state if not there else 'taken back'} already)")
    if done.written and changes_plan(found.line):
        _keep_forecast(folder)
    return 0


def _settings(pairs: list[str]) -> dict[str, str]:
    split = [pair.partition("=") for pair in pairs]
    for name, sign, _ in split:
        if not sign:
            raise InputError(f"--set {name!r} has no '='", "KEY=VALUE, for example kind=foil")
    return {name.strip(): value.strip() for name, _, value in split}


def _block(args: argparse.Namespace) -> int:
    from stallwise.joins.log.paper import read_block

    _, folder = open_cook(args)
    text = _text_of(sys.stdin.buffer.read(), "-") if args.lines == "-" else _read_text(args.lines)
    block = read_block(text, context=_context(folder, "paper"))
    written = folder.append(block.entries) if args.accept else None
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
                        "notes": list(line.doubts),
                    }
                    for line in block.lines
                ],
                "notes": [
                    f"line {line.number}: {text}" for line in block.lines for text in line.doubts
                ],
                "written": len(written.written) if written else 0,
                "already": len(written.already) if written else 0,
            }
        )
    else:
        _print_block(block, written)
    return 2 if block.asked else 0


def _print_block(block: Block, written: Appended | None) -> None:
    """Each line beside what was understood of it, its question or its notes once."""
    from stallwise.joins.log.paper import as_words

    for line in block.lines:
        if line.state == "skipped":
            continue
        print(f"{line.number:3}  {line.raw.strip():32}  {as_words(line)}")
        for text in line.doubts:
            print(f"{'':39}note: {text}")
    if written is None:
        many = sum(1 for line in block.lines if line.entries)
        lines = "1 line" if many == 1 else f"{many} lines"
        print(f"{lines} understood; nothing written. Add --accept to write them.")
    else:
        print(f"{len(written.written)} written, {len(written.already)} were there already.")
    if block.asked:
        numbers = ", ".join(str(line.number) for line in block.asked)
        what = f"line {numbers} is" if len(block.asked) == 1 else f"lines {numbers} are"
        print(f"stallwise: {what} asked: see '?' above", file=sys.stderr)


def _forecast_aside(folder: CookFolder, lines: Iterable[LogLine]) -> None:
    """Keep a new forecast after a line that changes the plan, without holding the cook up.

    A process of its own does it: the log line is on disk and the prompt is back before
    the model has been loaded.
    """
    from stallwise.joins.log.paper import changes_plan

    if any(changes_plan(line) for line in lines):
        _keep_forecast(folder, "--as-of", max(line.at for line in lines).isoformat())


def _keep_forecast(folder: CookFolder, *options: str) -> None:
    import os
    import subprocess

    program = [sys.executable, "-P", "-m", "stallwise"]
    subprocess.Popen(  # noqa: S603 - our own interpreter and module
        [*program, "forecast", str(folder.path), "--keep", *options],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        cwd=os.sep,
    )


def _read_text(name: str) -> str:
    path = Path(name)
    if not path.is_file():
        raise InputError(f"there is no file {name!r}", "a text file with one short line a row")
    return _text_of(path.read_bytes(), path.name)


def _text_of(data: bytes, name: str) -> str:
    if len(data) > 1_000_000:
        raise InputError(f"{name} is {len(data)} bytes", "a block of lines up to 1 MB")
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    # Text holds no control signs but its line ends and tabs; pictures and archives do.
    control = not wide and any(byte < 32 and byte not in b"\t\n\r\f\x1a" for byte in data)
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text, control = data.decode("latin-1"), control or wide
    if control:
        raise InputError(f"{name} is not a text file", "a text file with one short line a row")
    return text
