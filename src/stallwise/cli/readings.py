"""`readings`: what probes wrote, brought in, listed, left out and brought back."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.cli.common import add_json, open_cook, pairs, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from stallwise.ground.errors import CookWarning
    from stallwise.joins.log.readinganswers import Said
    from stallwise.record.folder import CookFolder

_EXAMPLE = """
See what is understood first; nothing is written and nothing is asked on the way:
  stallwise readings harvest-supper probe.csv --dry-run
    pit: pit P, unit asked, 187 readings, 2026-09-26 01:30 to 2026-09-26 17:00
      nothing for 45 min from 04:10
      1 left out: a sensor that lost contact says this (85.0 at 09:40)
    question: Is 'pit' (225) in C or F? …
Answer what is asked with options, then leave out --dry-run:
  stallwise readings harvest-supper probe.csv --unit F --column "probe 2=A"
Follow a file that another program keeps writing to, with the forecast as of now (Ctrl-C ends it):
  stallwise readings harvest-supper live.csv --unit F --column "probe 2=A" --follow
What is there, with what does not count, numbered:  stallwise readings harvest-supper
Let number 2 count again:                           stallwise readings harvest-supper --restore 2
"""


def add_readings(parser: argparse.ArgumentParser) -> None:
    """Options of `readings`."""
    add = parser.add_argument
    add("cook", metavar="COOK", help="folder or name of a cook")
    add(
        "file",
        metavar="FILE",
        nargs="?",
        help="a table (CSV, TSV, semicolons) or short lines '13:05 pit 250 meat 145'; without it "
        "the readings that are there are listed",
    )
    add("--dry-run", action="store_true", help="show what was understood, write nothing")
    add(
        "--follow",
        action="store_true",
        help="go on looking at a file that another program appends to, until Ctrl-C; started again it "
        "goes on where it stopped, with what was said then",
    )
    add(
        "--look-every", metavar="SPAN", help="with --follow: how often to look; the default is 15 s"
    )
    add("--unit", choices=("C", "F"), help="unit of the columns that name none")
    add(
        "--column",
        action="append",
        default=[],
        metavar="NAME=WHAT",
        help="what a column is: a piece's or pit's letter, pit, grate, lid, oven or skip (with a unit "
        "where the header's is wrong: 'pit C'); or time, minutes, hours, seconds; of a probe that was "
        "moved: 'meat=A until 13:05 B'",
    )
    add("--zone", metavar="ZONE", help="time zone of the file, an IANA name")
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--day-first", action="store_true", help="dates are written day first")
    way.add_argument("--month-first", action="store_true", help="dates are written month first")
    add("--clock", type=int, choices=(12, 24), help="how clock times without am or pm are read")
    add(
        "--start",
        metavar="TIME",
        help="when the first reading was by the cook's clock; all times move with it",
    )
    add(
        "--shift",
        metavar="SPAN",
        help="move all times of a clock that was wrong: '1 h earlier', '35 min later'; 0 says it was right",
    )
    add(
        "--every",
        metavar="SPAN",
        help="how far apart the rows are, for a file without times: '10 s'",
    )
    add(
        "--rows",
        action="append",
        default=[],
        metavar="COLUMN=VALUE",
        help="read only rows with this value, where a file holds several cooks",
    )
    add(
        "--overlap",
        choices=("skip", "merge", "replace"),
        help="where there are readings already: keep those, add between them, or count the new ones",
    )
    add(
        "--restore",
        action="append",
        metavar="N",
        help="let what was left out count again: its number in the list, or all",
    )
    add("--leave-out", metavar="CHANNEL", help="leave out a channel from --from to --to")
    add("--from", dest="since", metavar="TIME", help="first moment to leave out")
    add("--to", dest="until", metavar="TIME", help="last moment to leave out")
    add_json(parser)
    parser.epilog = f"{parser.epilog or ''}\n{_EXAMPLE}"


def readings(args: argparse.Namespace) -> int:
    """Bring in readings, list them, or say which count."""
    asked = [args.file is not None, args.restore is not None, args.leave_out is not None]
    if sum(asked) > 1 or (args.leave_out is None and (args.since or args.until)):
        raise InputError(
            "readings takes a file, something to restore, or something to leave out",
            "readings COOK FILE, readings COOK --restore N, readings COOK --leave-out CHANNEL "
            "--from TIME --to TIME, or readings COOK alone to list them",
        )
    _, folder = open_cook(args)
    if args.restore is not None:
        return _restore(args, folder)
    if args.leave_out is not None:
        return _leave_out(args, folder)
    if args.follow or args.look_every:
        from stallwise.cli.follow import follow

        return follow(args, folder)
    return _bring_in(args, folder) if args.file else _list(args, folder)


def _bring_in(args: argparse.Namespace, folder: CookFolder) -> int:
    from stallwise.record.readingsreport import describe

    said = said_of(args)
    report = folder.add_readings(
        Path(args.file),
        said.answers(folder),
        zone=args.zone,
        over=said.over,
        dry_run=args.dry_run,
        ask=said.asks(folder),
    )
    if args.json:
        print_json(report.plain())
    else:
        print(describe(report))
    for question in report.questions:
        print(f"question: {question}", file=sys.stderr)
    if report.questions:
        print("stallwise: nothing was written; see the questions above", file=sys.stderr)
    return 2 if report.questions and not args.dry_run else 0


def said_of(args: argparse.Namespace) -> Said:
    """Take from the options what was said of a file."""
    from stallwise.joins.log.readinganswers import Said

    dates = "day first" if args.day_first else "month first" if args.month_first else ""
    return Said(
        unit=args.unit or "",
        zone=args.zone or "",
        dates=dates,
        clock=str(args.clock or ""),
        start=args.start or "",
        shift=args.shift or "",
        every=args.every or "",
        overlap=args.overlap or "",
        columns=pairs("--column", args.column, "meat=A"),
        rows=pairs("--rows", args.rows, "session=2"),
    )


def _moment(text: str, folder: CookFolder) -> Any:
    from stallwise.record.clocks import moment

    cook = folder.read()
    return moment(text, cook.date, folder.home.zone_of(cook))


def _list(args: argparse.Namespace, folder: CookFolder) -> int:
    from stallwise.record.leftout import left_out
    from stallwise.record.overlap import masked
    from stallwise.record.readingsreport import readings_lines

    where = folder.home.zone_of(folder.read())
    own = folder.own_readings()
    there, out = masked(own, folder.imports()), left_out(own)
    if args.json:
        print_json({"cook": folder.name, **_plain_list(there, out, where)})
        return 0
    for line in readings_lines(there, out, where):
        print(line)
    if not there:
        print("There are no readings yet.")
    for warning in _clock_warnings(folder) if there else ():
        print(f"note: {warning.text}", file=sys.stderr)
    return 0


def _clock_warnings(folder: CookFolder) -> Sequence[CookWarning]:
    from stallwise.joins.learn.probeclock import clock_warnings
    from stallwise.joins.timing import seen

    record = folder.load()
    return clock_warnings(record.cook, seen(record, None), record.readings, zone=record.zone)


def _plain_list(there: Any, out: Any, where: ZoneInfo) -> dict[str, Any]:
    from stallwise.record.readingsreport import plain_readings

    return {
        "channels": [plain_readings(one, where) for one in there],
        "left_out": [
            {
                "number": each.number,
                "channel": each.readings.channel,
                "count": len(each.dropped),
                "first": each.dropped[0].at.astimezone(where).isoformat(),
                "last": each.dropped[-1].at.astimezone(where).isoformat(),
                "reason": each.reason,
            }
            for each in out
        ],
    }


def _restore(args: argparse.Namespace, folder: CookFolder) -> int:
    from stallwise.record.leftout import bring_back

    if any(not (text.isdigit() or text == "all") for text in args.restore):
        raise InputError(f"--restore {' '.join(args.restore)}", "a number of the list, or all")
    numbers = [] if "all" in args.restore else [int(text) for text in args.restore]
    back = bring_back(folder, numbers)
    count = sum(len(each.dropped) for each in back)
    if args.json:
        print_json({"restored": count, "numbers": [each.number for each in back]})
    else:
        print(f"{count} readings count again.")
    return 0


def _leave_out(args: argparse.Namespace, folder: CookFolder) -> int:
    from stallwise.record.leftout import leave_out

    if not (args.since and args.until):
        raise InputError("--leave-out needs a stretch", "--from TIME --to TIME")
    start, end = (_moment(text, folder) for text in (args.since, args.until))
    count = leave_out(folder, args.leave_out, start, end)
    if args.json:
        print_json({"left_out": count})
    else:
        print(f"{count} readings of {args.leave_out!r} no longer count; they stay in their file.")
    return 0
