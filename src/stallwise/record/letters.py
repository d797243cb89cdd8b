"""Letters of a cook's pieces and pits: each once, and each that is named is there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

__all__ = ["Place", "letter_faults", "tables_of", "unknown_letters"]

#: Where something is in a file: keys and, inside lists, positions.
Place = tuple[str | int, ...]


def letter_faults(cook: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """Letters that are used twice or that name nothing, in a cook as read.

    Parameters
    ----------
    cook : mapping
        Raw data; whatever has a wrong type is left to the models.

    Returns
    -------
    list of (place, what came, what is allowed)
    """
    pieces, pits = tables_of(cook, "pieces"), tables_of(cook, "pits")
    on = {str(piece.get("letter")) for _, piece in pieces}
    # PitUse.letter has a default, so that a cook with one pit need not name it.
    under = {str(pit.get("letter", "P")) for _, pit in pits}
    found = _twice([*pieces, *((at, {"letter": "P", **pit}) for at, pit in pits)])
    for at, piece in pieces:
        named = [((*at, key), piece.get(key)) for key in ("pit", "hold_in")]
        named += [
            ((*at, *move_at, "to"), move.get("to")) for move_at, move in tables_of(piece, "moves")
        ]
        found += unknown_letters(named, f"piece {piece.get('letter')} names pit", "pits", under)
    for at, mix in tables_of(cook, "mixes"):
        letters = mix.get("on")
        named = [((*at, "on"), letter) for letter in (letters if isinstance(letters, list) else [])]
        found += unknown_letters(named, f"mix {mix.get('mix')} is put on piece", "pieces", on)
    return found


def tables_of(table: Mapping[str, Any], key: str) -> list[tuple[Place, Mapping[str, Any]]]:
    """Tables under a key of raw data, each with its place."""
    rows = table.get(key)
    if not isinstance(rows, Sequence):
        return []
    return [((key, at), row) for at, row in enumerate(rows) if isinstance(row, Mapping)]


def _twice(tables: list[tuple[Place, Mapping[str, Any]]]) -> list[tuple[Place, str, str]]:
    seen: set[Any] = set()
    found = []
    for at, table in tables:
        letter = table.get("letter")
        if isinstance(letter, str) and letter in seen:
            said = f"letter {letter!r} is used twice"
            found.append(((*at, "letter"), said, "each piece and each pit has a letter of its own"))
        if isinstance(letter, str):
            seen.add(letter)
    return found


def unknown_letters(
    named: list[tuple[Place, Any]], words: str, kind: str, letters: set[str]
) -> list[tuple[Place, str, str]]:
    """Letters that name nothing, with where they stand."""
    there = ", ".join(sorted(letters)) or "none"
    return [
        (at, f"{words} {letter!r}", f"{kind} of this cook: {there}")
        for at, letter in named
        if isinstance(letter, str) and letter not in letters
    ]
