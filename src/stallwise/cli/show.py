"""`cooks`, `cuts`, `mixes`, `mix` and `explain`: looking things up."""

from __future__ import annotations

import argparse
import dataclasses
import sys
from typing import TYPE_CHECKING, Any, Literal

from stallwise.cli.common import add_json, book_at_hand, open_book, own_yields, print_json
from stallwise.ground.errors import InputError

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook, CookFolder
    from stallwise.record.received import Received
    from stallwise.tables.cut import Cut

Kind = Literal["cuts", "mixes", "ingredients"]


def add_cooks(parser: argparse.ArgumentParser) -> None:
    """Options of `cooks`."""
    add_json(parser)


def cooks(args: argparse.Namespace) -> int:
    """List the cooks, newest first."""
    book = open_book(args)
    rows = []
    for folder in book.cooks():
        try:
            rows.append(_cook_row(folder))
        except InputError as error:
            # One cook that cannot be read hides no other; `check` tells all of it.
            print(f"{folder.name} cannot be read: {error}", file=sys.stderr)
    theirs = _theirs(book)
    if args.json:
        others = [
            {"name": one.name, "cook": one.cook, "from": one.whose, "path": f"received/{one.name}"}
            for one in theirs
        ]
        print_json({"cooks": rows, "received": others})
        return 0
    if not rows:
        print("No cook yet. Start one: stallwise new --cut pork-spare-ribs-trimmed")
    for row in rows:
        print(f"{row['date']}  {row['name']:44} {row['state']:9} {', '.join(row['cuts'])}")
    if theirs:
        print("\nFrom others, each a small cookbook of its own that teaches nothing here:")
    for one in theirs:
        print(f"  --cookbook received/{one.name:44} from {one.whose}")
    return 0


def _theirs(book: Cookbook) -> list[Received]:
    """Cooks of others that lie in a book."""
    if not (book.path / "received").is_dir():
        return []
    from stallwise.record.received import received

    return received(book)


def _cook_row(folder: CookFolder) -> dict[str, Any]:
    cook = folder.read()
    return {
        "name": folder.name,
        "date": cook.date.isoformat(),
        "cuts": sorted({piece.cut for piece in cook.pieces}),
        "pits": sorted({pit.pit for pit in cook.pits}),
        "state": folder.state(),
        "title": cook.title,
    }


def add_cuts(parser: argparse.ArgumentParser) -> None:
    """Options of `cuts`."""
    parser.add_argument(
        "word", metavar="WORD", nargs="?", default="", help="part of a name or number"
    )
    add_json(parser)


def cuts(args: argparse.Namespace) -> int:
    """List the cuts."""
    from stallwise.tables.catalogue import search

    found = search(args.word, overlay=_overlay(args, "cuts"))
    if args.json:
        rows = [
            {
                "key": cut.key,
                "name": cut.name,
                "finishes": {finish.words: finish.sign for finish in cut.finishes},
                "note": cut.note,
            }
            for cut in found
        ]
        print_json({"cuts": rows})
        return 0
    for cut in found:
        number = f"IMPS {cut.imps}" if cut.imps else ""
        print(f"{cut.key:32} {cut.name:36} {number}")
    for cut in found if len(found) == 1 else [cut for cut in found if cut.key == args.word]:
        from stallwise.joins.mix.yields import cut_yield, yield_words

        _say_cut(cut, _settings(args)[0])
        print(yield_words(cut_yield(cut, own_yields(book_at_hand(args)).get(cut.key))))
    if not found:
        print(f"No cut has {args.word!r} in its name.")
    return 0


def _say_cut(cut: Cut, system: str) -> None:
    """Pit, finishes with their signs, and what else is to be known of one cut."""
    from stallwise.ground.units import format_temperature

    usual, low, high = (format_temperature(each, system) for each in cut.pit)
    print(f"\nPit: {usual} is usual, {low} to {high}.")
    for finish in cut.finishes:
        usually = " (usual)" if finish.words == cut.usual_finish else ""
        print(f"{finish.words}{usually}: {finish.sign}.")
    if cut.note:
        print(cut.note)


