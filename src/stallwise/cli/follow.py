"""`readings --follow`: a file that grows, looked at until Ctrl-C, with the forecast as of now."""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import now
from stallwise.cli.readings import said_of
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder
    from stallwise.record.following import Look

__all__ = ["follow"]

sleep = time.sleep


def follow(args: argparse.Namespace, folder: CookFolder) -> int:
    """Follow a file until it is told to stop.

    Returns
    -------
    int
        0 when it was stopped; 2 when something has to be said before anything comes in.
    """
    from stallwise.joins.log.readinganswers import said_before

    if not (args.follow and args.file) or args.dry_run:
        raise InputError(
            "--follow without a file, or with --dry-run",
            "readings COOK FILE --follow",
            "See what is understood with --dry-run first, then follow",
        )
    every_s = _every_s(args.look_every)
    said = said_of(args)
    path = Path(args.file)
    before = said_before(folder, path.name)
    if said == type(said)():
        said = before
    one = said.follow(folder, path)
    if not args.json:
        print(f"Following {path.name}, a look every {every_s:g} s; Ctrl-C ends it.", flush=True)
    last = ""
    try:
        while True:
            look = one.look()
            if look.state == "asked" and not last:
                return _asked(look)
            if look.state == "new" or (look.words != last and look.state != "same"):
                _tell(look, folder, as_json=args.json)
            last = look.words
            sleep(every_s)
    except KeyboardInterrupt:
        if not args.json:
            print("\nNo longer followed; what came in is kept.")
        return 0


def _every_s(text: str | None) -> float:
    from stallwise.ground.units import parse_duration_s
    from stallwise.record.following import EVERY_S

    if text is None:
        return EVERY_S
    every_s = parse_duration_s(text, key="--look-every")
    if not 1.0 <= every_s <= 3600.0:
        raise InputError(f"--look-every {text!r}", "1 s to 1 h")
    return every_s


def _asked(look: Look) -> int:
    """Say what has to be answered first, as an import does."""
    from stallwise.record.readingsreport import describe

    if look.report:
        print(describe(look.report))
        for question in look.report.questions:
            print(f"question: {question}", file=sys.stderr)
    print("stallwise: nothing was written; see the questions above", file=sys.stderr)
    return 2


def _tell(look: Look, folder: CookFolder, *, as_json: bool) -> None:
    """Say what a look found, and the forecast where readings came in."""
    from stallwise.joins import words
    from stallwise.joins.ask import ask

    moment = now()
    questions = list(look.report.questions) if look.report else []
    headline = ""
    if look.state == "new":
        headline = words.headline(ask(folder.load(), made_at=moment))
    if as_json:
        told = {
            "at": moment.isoformat(), "state": look.state, "added": look.added, "words": look.words,
            "forecast": headline, "questions": questions,
        }  # fmt: skip
        print(json.dumps(told, ensure_ascii=False), flush=True)
        return
    clock = moment.astimezone(folder.home.zone_of(folder.read()))
    print(f"{clock:%H:%M}  {look.words}  {headline}".rstrip(), flush=True)
    for question in questions:
        print(f"       question: {question}", flush=True)
