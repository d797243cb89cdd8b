"""`crowd` and `quote`: how much for so many, and what a head of it costs."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from stallwise.cli.common import (
    add_json,
    add_settings,
    book_at_hand,
    earlier_cooks,
    now,
    open_book,
    open_cook,
    own_yields,
    print_json,
    print_warnings,
    read_date,
)
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stallwise.joins.crowd.crowd import CrowdPlan, Meat
    from stallwise.joins.crowd.quote import CrowdQuote
    from stallwise.joins.crowd.room import Wave
    from stallwise.joins.result import Result
    from stallwise.models.grate import Grate
    from stallwise.record.catering import Quote
    from stallwise.record.folder import Cookbook
    from stallwise.record.schema import Pit


def add_crowd(parser: argparse.ArgumentParser) -> None:
    """Options of `crowd`."""
    parser.add_argument("--guests", type=int, required=True, metavar="N", help="all who eat")
    for name, what in (
        ("children", "under 12"),
        ("hungry", "with a large appetite"),
        ("light", "with a small appetite"),
        ("no-meat", "who eat no meat"),
    ):
        parser.add_argument(f"--{name}", type=int, default=0, metavar="N", help=f"of them {what}")
    parser.add_argument(
        "--cut",
        action="append",
        default=[],
        metavar="CUT",
        help="a meat, as in `stallwise cuts`; again for a second and a third",
    )
    parser.add_argument(
        "--piece",
        action="append",
        default=[],
        metavar="[CUT=]MASS",
        help='what one piece weighs as bought, for example --piece "8 lb"',
    )
    parser.add_argument(
        "--price",
        action="append",
        default=[],
        metavar="[CUT=]PRICE",
        help='for example --price "3.29 per lb"',
    )
    parser.add_argument(
        "--liked",
        action="append",
        default=[],
        metavar="CUT=SHARE",
        help="of those who take one meat, how many take this: pork-shoulder-bone-in=70%%",
    )
    parser.add_argument(
        "--no-shows", metavar="SHARE", help='who says yes and stays away: "5 %%"; none by default'
    )
    parser.add_argument(
        "--serve",
        action="append",
        default=[],
        metavar="TIME[=N]",
        help="a serving, for N of the guests: 13:00=50; again for another",
    )
    parser.add_argument(
        "--grate",
        action="append",
        default=[],
        metavar="SIZE",
        help='room in the pit: "90 x 45 cm"; again for another shelf',
    )
    parser.add_argument(
        "--pit",
        action="append",
        default=[],
        metavar="PIT",
        help="by its shelves, pits/PIT.toml, again for another; the only pit with shelves needs no name",
    )
    parser.add_argument(
        "--box",
        action="append",
        default=[],
        metavar="BOX",
        help="it is held in, by its file's pans",
    )
    parser.add_argument("--per-load", type=int, metavar="N", help="pieces that fit at once")
    parser.add_argument(
        "--loads", type=int, default=1, metavar="N", help="how often the pits can be filled; 1"
    )
    parser.add_argument("--margin", metavar="SHARE", help='over the usual plates: "10 %%"')
    parser.add_argument(
        "--start",
        metavar="TITLE",
        help="lay it out as a cook: pieces over servings, pits and boxes",
    )
    parser.add_argument("--on", metavar="DATE", help="with --start: date of eating")
    parser.add_argument("--people", type=int, metavar="N", help="with --start: who helps")
    add_json(parser)


def crowd(args: argparse.Namespace) -> int:
    """Plan what to buy for guests."""
    from stallwise.joins.crowd.crowdwords import crowd_lines, crowd_table
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    book = book_at_hand(args)
    plan = _planned(args, book)
    if args.start is not None:
        if not args.start.strip():
            raise InputError("--start '' is no title", "words to call the cook by")
        return _start(args, plan)
    if args.json:
        print_json(to_plain(plan))
        return 0
    print_warnings(plan.warnings)
    print(as_text(crowd_table(plan)))
    for line in crowd_lines(plan):
        print(f"  {line}")
    return 0


def _planned(args: argparse.Namespace, book: Cookbook | None) -> CrowdPlan:
    from stallwise.ground import units
    from stallwise.joins.crowd.crowd import crowd as plan_crowd
    from stallwise.joins.crowd.room import Box
    from stallwise.models.crowd import Guests

    for name, value in (("pieces at once", args.per_load), ("loads", args.loads)):
        if value is not None and value < 1:
            raise InputError(f"{value} {name}", "at least one")
    away = units.parse_fraction(args.no_shows, key="no_shows") if args.no_shows else 0.0
    guests = Guests(
        args.guests, args.children, args.hungry, args.light, args.no_meat, no_shows=away
    )
    pits = book.pits() if book else {}
    return plan_crowd(
        guests,
        _meats(args, book),
        own=own_yields(book),
        pits=_grates(args, pits),
        per_load=args.per_load,
        most_loads=args.loads,
        waves=_waves(args),
        plate=_plate(book),
        boxes=[Box(pits[name].name, pits[name].pans or 0) for name in _boxes(args, pits)],
        margin=units.parse_fraction(args.margin, key="margin") if args.margin else None,
        system=book.book.units if book else "us",
    )


def _plate(book: Cookbook | None) -> float:
    """Read what guests eat over what the table says off past crowds; 1 before three of them."""
    from stallwise.joins.crowd.events import own_events

    band = own_events(earlier_cooks(book)).plate if book else None
    return band.middle if band else 1.0


def _waves(args: argparse.Namespace) -> list[Wave]:
    from stallwise.joins.crowd.room import Wave
    from stallwise.record.clocks import split_clock

    found = []
    for text in args.serve:
        at, sign, many = text.partition("=")
        split_clock(at)
        if sign and not many.isdecimal():
            raise InputError(f"--serve {text!r}", "a time and how many of the guests: 13:00=50")
        found.append(Wave(at, int(many) if sign else None))
    return found


def _start(args: argparse.Namespace, plan: CrowdPlan) -> int:
    """Lay the plan out as a cook of the book."""
    from stallwise.joins.crowd.dayplan import PitAt, crowd_cook
    from stallwise.surfaces.templates import copy_template

    book = open_book(args)
    pits, date = book.pits(), read_date(args.on)
    cuts = [meat.cut for meat in plan.meats]
    text = crowd_cook(
        plan,
        [PitAt(name, pits[name]) for name in _named_pits(args, pits)],
        [PitAt(name, pits[name]) for name in args.box],
        title=args.start,
        date=date,
        people=args.people,
        prices=_by_cut(args.price, cuts, "--price", "3.29 per lb"),
        liked=_liked(args, cuts),
    )
    print_warnings(plan.warnings)
    folder = book.new_cook(args.start, date, text)
    copy_template("cook", folder.path)
    if args.json:
        print_json({"cook": folder.name, "plan": f"cooks/{folder.name}/cook.toml"})
        return 0
    print(f"Started {folder.name}.")
    print(f"Plan:   {folder.path / 'cook.toml'}")
    print(f"Quote:  stallwise quote {folder.name}")
    print(f"Sheet:  stallwise sheet {folder.name}")
    return 0


def _boxes(args: argparse.Namespace, pits: Mapping[str, Pit]) -> list[str]:
    from stallwise.ground.errors import NotFoundError

    for name in args.box:
        if name not in pits:
            raise NotFoundError("box", name, pits)
        if not pits[name].pans:
            raise InputError(f"pits/{name}.toml does not say how many pans it takes", "pans = 6")
    return list(args.box)


def _meats(args: argparse.Namespace, book: Cookbook | None) -> list[Meat]:
    from stallwise.ground import units
    from stallwise.ground.money import parse_price
    from stallwise.joins.crowd.crowd import Meat
    from stallwise.joins.mix.prices import cut_prices
    from stallwise.tables.catalogue import cut

    overlay = book.overlay("cuts") if book else {}
    cuts = [cut(name, overlay=overlay) for name in args.cut]
    keys = [found.key for found in cuts]
    masses = _by_cut(args.piece, keys, "--piece", "8 lb")
    prices = _by_cut(args.price, keys, "--price", "3.29 per lb")
    usual = cut_prices(book.book.prices, keys) if book else {}
    liked = _liked(args, keys)
    return [
        Meat(
            found,
            units.parse("mass", masses[found.key], key="piece") if found.key in masses else None,
            parse_price(prices[found.key]) if found.key in prices else usual.get(found.key),
            liked.get(found.key),
        )
        for found in cuts
    ]


def _liked(args: argparse.Namespace, cuts: list[str]) -> dict[str, float]:
    """Shares of those who take one meat; what is left is shared alike by the others."""
    from stallwise.ground import units

    said = {
        cut: units.parse_fraction(text, key="liked")
        for cut, text in _by_cut(args.liked, cuts, "--liked", "70 %").items()
    }
    if not said:
        return {}
    rest, others = 1.0 - sum(said.values()), [cut for cut in cuts if cut not in said]
    if rest < 0.0 or (not others and rest > 1e-9):
        raise InputError(f"--liked adds up to {1.0 - rest:.0%}", "100 % over all meats")
    return said | {cut: rest / len(others) for cut in others}


def _by_cut(said: list[str], cuts: list[str], option: str, example: str) -> dict[str, str]:
    """Read values that name their cut, or that are for the only one."""
    found: dict[str, str] = {}
    for text in said:
        name, equals, value = text.partition("=")
        if not equals:
            if len(cuts) != 1:
                raise InputError(
                    f"{option} {text!r}: of which cut?",
                    f'{option} "{cuts[0] if cuts else "CUT"}={example}"',
                )
            name, value = cuts[0], text
        if name not in cuts:
            raise InputError(
                f"{option} names {name!r}", f"a cut that is asked for: {', '.join(cuts)}"
            )
        found[name] = value
    return found


def _grates(args: argparse.Namespace, pits: Mapping[str, Pit]) -> list[list[Grate]]:
    """Room as told, or by the shelves of the pits."""
    from stallwise.ground import units
    from stallwise.models.grate import Grate

    if args.grate and args.pit:
        raise InputError("--grate and --pit together", "one of the two")
    if args.per_load:
        return []
    if args.grate:
        return [[_grate(text) for text in args.grate]]
    return [
        [
            Grate(units.parse("length", one.width), units.parse("length", one.depth), one.takes)
            for one in pits[name].shelves
        ]
        for name in _named_pits(args, pits)
    ]


def _named_pits(args: argparse.Namespace, pits: Mapping[str, Pit]) -> list[str]:
    """Pits that are asked for, or the only one with shelves."""
    from stallwise.ground.errors import NotFoundError

    if not args.pit:
        shelved = [name for name, pit in pits.items() if pit.shelves]
        return shelved if len(shelved) == 1 and not args.grate else []
    for name in args.pit:
        if name not in pits:
            raise NotFoundError("pit", name, pits)
        if not pits[name].shelves:
            raise InputError(
                f"pits/{name}.toml says nothing of its shelves",
                "[[shelves]] with name, width and depth",
            )
    return list(dict.fromkeys(args.pit))


def _grate(text: str) -> Grate:
    from stallwise.ground import units
    from stallwise.models.grate import Grate

    sides = text.casefold().replace("×", "x").split("x")
    if len(sides) != 2:
        raise InputError(f"--grate {text!r}", 'two sides: "90 x 45 cm", "36 x 18 in"')
    unit = sides[1].strip().lstrip("0123456789., /")
    first = sides[0].strip()
    if not first.lstrip("0123456789., /"):
        first = f"{first} {unit}"
    width_m, depth_m = (units.parse("length", side, key="grate") for side in (first, sides[1]))
    return Grate(width_m, depth_m)


def add_quote(parser: argparse.ArgumentParser) -> None:
    """Options of `quote`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of a cook with guests")
    add_settings(parser)
    parser.add_argument(
        "--print",
        dest="print_file",
        metavar="FILE",
        help="write the page to hand over, without costs",
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "letter"),
        default=None,
        help="paper size; the default follows the cookbook's units",
    )
    parser.add_argument(
        "--keep", action="store_true", help="keep the price for a head as given out, in cook.toml"
    )
    add_json(parser)