def add_mixes(parser: argparse.ArgumentParser) -> None:
    """Options of `mixes`."""
    parser.add_argument(
        "cook",
        metavar="COOK",
        nargs="?",
        help="a cook: its mixes scaled, its salt counted, what was made and used, what it costs",
    )
    parser.add_argument(
        "--nutrition", action="store_true", help="also what a serving holds, at most"
    )
    parser.add_argument(
        "--land", metavar="SHARE", help='salt of the rub that lands at a share: "1.2 %%"'
    )
    add_json(parser)


def mixes(args: argparse.Namespace) -> int:
    """List the mixes, or show those of a cook."""
    if args.cook:
        return _mixes_of_cook(args)
    if args.land or args.nutrition:
        raise InputError(
            "--land or --nutrition without a cook", "stallwise mixes COOK --land '1.2 %'"
        )
    from stallwise.tables.mixbook import pantry

    _, measures, region = _settings(args)
    shelf = pantry(_overlay(args, "mixes"), _overlay(args, "ingredients"), measures, region=region)
    for error in shelf.broken.values():
        print(f"note: {error}", file=sys.stderr)
    found = dict(sorted(shelf.mixes.items()))
    if args.json:
        print_json({"mixes": [{"name": key, "kind": mix.kind} for key, mix in found.items()]})
        return 0
    for key, mix in found.items():
        print(f"{key:28} {mix.kind:11} {mix.name}")
    return 0


def _mixes_of_cook(args: argparse.Namespace) -> int:
    from stallwise.cli.common import now, open_cook
    from stallwise.ground import units
    from stallwise.joins import tables
    from stallwise.joins.ask import ask
    from stallwise.joins.mix.salttables import nutrition_tables, salt_table
    from stallwise.joins.mix.shoptables import cost_table, guest_lines, spending_table
    from stallwise.joins.result import to_plain

    _, folder = open_cook(args)
    record = folder.load()
    if args.land:
        units.parse_fraction(args.land, key="--land")
        landed = record.cook.model_copy(update={"salt_target": args.land})
        record = dataclasses.replace(record, cook=landed)
    result = ask(record, as_of=None, changes={}, made_at=now())
    if args.json:
        parts = ("cook", "mixes", "salt", "ledger", "costs", "spending", "crowd", "nutrition")
        print_json({name: to_plain(getattr(result, name)) for name in parts})
        return 0
    if not result.mixes:
        print("No rub, sauce or stock is put on a piece yet: add [[mixes]] to its cook.toml.")
    for mix in result.mixes:
        print(tables.as_text(tables.mix_table(mix)))
        for note in (*mix.own, *mix.notes):
            print(f"  {note}")
        print()
    shown = [tables.ledger_table(result), salt_table(result)]
    shown += [cost_table(result), spending_table(result)]
    if args.nutrition:
        shown += nutrition_tables(result)
    for table in shown:
        if table.rows:
            print(tables.as_text(table))
    keys = ("salt-high", "salt-limit", "price-asked", "pack-date", "label-sodium")
    starts = ("short-", "freezer-")
    said = [
        f"{w.piece}: {w.text}" if w.piece else w.text
        for w in result.warnings
        if w.key in keys or w.key.startswith(starts)
    ]
    for line in (*guest_lines(result), *dict.fromkeys(said)):
        print(f"  {line}")
    return 0


