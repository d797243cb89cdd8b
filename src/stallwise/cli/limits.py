"""`limits`: rules of time and temperature, what runs, what they ask."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from stallwise.cli.common import (
    add_json,
    book_at_hand,
    now,
    open_cook,
    print_json,
    print_warnings,
)
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.joins.limit.limits import Limits
    from stallwise.record.cook import CookRecord

#: Options that say nothing by themselves, and the one that they belong to.
_BELONG = {"at": "rules", "thick": "at", "depth": "cool", "width": "cool", "start": "cool"}


def add_limits(parser: argparse.ArgumentParser) -> None:
    """Options of `limits`."""
    parser.add_argument("cook", metavar="COOK", nargs="?", help="folder or name of a cook")
    parser.add_argument(
        "--as-of", metavar="TIME", help='as they stood then: "14:30", or "+3:00" after meat on'
    )
    parser.add_argument("--all", action="store_true", help="also those that were met, in full")
    parser.add_argument(
        "--print",
        dest="print_file",
        metavar="FILE",
        help="write a temperature sheet to print: what each piece has to reach, with room to write",
    )
    parser.add_argument(
        "--allergens",
        dest="allergen_file",
        metavar="FILE",
        help="write an allergen card to print, from the mixes of this cook",
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"), help="paper size; the default follows the units"
    )
    printed = parser.add_argument_group("rules as they are printed (no cook is needed)")
    printed.add_argument(
        "--rules",
        metavar="WORD",
        help="rules that hold a word, each with its rows; 'all' lists every rule",
    )
    printed.add_argument("--at", metavar="TEMP", help="what this temperature counts as in them")
    printed.add_argument("--thick", metavar="LENGTH", help="of a piece in the freezer, with --at")
    cooling = parser.add_argument_group("how to cool it (a forecast, no measurement)")
    cooling.add_argument("--cool", metavar="FOOD", help="stock, sauce, beans or meat: try ways")
    cooling.add_argument("--depth", metavar="LENGTH", help="depth of the food; else a usual pot's")
    cooling.add_argument("--width", metavar="LENGTH", help="width of its pot; else a usual one's")
    cooling.add_argument("--from", dest="start", metavar="TEMP", help="how hot; else off the boil")
    add_json(parser)


def limits(args: argparse.Namespace) -> int:
    """Say which limits run or ask, each with its rule and what it needs to know."""
    from stallwise.joins.ask import ask_limits
    from stallwise.joins.limit.limitwords import DEFERS
    from stallwise.joins.result import to_plain

    _require_first(args)
    if args.rules:
        return _rules(args)
    if not args.cook and args.cool:
        return _cool(args)
    if not args.cook:
        raise InputError(
            "limits of no cook", "a COOK, --rules WORD to look a rule up, or --cool FOOD"
        )
    _, folder = open_cook(args)
    record = folder.load()
    print_warnings(record.warnings)
    if args.print_file or args.allergen_file:
        _write(args, record)
        return 0
    if args.cool and not args.json:
        _say_ways(args, record.book.units)
        return 0
    found = ask_limits(record, as_of=args.as_of, made_at=now())
    if args.json:
        from stallwise.joins.limit.limitways import cooling_ways, plain_way, pot_of

        *size, start_c = pot_of(args.depth, args.width, args.start)
        ways = cooling_ways(args.cool, *size, start_c=start_c) if args.cool else ()
        plain = {"limits": to_plain(found.limits), "estimates": to_plain(found.estimates)}
        print_json({**plain, "cooling": [plain_way(one) for one in ways], "defers": DEFERS})
        return 0
    _say(found, record.cook.title, everything=args.all)
    return 0


def _require_first(args: argparse.Namespace) -> None:
    for option, first in _BELONG.items():
        if getattr(args, option) and not getattr(args, first):
            name = "from" if option == "start" else option
            raise InputError(f"--{name} without --{first}", f"--{first} beside it")


def _cool(args: argparse.Namespace) -> int:
    """Say how to cool a food where no cook is named."""
    from stallwise.joins.limit.limitways import cooling_ways, plain_way, pot_of
    from stallwise.joins.limit.limitwords import DEFERS

    book = book_at_hand(args)
    if not args.json:
        _say_ways(args, book.book.units if book else "us")
        return 0
    *size, start_c = pot_of(args.depth, args.width, args.start)
    ways = cooling_ways(args.cool, *size, start_c=start_c)
    print_json({"cooling": [plain_way(one) for one in ways], "defers": DEFERS})
    return 0


def _rules(args: argparse.Namespace) -> int:
    from stallwise.ground import units
    from stallwise.joins.limit.limitlookup import look_up, rule_names
    from stallwise.joins.limit.limitwords import DEFERS
    from stallwise.joins.result import to_plain

    book = book_at_hand(args)
    at_c = units.parse("temperature", args.at, key="at") if args.at else None
    thick_m = units.parse("length", args.thick, key="thick") if args.thick else None
    if args.rules == "all":
        every = rule_names()
        if args.json:
            listed = [{"key": key, "rule": words} for words, key in every]
            print_json({"rules": listed, "defers": DEFERS})
            return 0
        for words, key in every:
            print(f"{key:24} {words}")
        return 0
    system = book.book.units if book else "us"
    found = look_up(args.rules, system, at_c=at_c, thickness_m=thick_m)
    if args.json:
        print_json({"rules": to_plain(found), "defers": DEFERS})
        return 0
    for one in found:
        print(f"{one.rule}; for {one.applies}; {one.grade}\n  {one.says}")
        for said in (*one.counts, *one.rows):
            print(f"    {'> ' if said in one.counts else ''}{said}")
        print()
    print(DEFERS)
    return 0


def _write(args: argparse.Namespace, record: CookRecord) -> None:
    from stallwise.joins.ask import ask, ask_limits
    from stallwise.record.store import write_new
    from stallwise.surfaces.limitprint import allergen_html, temperature_html
    from stallwise.surfaces.paper import sheet_file, usual_paper

    paper = args.paper or usual_paper(record.book.units)
    if args.print_file:
        one = ask_limits(record, made_at=now())
        html = temperature_html(one.title, one.date, one.temperatures, paper=paper)
        write_new(sheet_file(args.print_file), html)
        print(f"Temperature sheet: {args.print_file}")
    if args.allergen_file:
        html = allergen_html(ask(record, made_at=now()), paper=paper)
        write_new(sheet_file(args.allergen_file), html)
        print(f"Allergen card: {args.allergen_file}")


def _say_ways(args: argparse.Namespace, system: str) -> None:
    from stallwise.joins import tables
    from stallwise.joins.limit.limitways import (
        cooling_ways,
        ice_words,
        pot_of,
        pot_words,
        way_table,
    )
    from stallwise.joins.limit.limitwords import DEFERS

    pot = pot_of(args.depth, args.width, args.start)
    ways = cooling_ways(args.cool, *pot[:2], start_c=pot[2])
    print(tables.as_text(way_table(ways, args.cool, system)))
    print(f"\n{pot_words(*pot, system)}: say --from, --depth, --width for yours.")
    print(f"{ice_words(args.cool, system)}{DEFERS}")


def _say(result: Limits, title: str, *, everything: bool) -> None:
    from stallwise.joins.limit import limitwords

    shown = result.limits if everything else limitwords.open_limits(result)
    print(f"{title} · {limitwords.headline(result)}")
    rules: set[str] = set()
    for one in limitwords.told(result, shown):
        print(f"\n{one.head}")
        for said in one.said:
            print(f"    {said}")
        if one.limit.says not in rules:
            print(f"    Rule: {one.limit.says}")
            print(f"      {one.rule}")
        rules.add(one.limit.says)
    if asked := limitwords.questions(shown):
        print("\nTo be answered:")
        for question in asked:
            print(f"  - {question}")
    if met := "" if everything else limitwords.folded(result):
        print(f"\n{met} --all shows each with its rule.")
    if lines := limitwords.estimate_lines(result):
        print(f"\n{limitwords.APART}:")
        for line in lines:
            print(f"  {line}")
    print(f"\n{limitwords.DEFERS}")
