"""`taste`: plan a blinded side-by-side, enter the slips, read what they show."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from stallwise.cli.common import add_json, now, open_cook, print_json, print_warnings
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.joins.taste.trialresult import TrialResult
    from stallwise.record.folder import Cookbook, CookFolder
    from stallwise.record.trial import TrialRecord

_STEPS = """\
In this order, with a name for the trial (second-try):
  stallwise taste two-glazes plan second-try --like --factor glaze --arms stock sharp --bones A=12 B=12 --tasters 8
  stallwise taste two-glazes lock second-try   # before the first bite; draws who gets what
  stallwise taste two-glazes cards second-try --print plates.html
  stallwise taste two-glazes enter second-try "T1 471" "T2 208" --accept
  stallwise taste two-glazes close second-try  # all answers are in: the key may be opened
  stallwise taste two-glazes                   # reads what it shows
"""


def add_taste(parser: argparse.ArgumentParser) -> None:
    """Options of `taste`."""
    parser.add_argument("cook", metavar="COOK", nargs="?", help="folder or name of a cook")
    parser.add_argument(
        "what", metavar="WHAT", nargs="?", default="read", choices=sorted(_DO),
        help=f"{', '.join(_DO)}; the default reads every trial of the cook",
    )  # fmt: skip
    parser.add_argument("name", metavar="TRIAL", nargs="?", help="name of the trial")
    parser.add_argument("slips", metavar="SLIP", nargs="*", help='with enter: "T1 471", "T1 471 7"')
    ask = parser.add_argument_group("plan: one of three questions")
    one = ask.add_mutually_exclusive_group()
    one.add_argument("--like", action="store_true", help="which do you like")
    one.add_argument(
        "--more", metavar="WHAT", help="which is more of something: smoky, sweet, tender …"
    )
    one.add_argument("--tell", action="store_true", help="can you tell at all")
    plan = parser.add_argument_group("plan: what is put side by side")
    plan.add_argument("--factor", help="what is varied: glaze, membrane, wrap, wood …")
    plan.add_argument(
        "--arms", nargs="+", metavar="ARM", help='the things compared: "stock" "sharp"'
    )
    plan.add_argument(
        "--bones", nargs="+", metavar="P=N", default=[], help="bones of each piece: A=12"
    )
    plan.add_argument("--tasters", type=int, help="how many taste")
    plan.add_argument(
        "--sets", type=int, default=1, help="how often each tastes; the default is once"
    )
    plan.add_argument("--question", default="", help="the question in your own words")
    plan.add_argument(
        "--expect", metavar="ARM", help="the arm that should have more, written down now"
    )
    plan.add_argument("--also", nargs="+", metavar="WHAT", help="what else stands on the slip")
    plan.add_argument(
        "--plated-by", choices=("someone else", "the cook, tasting last", "the cook"),
        help="who plates; where it is not said the result counts as not blind",
    )  # fmt: skip
    plan.add_argument(
        "--noticed", action="store_true", help="it was noticed afterwards, not planned"
    )
    plan.add_argument("--cleanser", help="what everybody takes between plates")
    teach = parser.add_argument_group("for teachers")
    teach.add_argument("--method", help="another way of asking; `ways` lists them")
    teach.add_argument("--layout", help="another layout of the bones; `ways` lists them")
    teach.add_argument("--each", type=int, help="of many arms how many one taster gets")
    teach.add_argument("--seed", type=int, help="which of many orders is drawn")
    other = parser.add_argument_group("other steps")
    other.add_argument(
        "--lines", metavar="FILE", help="enter: slips from a file (- for standard input)"
    )
    other.add_argument("--accept", action="store_true", help="enter: write what is clear")
    other.add_argument(
        "--print", dest="print_file", metavar="FILE", help="cards: the page to write"
    )
    other.add_argument("--paper", choices=("a4", "letter"), help="the default follows the units")
    other.add_argument(
        "--what", dest="counted", metavar="WORDS", help="count: bones bare, slices torn …"
    )
    other.add_argument("--arm", help="count: of which arm")
    other.add_argument("--count", metavar="N/OF", help="count: 3/12")
    other.add_argument("--side", default="", help="count: left, right, top …")
    other.add_argument(
        "--year", action="store_true", help="all cooks: what was tested, what was noticed"
    )
    add_json(parser)
    parser.epilog = f"{parser.epilog or ''}\n\n{_STEPS}"


def taste(args: argparse.Namespace) -> int:
    """Do one step of a trial."""
    if args.year:
        from stallwise.cli.tasteyear import year

        return year(args)
    if not args.cook:
        raise InputError("which cook", "a cook, or --year for all of them", "See: stallwise cooks")
    book, folder = open_cook(args)
    return _DO[args.what](args, book, folder)


# --- before ---------------------------------------------------------------------------


def _plan(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.joins.taste.tastebefore import before_words, draft_trial
    from stallwise.record.trials import new_trial

    asks = "like" if args.like else "tell" if args.tell else "more" if args.more else ""
    missing = [
        option
        for option, value in {
            "--like, --more WHAT or --tell": asks, "--factor": args.factor, "--arms": args.arms,
            "--tasters": args.tasters,
        }.items()
        if not value
    ]  # fmt: skip
    if missing or not args.name:
        raise InputError(
            f"a plan without {', '.join(missing) or 'a name'}",
            "a name, a question, what is varied, the arms, how many taste",
            "See: stallwise taste --help",
        )
    letters = {piece.letter for piece in folder.read().pieces}
    values = draft_trial(
        folder.name, asks=asks, factor=args.factor, arms=args.arms, tasters=args.tasters,
        bones=_bones(args.bones, letters), question=args.question, sets=args.sets,
        attribute=args.more or "liking", expect=args.expect, also=args.also, method=args.method,
        layout=args.layout, each=args.each, cleanser=args.cleanser, seed=args.seed, plated_by=args.plated_by,
        planned=not args.noticed,
    )  # fmt: skip
    record = new_trial(book, args.name, values)
    words = before_words(record.trial)
    if args.json:
        print_json({"trial": record.name, "plan": values, "before": words})
        return 0
    print(f"{record.trial.question}\n")
    for said in words:
        print(said)
    step = (
        f"Written to trials/{record.name}.toml. Next: stallwise taste {folder.name} "
        f"{'enter' if args.noticed else 'lock'} {record.name}"
    )
    print(f"\n{step}")
    return 0


def _bones(given: list[str], letters: set[str]) -> dict[str, int]:
    found = {}
    for pair in given:
        letter, sign, count = pair.partition("=")
        if not sign or not count.isdecimal() or int(count) < 1:
            raise InputError(f"--bones {pair!r}", "a piece and its bones, A=12")
        if letter not in letters:
            raise InputError(f"--bones {pair!r}: no piece {letter}", ", ".join(sorted(letters)))
        found[letter] = int(count)
    return found


def _lock(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.joins.taste.tastebefore import serving_words
    from stallwise.joins.taste.tasteplan import refuse_impossible
    from stallwise.joins.taste.tasteserve import serve
    from stallwise.record.trials import lock_trial

    record = _named(args, book)
    refuse_impossible(record.trial)
    serving = serve(record.trial, folder.name)
    locked = lock_trial(book, record.name, serving.key, at=now())
    if args.json:
        print_json({"trial": record.name, "state": locked.state, "plates": len(serving.key)})
        return 0
    print(f"Locked: {len(serving.key)} plates for {locked.trial.tasters} tasters.")
    for said in serving_words(record.trial, serving):
        print(f"  - {said}")
    print(f"Next: stallwise taste {folder.name} cards {record.name} --print plates.html")
    return 0


def _again(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    """Add a cook to a trial that runs over several."""
    from stallwise.joins.taste.tasteserve import serve
    from stallwise.record.trial import Rack
    from stallwise.record.trials import save_trial

    record = _named(args, book)
    if record.trial.closed:
        raise InputError(f"trial {record.name!r} is closed", "a trial that is open")
    letters = {piece.letter for piece in folder.read().pieces}
    bones = _bones(args.bones, letters)
    if folder.name in record.trial.all_cooks or bool(bones) != bool(record.trial.racks):
        raise InputError(
            f"{record.name} again with {folder.name}",
            "a cook that is not in it yet, with its --bones where the others have some",
        )
    cooks = [*record.trial.all_cooks, folder.name]
    racks = [Rack(cook=folder.name, piece=letter, bones=count) for letter, count in bones.items()]
    wanted = {"cooks": cooks, "racks": [*record.trial.racks, *racks]}
    serve(record.trial.model_copy(update=wanted), folder.name)  # too few bones leave no trace
    save_trial(book, record.name, {"cooks": cooks})
    for rack in racks:
        save_trial(book, record.name, {"racks+": rack.model_dump()})
    if not args.json:
        print(f"{folder.name} is part of {record.name}.")
    return _lock(args, book, folder)


def _cards(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.record.store import write_new
    from stallwise.surfaces.paper import sheet_file, usual_paper
    from stallwise.surfaces.tasteprint import cards_html

    record = _named(args, book)
    if not args.print_file:
        raise InputError("no file to write the cards to", "--print plates.html")
    paper = args.paper or usual_paper(book.book.units)
    text = cards_html(record, folder.name, title=folder.read().title, paper=paper)
    write_new(sheet_file(args.print_file), text)
    print(
        f"Plating card, bone map and slips: {args.print_file}. The first page tells which is which."
    )
    return 0


# --- the answers ----------------------------------------------------------------------


def _enter(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.joins.taste.tasteentry import read_slips
    from stallwise.record.trials import add_answers

    record = _named(args, book)
    if record.state == "planned":
        raise InputError(
            f"trial {record.name!r} is not locked", "answers to a plan that is written down",
            f"Lock it first: stallwise taste {folder.name} lock {record.name}",
        )  # fmt: skip
    typed = read_slips(_slips(args), record, folder.name)
    written = add_answers(book, folder.name, typed.answers) if args.accept else []
    if args.json:
        rows = [
            {"taster": a.taster, "codes": a.codes, "asked": a.asked, "said": a.said}
            for a in typed.answers
        ]
        print_json({"answers": rows, "written": len(written), "questions": typed.questions})
    else:
        for one in typed.answers:
            about = "" if one.asked == record.trial.attribute else f" {one.asked}"
            print(f"  {one.taster} {' '.join(one.codes)}{about} {one.said}".rstrip())
        for question in typed.questions:
            print(f"  ? {question}")
        print(f"{len(written)} written." if args.accept else "Nothing written yet: add --accept.")
    return 2 if typed.questions and args.accept else 0


def _slips(args: argparse.Namespace) -> list[str]:
    if args.slips and args.lines:
        raise InputError("slips and a file of slips", "one of them")
    if not args.lines:
        if not args.slips:
            raise InputError("no slip", 'slips such as "T1 471", or --lines FILE')
        return list(args.slips)
    if args.lines == "-":
        return sys.stdin.read().splitlines()
    from stallwise.record.store import RECORD_BYTES, decoded, read_outside

    path = Path(args.lines)
    return decoded(read_outside(path, RECORD_BYTES), path.name).splitlines()


def _count(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    """Write down what the eye counted; no blinding is needed for that."""
    from stallwise.record.trials import save_trial

    del folder
    record = _named(args, book)
    count, sign, out_of = (args.count or "").partition("/")
    if not (args.counted and args.arm and sign and count.isdecimal() and out_of.isdecimal()):
        raise InputError("a count that is not whole", '--what "bones bare" --arm ARM --count 3/12')
    row = {"what": args.counted, "arm": args.arm, "count": int(count), "out_of": int(out_of)}
    save_trial(book, record.name, {"counts+": row | ({"side": args.side} if args.side else {})})
    print(f"Kept: {args.counted} {count} of {out_of} with {args.arm}.")
    return 0


def _close(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.record.trials import close_trial

    record = _named(args, book)
    if record.state not in {"locked", "closed"}:
        raise InputError(f"trial {record.name!r} is {record.state}", "a trial that is locked")
    if record.state == "locked":
        close_trial(book, record.name, at=now())
    return _read(args, book, folder)


# --- reading --------------------------------------------------------------------------


def _read(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.joins.result import to_plain
    from stallwise.joins.taste.tasteresult import trial_results
    from stallwise.record.trials import trials_of

    records, broken = trials_of(book, folder.name)
    if args.name:
        records = (_named(args, book),)
    results, unread = trial_results(records)
    print_warnings([*broken, *unread])
    if args.json:
        print_json({"trials": to_plain(results)})
        return 0
    if not results:
        print(f"{folder.read().title}: no trial yet.\n\n{_STEPS}")
    for n, result in enumerate(results):
        if n:
            print()
        _say(result, book.book.units)
    return 0


def _say(result: TrialResult, units: str) -> None:
    from stallwise.joins.taste.tastewords import also_words, count_words, paragraph

    print(f"{result.name}: {result.question}\n")
    for said in paragraph(result, units):
        print(said)
    for one in result.counts:
        print(f"Seen by eye: {count_words(one)}")
    for thing in result.also:
        print(f"Also asked, and only told: {also_words(thing)}")
    for taster, said in result.words:
        print(f"{taster}: {said}")
    for doubt in result.doubts:
        print(f"  ? {doubt}")


def _score(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    from stallwise.cli.tasteyear import score

    return score(args, book, folder)


def _ways(args: argparse.Namespace, book: Cookbook, folder: CookFolder) -> int:
    """List ways of asking, layouts, and what can be asked."""
    from stallwise.tables import tastings

    del book, folder
    ways = list(tastings.methods().values())
    if args.json:
        print_json({
            "ways": [{"key": one.key, "name": one.name, "asks": one.asks, "front": one.front} for one in ways],
            "layouts": [{"key": one.key, "words": one.words} for one in tastings.layouts().values()],
            "ask": [{"key": one.key, "group": one.group, "question": one.question, "kind": one.kind, "note": one.note}
                    for one in tastings.attributes().values()],
        })  # fmt: skip
        return 0
    for front, title in ((True, "Picked by itself"), (False, "For teachers, with --method")):
        print(f"{title}:")
        for one in ways:
            if one.front is front:
                print(
                    f"  {one.key.ljust(22)} {one.asks.ljust(5)} {one.name}{'; ' + one.note if one.note else ''}"
                )
    print("Layouts, with --layout:")
    for laid in tastings.layouts().values():
        print(f"  {laid.key.ljust(22)} {laid.words}")
    print("What may be asked (--more, --also):")
    for thing in tastings.attributes().values():
        note = f" ({thing.note})" if thing.note else ""
        print(f"  {thing.key.ljust(22)} {thing.group.ljust(10)} {thing.question}{note}")
    return 0


def _named(args: argparse.Namespace, book: Cookbook) -> TrialRecord:
    from stallwise.record.trials import read_trial, trial_names

    if not args.name:
        there = ", ".join(trial_names(book)) or "none yet"
        raise InputError("which trial", f"one of: {there}")
    return read_trial(book, args.name)


_Step = Callable[[argparse.Namespace, "Cookbook", "CookFolder"], int]
_DO: Mapping[str, _Step] = {
    "plan": _plan,
    "lock": _lock,
    "cards": _cards,
    "enter": _enter,
    "count": _count,
    "close": _close,
    "read": _read,
    "again": _again,
    "score": _score,
    "ways": _ways,
}
