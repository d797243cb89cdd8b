"""Which pieces a cook has: one more, another alike, one less, another cut, as changes of its plan.

A piece that goes takes its letter out of what names it (mixes, jobs); one that was
logged stays, for its lines would belong to nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import ascii_uppercase
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.draft import piece_plan
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, Piece
from stallwise.record.toml import validated

__all__ = ["with_copy", "with_cut", "with_piece", "without_piece", "written"]

#: Where a cook names pieces by letter: the table, and the key of the list.
_NAMING = (("mixes", "on"), ("jobs", "on"), ("jobs", "needs"))
_KEYS = {"mixes": "mix", "jobs": "job"}


def with_piece(cook: Cook, cut: str, like: Piece | None = None) -> Cook:
    """Put one more piece of a cut on, in the pit of the last one.

    Parameters
    ----------
    cook : Cook
        The plan.
    cut : str
        Key of the cut.
    like : Piece, optional
        A piece of an earlier cook whose plan comes along.

    Returns
    -------
    Cook
        With a last piece of the next free letter.
    """
    return _added(cook, _plan_of(cut, like) | {"pit": cook.pieces[-1].pit})


def with_cut(cook: Cook, letter: str, cut: str, like: Piece | None = None) -> Cook:
    """Make a piece another cut, with the plan of an earlier one; its pit and serving time stay.

    Parameters
    ----------
    cook : Cook
        The plan.
    letter : str
        Of the piece.
    cut : str
        Key of the cut.
    like : Piece, optional
        As for `with_piece`.
    """
    old = _piece(cook, letter)
    kept = {key: getattr(old, key) for key in ("letter", "count", "pit", "place", "serve", "on")}
    data = cook.model_dump(by_alias=True)
    data["pieces"] = [
        _plan_of(cut, like) | kept if piece["letter"] == letter else piece
        for piece in data["pieces"]
    ]
    return validated(Cook, data, where="changed plan")


def _plan_of(cut: str, like: Piece | None) -> dict[str, Any]:
    plan = piece_plan(like) if like is not None and like.cut == cut else {}
    # Where it lay and how many there were belongs to that day's other pieces.
    own = {"pit", "place", "hold_in", "count"}
    return {key: value for key, value in plan.items() if key not in own} | {"cut": cut}


def with_copy(cook: Cook, letter: str, source: Piece) -> Cook:
    """Put another piece on that is planned like one there is, with the same mixes.

    Parameters
    ----------
    cook : Cook
        The plan.
    letter : str
        Of the piece.
    source : Piece
        The piece as it stands, with what was changed and not kept yet.
    """
    new = _added(cook, piece_plan(source) | {"serve": source.serve, "on": source.on})
    last = new.pieces[-1].letter
    return _named_data(
        new.model_dump(by_alias=True), lambda on: [*on, last] if letter in on else on
    )


def without_piece(record: CookRecord, letter: str) -> Cook:
    """Take a piece out of the plan.

    Parameters
    ----------
    record : CookRecord
        The cook and its log.
    letter : str
        Of the piece.

    Returns
    -------
    Cook
        Without it; a mix that was for it alone goes too.

    Raises
    ------
    InputError
        It is the last one, or the log or a probe speaks of it.
    NotFoundError
        There is no such piece.
    """
    cook = record.cook
    _piece(cook, letter)
    if len(cook.pieces) == 1:
        raise InputError(
            f"{letter} is the only piece", "a cook has one at least", "Change its cut instead"
        )
    told = {line.piece for line in record.log} | {one.piece for one in record.readings}
    if letter in told:
        raise InputError(
            f"piece {letter} is in the log already",
            "only a piece that nothing was written of",
            "Take its lines back first, or leave it",
        )
    data = cook.model_dump(by_alias=True)
    data["pieces"] = [piece for piece in data["pieces"] if piece["letter"] != letter]
    data["mixes"] = [mix for mix in data["mixes"] if mix["on"] != [letter]]
    return _named_data(data, lambda letters: [each for each in letters if each != letter])


def written(before: Cook, after: Cook) -> dict[str, Any]:
    """Say what to write into ``cook.toml``, with the keys of `stallwise.record.edits.edit`."""
    old = {piece.letter for piece in before.pieces}
    left = {piece.letter for piece in after.pieces}
    found: dict[str, Any] = {
        f"mixes.{mix.mix}": None for mix in before.mixes if mix.mix not in _names(after, "mixes")
    }
    found |= _renamed(before, after)
    found |= {f"pieces.{letter}": None for letter in sorted(old - left)}
    was = {piece.letter: _plain(piece) for piece in before.pieces}
    for piece in after.pieces:
        then, now = was.get(piece.letter), _plain(piece)
        if then is None:
            continue
        for key in then | now:
            if then.get(key) != now.get(key):
                found[f"pieces.{piece.letter}.{key}"] = now.get(key)
    new = [_plain(piece) for piece in after.pieces if piece.letter not in old]
    return found | ({"pieces+": new} if new else {})


def _plain(piece: Piece) -> dict[str, Any]:
    said = piece.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)
    return {"letter": piece.letter, "cut": piece.cut} | said


def _renamed(before: Cook, after: Cook) -> dict[str, Any]:
    found = {}
    for table, key in _NAMING:
        was = {getattr(row, _KEYS[table]): getattr(row, key) for row in getattr(before, table)}
        for row in getattr(after, table):
            name = getattr(row, _KEYS[table])
            if getattr(row, key) != was.get(name):
                found[f"{table}.{name}.{key}"] = list(getattr(row, key))
    return found


def _names(cook: Cook, table: str) -> set[str]:
    return {getattr(row, _KEYS[table]) for row in getattr(cook, table)}


def _piece(cook: Cook, letter: str) -> Piece:
    for piece in cook.pieces:
        if piece.letter == letter:
            return piece
    raise NotFoundError("piece", letter, [piece.letter for piece in cook.pieces])


def _added(cook: Cook, plan: Mapping[str, Any]) -> Cook:
    taken = {piece.letter for piece in cook.pieces} | {pit.letter for pit in cook.pits}
    # A pit that nobody named is P.
    free = next((each for each in ascii_uppercase if each not in taken | {"P"}), None)
    if free is None:
        raise InputError(
            f"{len(cook.pieces)} pieces", "one for each letter", "Say how many are alike instead"
        )
    data = cook.model_dump(by_alias=True)
    data["pieces"].append({**plan, "letter": free})
    return validated(Cook, data, where="changed plan")


def _named_data(data: dict[str, Any], change: Callable[[list[str]], list[str]]) -> Cook:
    for table, key in _NAMING:
        for row in data[table]:
            row[key] = change(row[key])
    return validated(Cook, data, where="changed plan")
