"""A new cook, pre-filled: from the last cook of that cut, any old cook, or the cut alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit

from stallwise.ground.errors import InputError
from stallwise.joins.parameters import edits, resolve
from stallwise.record.schema import SCHEMA, Cook
from stallwise.record.toml import edit, validated

__all__ = ["draft", "last_of_cut"]

#: What of a piece is a plan (and comes along), not a fact of that day.
_PIECE_PLAN = (
    "letter",
    "cut",
    "count",
    "mass",
    "thickness",
    "width",
    "length",
    "start_core",
    "pit",
    "place",
    "wrap",
    "wrap_from",
    "wrap_to",
    "wrap_core",
    "unwrap",
    "spritz_from",
    "spritz_every",
    "finish",
    "rest",
    "hold",
    "hold_in",
    "carve",
)
_COOK_PLAN = (
    "template",
    "time_zone",
    "elevation",
    "odds",
    "guests",
    "extras",
    "people",
    "places",
    "carry",
    "tags",
    "pits",
    "mixes",
    "jobs",
)

_NOTE = """\
Everything here may be edited by hand; quantities carry their unit ("6 lb 8 oz", "250 F").
"""


def last_of_cut(cooks: Sequence[tuple[str, Cook]], cut: str) -> tuple[str, Cook] | None:
    """Newest cook that has a piece of `cut`; `cooks` come newest first."""
    for name, cook in cooks:
        if any(piece.cut == cut for piece in cook.pieces):
            return name, cook
    return None


def draft(
    *,
    title: str,
    date: dt.date,
    cut: str | None,
    before: tuple[str, Cook] | None,
    changes: Mapping[str, Any],
    template: str = "cook",
) -> str:
    """Text of a new ``cook.toml``.

    Parameters
    ----------
    title, date : str, date
        Of the new cook.
    cut : str or None
        Key of the cut; None keeps the cuts of `before`.
    before : tuple of str and Cook, or None
        Name and content of the cook it is pre-filled from.
    changes : mapping
        Plan parameters laid over, as with ``--set``.
    template : str
        Name of the notebook template.

    Returns
    -------
    str
        Validated TOML.
    """
    if before is None and cut is None:
        raise InputError(
            "a new cook needs a cut", "--cut CUT (see `stallwise cuts`) or --from COOK"
        )
    data: dict[str, Any] = {"schema": SCHEMA, "title": title, "date": date}
    if before is None:
        data["template"] = template
        data["pieces"] = [{"letter": "A", "cut": cut}]
    else:
        data |= _carried(*before, cut)
    plan = resolve(validated(Cook, data, where="new cook"), changes)
    text = tomlkit.dumps(_document(data))
    return edit(text, edits(plan, changes))


def _carried(name: str, cook: Cook, cut: str | None) -> dict[str, Any]:
    old = cook.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)
    data = {key: old[key] for key in _COOK_PLAN if key in old}
    pieces = [
        {key: piece[key] for key in _PIECE_PLAN if key in piece}
        for piece in old["pieces"]
        if cut is None or piece["cut"] == cut
    ]
    data["pieces"] = pieces
    letters = {piece["letter"] for piece in pieces}
    for piece, was in zip(pieces, _same(old["pieces"], letters), strict=True):
        serve = _time_of_day(was.get("serve"))
        if serve:
            piece["serve"] = serve
    serve = _time_of_day(old.get("serve"))
    if serve:
        data["serve"] = serve
    data["mixes"] = [
        {**mix, "on": [letter for letter in mix.get("on", []) if letter in letters]}
        for mix in old.get("mixes", [])
        if not mix.get("on") or letters & set(mix["on"])
    ]
    if not data["mixes"]:
        del data["mixes"]
    if cook.next_time:
        data["carried"] = cook.next_time
        data["carried_from"] = name
    return data


def _same(pieces: list[dict[str, Any]], letters: set[str]) -> list[dict[str, Any]]:
    return [piece for piece in pieces if piece["letter"] in letters]


def _time_of_day(clock: str | None) -> str | None:
    return clock.split(" ")[-1].split("T")[-1] if clock else None


def _document(data: Mapping[str, Any]) -> tomlkit.TOMLDocument:
    document = tomlkit.document()
    for line in _NOTE.strip().splitlines():
        document.add(tomlkit.comment(line))
    tables = {key: value for key, value in data.items() if _is_tables(value)}
    for key, value in data.items():
        if key not in tables:
            document.add(key, tomlkit.item(value))
    for key, rows in tables.items():
        array = tomlkit.aot()
        for row in rows:
            table = tomlkit.table()
            for name, value in row.items():
                table.add(name, _inline(value))
            array.append(table)
        document.add(key, array)
    return document


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _inline(value: Any) -> Any:
    if isinstance(value, tuple):
        value = list(value)
    return (
        tomlkit.item([list(v) if isinstance(v, tuple) else v for v in value])
        if isinstance(value, list)
        else tomlkit.item(value)
    )
