"""A cook as a Recipe of schema.org, for programs that read pages: data, and no script that runs."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Sequence

from markupsafe import Markup

from stallwise.joins import words
from stallwise.joins.result import PieceResult, Result
from stallwise.surfaces.journal.mademix import MadeMix
from stallwise.surfaces.journal.photos import Photo
from stallwise.surfaces.journal.public import PublicBook, PublicCook

__all__ = ["recipe"]

#: Letters by which data could end the element that holds it.
_ESCAPED = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"})


def recipe(
    book: PublicBook,
    cook: PublicCook,
    result: Result,
    *,
    outcome: str,
    steps: Sequence[str],
    mixes: Sequence[MadeMix],
    photos: Sequence[tuple[str, Photo]],
) -> Markup:
    """Write the data of a page.

    Parameters
    ----------
    book, cook : PublicBook, PublicCook
    result : Result
        Without what is kept back.
    outcome : str
    steps : sequence of str
        What was or is to be done, in order.
    mixes : sequence of MadeMix
    photos : sequence of (str, Photo)
        Folder and photo.
    """
    data = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": cook.title,
        "description": outcome,
        "datePublished": cook.date.isoformat(),
        "author": {"@type": "Person", "name": book.author} if book.author else None,
        "image": [f"{book.base or '../'}{place}/{one.sizes[0].file}" for place, one in photos],
        "keywords": ", ".join(cook.tags),
        "recipeYield": _yield(result),
        "cookTime": _took(result),
        "recipeIngredient": [*_meat(result), *_mixed(mixes)],
        "recipeInstructions": [
            {"@type": "HowToStep", "text": text} for text in dict.fromkeys(steps)
        ],
        "creativeWorkStatus": "Sample, our own invention" if cook.sample else None,
    }
    kept = {key: value for key, value in data.items() if value}
    text = json.dumps(kept, ensure_ascii=False, separators=(",", ":")).translate(_ESCAPED)
    return Markup(text)  # noqa: S704 - nothing in it can end its element


def _yield(result: Result) -> str | None:
    """Say what there was to eat, each piece of it."""
    parts = [
        f"{words.mass(piece.edible_kg.p50, result.units)} of {piece.name}"
        for piece in result.pieces
        if piece.edible_kg.p50
    ]
    return words.joined(parts) or None


def _took(result: Result) -> str | None:
    """Longest time from a piece's meat on to its finish, where all were seen to have it."""
    seen = [piece.finish_seen for piece in result.pieces]
    if not seen or any(one is None for one in seen):
        return None
    longest = dt.timedelta(hours=max(one.elapsed_h for one in seen if one))
    minutes = round(longest.total_seconds() / 60)
    return f"PT{minutes // 60}H{minutes % 60}M"


def _meat(result: Result) -> Iterator[str]:
    for piece in result.pieces:
        yield _piece(piece, result.units)


def _piece(piece: PieceResult, units: str) -> str:
    many = f"{piece.count} × " if piece.count > 1 else ""
    each = " each" if piece.count > 1 else ""
    return f"{many}{piece.name}, {words.mass(piece.mass_kg, units)}{each}"


def _mixed(mixes: Sequence[MadeMix]) -> Iterator[str]:
    for mix in mixes:
        for name, grams, *_ in mix.rows[:-1]:
            yield f"{grams} g {name} ({mix.name})"
