"""What is wrong with a cook's own mixes and stores before anybody scales them: each told with its file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.mix.mixing import kitchen_region
from stallwise.joins.mix.prices import Prices, price_list
from stallwise.joins.mix.shopping import read_at_hand
from stallwise.models.batch import batch_of
from stallwise.record.schema import Book
from stallwise.tables.catalogue import cuts
from stallwise.tables.mix import Mix, Pantry
from stallwise.tables.mixbook import MIX_KEYS, pantry
from stallwise.tables.own_ingredient import OWN_KEYS

__all__ = ["mix_faults", "unused_keys"]


def mix_faults(
    book: Book,
    mixes: Mapping[str, dict[str, Any]],
    ingredients: Mapping[str, dict[str, Any]],
    own_cuts: Mapping[str, dict[str, Any]],
) -> tuple[tuple[str, str], ...]:
    """List what is wrong with mixes and ingredients as files, as (file, words).

    Parameters
    ----------
    book : Book
        With its measures, its prices and what is at hand.
    mixes, ingredients, own_cuts : mapping
        The cook's own, by name of the file.
    """
    shelf = pantry(mixes, ingredients, book.measures, region=kitchen_region(book))
    found = [(f"{name}.toml", str(error)) for name, error in shelf.broken.items()]
    for key in sorted(set(mixes) & set(shelf.mixes)):
        found += _unknown_names(shelf.mix(key), shelf)
        _try(f"mixes/{key}.toml", lambda key=key: batch_of(shelf.mix(key), shelf), found)  # type: ignore[misc]
    _try("cookbook.toml", lambda: read_at_hand(book.at_hand, shelf, book), found)
    known = price_list(book, shelf, cuts(own_cuts)) if book.prices else Prices({})
    found += [("cookbook.toml", warning.text) for warning in known.asked]
    return tuple(found)


def unused_keys(
    mixes: Mapping[str, Mapping[str, Any]], ingredients: Mapping[str, Mapping[str, Any]]
) -> tuple[tuple[str, str], ...]:
    """List keys of the cook's own mixes and ingredients that nothing reads, as (file, words)."""
    return tuple(
        (file, f"{file}: {key} is not a key of ours; it is kept and not used")
        for folder, tables, known in (
            ("mixes", mixes, MIX_KEYS),
            ("ingredients", ingredients, OWN_KEYS),
        )
        for name, mapping in tables.items()
        for file in (f"{folder}/{name}.toml",)
        for key in mapping
        if key not in known
    )


def _unknown_names(mix: Mix, shelf: Pantry) -> Iterator[tuple[str, str]]:
    """Say all of its lines that name nothing on the shelf: a cook mends a file once, not line by line."""
    file = f"mixes/{mix.key}.toml"
    for place, line in enumerate(mix.lines):
        look_up, name = (shelf.mix, line.mix) if line.mix else (shelf.ingredient, line.ingredient)
        try:
            look_up(name)
        except NotFoundError as error:
            yield file, f"{file}: line {place + 1} ({name}): {error}"


def _try(file: str, read: Callable[[], object], found: list[tuple[str, str]]) -> None:
    try:
        read()
    except InputError as error:
        said = str(error) if file in str(error) else f"{file}: {error}"
        if not any(str(error) in text for _, text in found):  # a broken part is told once
            found.append((file, said))