def quote(args: argparse.Namespace) -> int:
    """Say what a crowd takes and costs, and afterwards what it came to."""
    from stallwise.ground.money import format_money
    from stallwise.joins.ask import ask
    from stallwise.joins.crowd.events import own_events
    from stallwise.joins.crowd.helpers import enough_people
    from stallwise.joins.crowd.quote import quote as make_quote
    from stallwise.joins.crowd.quotewords import quote_tables, quote_words
    from stallwise.joins.parameters import parse_settings, resolve
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    book, folder = open_cook(args)
    record, made_at, changes = folder.load(), now(), parse_settings(args.settings)
    record = replace(record, cook=resolve(record.cook, changes))
    result = ask(record, changes=changes, made_at=made_at)
    found = make_quote(
        record, result, own_events(earlier_cooks(book, record.cook.date, folder.name))
    )
    if args.json:
        print_json(to_plain(found))
        return 0
    print_warnings(found.warnings)
    print_warnings(enough_people(record, result, made_at=made_at, changes=changes))
    if args.keep:
        if found.sums.per_head is None or found.margin is None:
            blank = ", ".join(found.sums.blank) or "the margin"
            raise InputError(f"no price to keep: nothing is said of {blank}", "a whole quote")
        folder.save({"quote.quoted": format_money(found.sums.per_head, found.money)})
    if args.print_file:
        _print_quote(args, record.cook.quote, found, result)
    for table in quote_tables(found):
        print(as_text(table))
    for line in quote_words(found):
        print(f"  {line}")
    return 0


def _print_quote(
    args: argparse.Namespace, terms: Quote | None, found: CrowdQuote, result: Result
) -> None:
    from stallwise.record.store import write_new
    from stallwise.surfaces.paper import sheet_file, usual_paper
    from stallwise.surfaces.quoteprint import quote_html

    paper = args.paper or usual_paper(result.units)
    note = (terms.note if terms else None) or ""
    write_new(sheet_file(args.print_file), quote_html(found, result, note=note, paper=paper))
    print(f"Quote: {args.print_file}")
