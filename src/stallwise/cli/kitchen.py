"""`ingredients`: what a rub or sauce may be made of, by the name that its file writes."""

from __future__ import annotations

import argparse
import sys

from stallwise.cli.common import add_json, book_at_hand, print_json


def add_ingredients(parser: argparse.ArgumentParser) -> None:
    """Options of `ingredients`."""
    parser.add_argument(
        "word", metavar="WORD", nargs="*", help="words of its name: brown sugar; default: all"
    )
    add_json(parser)


def ingredients(args: argparse.Namespace) -> int:
    """List ingredients, the cook's own among them."""
    from stallwise.ground.errors import NotFoundError
    from stallwise.joins.result import to_plain
    from stallwise.tables.ingredients import find_ingredient, named_alike, readable_ingredients

    book = book_at_hand(args)
    table, broken = readable_ingredients(book.overlay("ingredients") if book else {})
    for error in broken.values():
        print(f"note: {error}", file=sys.stderr)
    word = " ".join(args.word)
    found = named_alike(word, table)
    if args.json:
        print_json({"ingredients": [to_plain(row) for row in found]})
        return 0
    for row in found:
        spoon = f"1 tbsp is {row.grams_per_tbsp:.3g} g" if row.grams_per_tbsp else ""
        print(f"{row.key:28} {row.name:48} {spoon}".rstrip())
    if len(found) == 1:
        from stallwise.joins.mix.ingredientwords import ingredient_lines

        for line in ingredient_lines(found[0]):
            print(f"  {line}")
    if not found:
        try:
            find_ingredient(word, table)
        except NotFoundError as error:
            print(f"No ingredient has {word!r} in its name. {error.todo}")
            print("Your own is a file: see the README.")
    return 0