def add_mix(parser: argparse.ArgumentParser) -> None:
    """Options of `mix`."""
    parser.add_argument("mix", metavar="NAME", help="name of a mix, as in `stallwise mixes`")
    parser.add_argument(
        "--for",
        dest="target",
        metavar="AMOUNT",
        required=True,
        help='"4 kg" (of meat), "5 pieces", "28 guests" or "2 batches"',
    )
    parser.add_argument(
        "--batch", action="store_true", help="the amount is the mass of the mix itself"
    )
    parser.add_argument(
        "--pan", metavar="WIDTH", help='inner width of the pan it is reduced in: "16 cm", "8 in"'
    )
    parser.add_argument(
        "--ring",
        metavar="POWER",
        help='ring it is reduced on, by its rating and kind: "1800 W electric", "9000 Btu/h gas"; '
        '"1 kW" alone is heat into the liquid',
    )
    parser.add_argument(
        "--after", metavar="TIME", help='how much is left after so long at the boil: "20 min"'
    )
    parser.add_argument(
        "--bowl", metavar="VOLUME", help='how many batches fit a bowl: "2 quarts", "1.5 l"'
    )
    add_json(parser)


def mix(args: argparse.Namespace) -> int:
    """Scale one mix."""
    from stallwise.ground import units
    from stallwise.joins import tables
    from stallwise.joins.mix.scaling import Stove, bowls, scale_for
    from stallwise.joins.result import to_plain

    system, measures, region = _settings(args)
    result = scale_for(
        args.mix,
        args.target,
        batch=args.batch,
        mixes=_overlay(args, "mixes"),
        ingredients=_overlay(args, "ingredients"),
        measures=measures,
        system=system,
        region=region,
        stove=Stove(
            units.parse_length_m(args.pan, key="pan") if args.pan else None,
            args.ring or "",
            units.parse_duration_s(args.after, key="after") if args.after else None,
        ),
    )
    bowl_m3 = units.parse_volume_m3(args.bowl, key="bowl", region=region) if args.bowl else None
    fits = bowls(result, bowl_m3) if bowl_m3 is not None else None
    if args.json:
        plain = to_plain(result)
        more = {} if fits is None else {"bowls": fits}
        print_json({**plain, **more, "mix": args.mix, "for": args.target})
        return 0
    print(tables.as_text(tables.mix_table(result)))
    print(f"  salt {tables.grams(result.salt_g)} g")
    if fits is not None:
        print(f"  {tables.bowl_words(fits, result, args.bowl)}")
    for note in (*result.own, *result.notes):
        print(f"  {note}")
    return 0


def add_explain(parser: argparse.ArgumentParser) -> None:
    """Options of `explain`."""
    parser.add_argument("key", metavar="KEY", help="a source key, a value's key, or part of one")
    add_json(parser)


def explain(args: argparse.Namespace) -> int:
    """Say where a number comes from."""
    from stallwise.joins.explain import explain as look_up

    found = look_up(args.key)
    learned = _learned(args)
    if args.json:
        answers = [answer.plain() for answer in found]
        print_json({"key": args.key, "answers": answers, "learned": learned})
        return 0
    print("\n\n".join(answer.text() for answer in found))
    if learned:
        print("\nlearned in this cookbook:")
        print("\n".join(f"  {line}" for line in learned))
    return 0


def _learned(args: argparse.Namespace) -> list[str]:
    """Say what the book at hand has learned of the number; nothing without a book."""
    from stallwise.joins.learn.learnedwords import learned_of

    book = book_at_hand(args)
    if book is None or not (learned := book.learned()):
        return []
    return learned_of(learned, args.key, book.book.units)


def _settings(args: argparse.Namespace) -> tuple[str, dict[str, str], str]:
    """Units, own measures and spoons of the cookbook at hand; US units and none without one."""
    from stallwise.joins.mix.mixing import kitchen_region

    book = book_at_hand(args)
    if book is None:
        return "us", {}, "us"
    return book.book.units, book.book.measures, kitchen_region(book.book)


def _overlay(args: argparse.Namespace, kind: Kind) -> dict[str, dict[str, Any]]:
    """Find the cook's own tables, when a cookbook is at hand; the shipped ones alone otherwise."""
    book = book_at_hand(args)
    return dict(book.overlay(kind)) if book else {}
