"""The command ``stallwise``: a thin shell over the library.

Exit status 0 done, 1 the work failed, 2 the request was wrong. A command's module is
imported only when that command is asked for, so that everyday ones start at once.
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NoReturn

from stallwise import __version__
from stallwise.ground.errors import InputError, NotFoundError, StallwiseError

__all__ = ["COMMANDS", "main"]


@dataclass(frozen=True)
class Command:
    """One command: where it lives, its one-line help and a worked example."""

    module: str
    help: str
    example: str


#: The everyday ones first.
COMMANDS: dict[str, Command] = {
    "new": Command(
        "start",
        "start a cook, pre-filled from the last one of that cut",
        "stallwise new --cut pork-spare-ribs-trimmed --on 2026-10-03 --set serve=16:00",
    ),
    "forecast": Command(
        "predict",
        "say when it stalls, when it is tender, when to light the fire",
        'stallwise forecast spring-ribs --set pit_start="250 F"',
    ),
    "sheet": Command(
        "sheet",
        "the day sheet, backwards from serving",
        "stallwise sheet spring-ribs --print sheet.html",
    ),
    "log": Command(
        "notes",
        "one log line, or a block of short lines from paper",
        'stallwise log spring-ribs "wrapped foil" --at 13:10',
    ),
    "readings": Command(
        "readings",
        "bring in probe readings from a CSV or text file, or list them",
        "stallwise readings harvest-supper probe.csv --unit F --dry-run",
    ),
    "limits": Command(
        "limits",
        "time and temperature rules: what runs, what they ask",
        "stallwise limits harvest-supper",
    ),
    "mix": Command("show", "scale a rub, sauce or stock", 'stallwise mix plain-rub --for "4 kg"'),
    "shop": Command(
        "shop",
        "one shopping list over cooks, rubs and sauces",
        'stallwise shop harvest-supper --have "honey=200 g"',
    ),
    "crowd": Command(
        "crowd",
        "how much to buy for guests, and what a plate costs",
        'stallwise crowd --guests 28 --cut pork-shoulder-bone-in --price "3.29 per lb"',
    ),
    "quote": Command(
        "crowd",
        "what a crowd takes and costs a head, a page to hand over, and what it came to",
        "stallwise quote fete-for-ninety --print quote.html",
    ),
    "lesson": Command(
        "lesson",
        "a class at several pits: what is shown when, guesses, sheets and handouts",
        "stallwise lesson class-of-twelve --print class",
    ),
    "contest": Command(
        "contest",
        "several hand-ins at fixed minutes: starts, how sure, what to pick from",
        "stallwise contest four-hand-ins --print contest",
    ),
    "taste": Command(
        "taste",
        "a blinded side-by-side: plan it, enter the slips, read what they show",
        "stallwise taste two-glazes",
    ),
    "learn": Command("teach", "learn pits and cuts from the finished cooks", "stallwise learn"),
    "publish": Command(
        "pages", "write journal pages and their index", "stallwise publish harvest-supper"
    ),
    "rerun": Command(
        "again",
        "run old cooks again, one or all, with something changed, and show what moved",
        'stallwise rerun harvest-supper --set pit_start="250 F"',
    ),
    "compare": Command(
        "past",
        "lay cooks beside each other: what was different, what came out",
        "stallwise compare spring-ribs two-glazes",
    ),
    "renew": Command(
        "again",
        "bring an old cook's notebook to the newest template, as a diff first",
        "stallwise renew harvest-supper",
    ),
    "tally": Command("tally", "how often past forecasts were right", "stallwise tally --all"),
    "cooks": Command("show", "list the cooks, newest first", "stallwise cooks"),
    "cuts": Command("show", "list the cuts", "stallwise cuts ribs"),
    "mixes": Command(
        "show",
        "list rubs, sauces and stock, or show those of a cook with its salt",
        "stallwise mixes spring-ribs",
    ),
    "ingredients": Command(
        "kitchen",
        "list what a rub or sauce may be made of, with the weight of its spoon",
        "stallwise ingredients vinegar",
    ),
    "explain": Command("show", "where a number comes from", "stallwise explain heating.offset"),
    "film": Command(
        "film",
        "what to show of a cook, chapters of its film, captions",
        "stallwise film harvest-supper --start 04:30",
    ),
    "share": Command(
        "friends", "write a cook as one file to give away", "stallwise share harvest-supper"
    ),
    "open": Command(
        "friends",
        "open a cook of somebody else beside your own",
        "stallwise open 2026-09-26-harvest-supper.zip",
    ),
    "check": Command("care", "look a cookbook over for mistakes", "stallwise check"),
    "init": Command("start", "start a cookbook", "stallwise init my-cookbook --sample"),
}


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        return _run(words)
    except StallwiseError as error:
        print(f"stallwise: {error}", file=sys.stderr)
        return error.status
    except BrokenPipeError:
        # The reader went away (`| head`): nothing failed.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        print(f"stallwise: {_os_words(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("stallwise: stopped; what was finished is kept", file=sys.stderr)
        return 130


def _run(words: list[str]) -> int:
    if not words or words[0] in {"-h", "--help", "help"}:
        print(_overview())
        return 0
    if words[0] == "--version":
        print(f"stallwise {__version__}")
        return 0
    cookbook = None
    if words[0] == "--cookbook" and len(words) > 2:
        cookbook, words = words[1], words[2:]
    name = words[0]
    if name not in COMMANDS:
        raise NotFoundError("command", name, COMMANDS)
    module = importlib.import_module(f"stallwise.cli.{COMMANDS[name].module}")
    parser = _Parser(
        prog=f"stallwise {name}",
        description=COMMANDS[name].help.capitalize() + ".",
        epilog=f"Example:  {COMMANDS[name].example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--cookbook", metavar="DIR", default=cookbook, help="the cookbook's folder")
    getattr(module, f"add_{name}")(parser)
    try:
        args = parser.parse_args(words[1:])
    except SystemExit as stop:
        return int(stop.code or 0)
    run: Callable[[argparse.Namespace], int] = getattr(module, name)
    return run(args)


class _Parser(argparse.ArgumentParser):
    """Errors in the house's form, and options by their full name only."""

    def __init__(self, **settings: object) -> None:
        super().__init__(allow_abbrev=False, **settings)  # type: ignore[arg-type]

    def error(self, message: str) -> NoReturn:
        # argparse says "invalid int value", which is a word of programs.
        words = message.replace("invalid int value: ", "not a whole number: ")
        raise InputError(words, "", f"See: {self.prog} --help")


def _overview() -> str:
    width = max(map(len, COMMANDS))
    lines = [
        "stallwise: a cook's notebook for live-fire barbecue.",
        "",
        "usage: stallwise COMMAND [--cookbook DIR] …     (each has --help with an example)",
        "",
        *(f"  {name.ljust(width)}  {command.help}" for name, command in COMMANDS.items()),
        "",
        "A cookbook is found upwards from the current folder, or named with --cookbook DIR.",
        "Example:  stallwise init my-cookbook --sample",
    ]
    return "\n".join(lines)


def _os_words(error: OSError) -> str:
    where = f" ({error.filename})" if error.filename else ""
    return f"the system said: {error.strerror or error}{where}. What was there before is kept."


if __name__ == "__main__":
    sys.exit(main())
