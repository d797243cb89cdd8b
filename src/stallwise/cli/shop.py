"""`shop` and `crowd`: what to buy for the cooks that are planned, and for guests."""

from __future__ import annotations

import argparse
import datetime as dt
from typing import TYPE_CHECKING

from stallwise.cli.common import (
    add_json,
    book_at_hand,
    now,
    open_book,
    own_yields,
    pairs,
    print_json,
    print_warnings,
)
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stallwise.joins.mix.crowd import Meat
    from stallwise.models.grate import Grate
    from stallwise.record.folder import Cookbook, CookFolder
    from stallwise.record.schema import Pit


def add_shop(parser: argparse.ArgumentParser) -> None:
    """Options of `shop`."""
    parser.add_argument(
        "cooks",
        metavar="COOK",
        nargs="*",
        help="cooks to shop for; without one, the next day that has planned cooks",
    )
    parser.add_argument("--on", metavar="DATE", help="all cooks of that day, such as 2026-09-26")
    parser.add_argument(
        "--have",
        action="append",
        default=[],
        metavar="NAME=AMOUNT",
        help='what is there, for example --have "honey=200 g"; lasting stores go under [at_hand] '
        "in cookbook.toml",
    )
    add_json(parser)


def shop(args: argparse.Namespace) -> int:
    """Print one list over cooks and their mixes."""
    from stallwise.joins.mix.shopping import shopping
    from stallwise.joins.mix.shoptables import shop_lines, shop_tables
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text

    book = open_book(args)
    folders = _cooks(book, args)
    records = [folder.load() for folder in folders]
    at_hand = pairs("--have", args.have, '"honey=200 g"')
    found = shopping(records, own=own_yields(book), at_hand=at_hand)
    print_warnings(found.warnings)
    if args.json:
        print_json(to_plain(found))
        return 0
    print(f"For {', '.join(record.cook.title for record in records)}.")
    for table in shop_tables(found):
        print()
        print(as_text(table))
    if said := shop_lines(found):
        print("", *said, sep="\n")
    return 0


def _cooks(book: Cookbook, args: argparse.Namespace) -> list[CookFolder]:
    if args.cooks and args.on:
        raise InputError("cooks and --on together", "one of the two")
    if args.cooks:
        return list({folder.name: folder for folder in map(book.cook, args.cooks)}.values())
    dated = [(folder.read().date, folder) for folder in book.cooks()]
    if args.on:
        try:
            day = dt.date.fromisoformat(args.on)
        except ValueError:
            raise InputError(
                f"{args.on!r} is not a date", "year-month-day, as in 2026-09-26"
            ) from None
        found = [folder for date, folder in dated if date == day]
        if not found:
            days = ", ".join(sorted({date.isoformat() for date, _ in dated})) or "none"
            raise InputError(f"no cook on {args.on}", f"days with a cook: {days}")
        return found
    today = now().date() - dt.timedelta(days=1)  # the day is the cook's, not that of Greenwich
    coming = [(date, f) for date, f in dated if date >= today and f.state() == "planned"]
    if not coming:
        raise InputError(
            "no planned cook from today on", "the name of a cook", "stallwise cooks lists them"
        )
    first = min(date for date, _ in coming)
    return [folder for date, folder in coming if date == first]


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
        "--grate",
        action="append",
        default=[],
        metavar="SIZE",
        help='room in the pit: "90 x 45 cm"; again for another shelf',
    )
    parser.add_argument(
        "--pit",
        metavar="PIT",
        help="by its shelves, pits/PIT.toml; the only pit with shelves needs no name",
    )
    parser.add_argument("--per-load", type=int, metavar="N", help="pieces that fit at once")
    parser.add_argument("--margin", metavar="SHARE", help='over the usual plates: "10 %%"')
    add_json(parser)


def crowd(args: argparse.Namespace) -> int:
    """Plan what to buy for guests."""
    from stallwise.ground import units
    from stallwise.joins.mix.crowd import crowd as plan_crowd
    from stallwise.joins.mix.shoptables import crowd_lines, crowd_table
    from stallwise.joins.result import to_plain
    from stallwise.joins.tables import as_text
    from stallwise.models.crowd import Guests

    book = book_at_hand(args)
    if args.per_load is not None and args.per_load < 1:
        raise InputError(f"{args.per_load} pieces at once", "at least one")
    guests = Guests(args.guests, args.children, args.hungry, args.light, args.no_meat)
    plan = plan_crowd(
        guests,
        _meats(args, book),
        own=own_yields(book),
        grates=_grates(args, book),
        per_load=args.per_load,
        margin=units.parse_fraction(args.margin, key="margin") if args.margin else None,
        system=book.book.units if book else "us",
    )
    print_warnings(plan.warnings)
    if args.json:
        print_json(to_plain(plan))
        return 0
    print(as_text(crowd_table(plan)))
    for line in crowd_lines(plan):
        print(f"  {line}")
    return 0


def _meats(args: argparse.Namespace, book: Cookbook | None) -> list[Meat]:
    from stallwise.ground import units
    from stallwise.ground.money import parse_price
    from stallwise.joins.mix.crowd import Meat
    from stallwise.joins.mix.prices import cut_prices
    from stallwise.tables.catalogue import cut

    overlay = book.overlay("cuts") if book else {}
    cuts = [cut(name, overlay=overlay) for name in args.cut]
    keys = [found.key for found in cuts]
    masses = _by_cut(args.piece, keys, "--piece", "8 lb")
    prices = _by_cut(args.price, keys, "--price", "3.29 per lb")
    usual = cut_prices(book.book.prices, keys) if book else {}
    return [
        Meat(
            found,
            units.parse("mass", masses[found.key], key="piece") if found.key in masses else None,
            parse_price(prices[found.key]) if found.key in prices else usual.get(found.key),
        )
        for found in cuts
    ]


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


def _grates(args: argparse.Namespace, book: Cookbook | None) -> list[Grate]:
    """Room as told, or by the shelves of the pit."""
    from stallwise.ground import units
    from stallwise.models.grate import Grate

    if args.grate and args.pit:
        raise InputError("--grate and --pit together", "one of the two")
    if args.grate or args.per_load:
        return [_grate(text) for text in args.grate]
    return [
        Grate(units.parse("length", one.width), units.parse("length", one.depth), one.takes)
        for one in _pit(args.pit, book.pits() if book else {}).shelves
    ]


def _pit(name: str | None, pits: Mapping[str, Pit]) -> Pit:
    from stallwise.ground.errors import NotFoundError
    from stallwise.record.schema import Pit

    shelved = [pit for pit in pits.values() if pit.shelves]
    if name is None:
        return shelved[0] if len(shelved) == 1 else Pit(name="")
    if name not in pits:
        raise NotFoundError("pit", name, pits)
    if not pits[name].shelves:
        raise InputError(
            f"pits/{name}.toml says nothing of its shelves",
            "[[shelves]] with name, width and depth",
        )
    return pits[name]


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
