"""A new cook, pre-filled: from the last cook of that cut, any old cook, or the cut alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit

from stallwise.ground.errors import InputError
from stallwise.joins.eventdraft import carried_events
from stallwise.joins.parameters import edits, resolve
from stallwise.record.folder import Cookbook
from stallwise.record.schema import SCHEMA, Cook, Piece
from stallwise.record.toml import edit, validated

__all__ = ["PIECE_FACTS", "cook_text", "cooked_first", "draft", "last_of_cut", "piece_plan"]

#: What of a piece is a fact of its day, or a promise of it, and does not come along.
PIECE_FACTS = frozenset(
    {
        "mass_bought",
        "mass_saved",
        "mass_bin",
        "mass_cooked",
        "mass_edible",
        "mass_left",
        "bone_in",
        "opened",
        "label_sodium",
        "label_solution",
        "worked",
        "frozen",
        "thaw",
        "thaw_from",
        "moves",
        "on",
        "serve",
        "price",
        "pack_date",
        "note",
    }
)
_COOK_PLAN = (
    "template",
    "time_zone",
    "elevation",
    "odds",
    "guests",
    "children",
    "hungry",
    "light",
    "no_meat",
    "extras",
    "people",
    "roles",
    "places",
    "carry",
    "tags",
    "pits",
    "mixes",
)

_NOTE = """\
Everything here may be edited by hand; quantities carry their unit ("6 lb 8 oz", "250 F").
"""


def piece_plan(piece: Piece) -> dict[str, Any]:
    """Plan of a piece, as plain data: what comes along to the next one like it."""
    said = piece.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)
    return {key: value for key, value in said.items() if key not in PIECE_FACTS}


def cooked_first(book: Cookbook) -> list[tuple[str, Cook]]:
    """Cooks newest first, those that were cooked before those that are only planned."""
    found: list[tuple[bool, str, Cook]] = []
    for folder in book.cooks():
        try:
            found.append((folder.state() == "planned", folder.name, folder.read()))
        except InputError:
            continue  # `cooks` and `check` tell; a new cook does not wait for it
    return [(name, cook) for _, name, cook in sorted(found, key=lambda each: each[0])]


def last_of_cut(cooks: Iterable[tuple[str, Cook]], cut: str) -> tuple[str, Cook] | None:
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
    if changes.get("date") is not None:
        raise InputError("date with --set", "--on 2027-09-25", "The folder is named by it")
    data: dict[str, Any] = {"schema": SCHEMA, "title": title, "date": date}
    if before is None:
        data["template"] = template
        data["pieces"] = [{"letter": "A", "cut": cut}]
    else:
        data |= _carried(*before, cut)
    plan = resolve(validated(Cook, data, where="new cook"), changes)
    text = tomlkit.dumps(_document(data))
    return edit(text, edits(plan, changes))


def cook_text(data: Mapping[str, Any]) -> str:
    """Text of a ``cook.toml`` that is made out of plain data, validated."""
    validated(Cook, data, where="new cook")
    return tomlkit.dumps(_document(data))


def _carried(name: str, cook: Cook, cut: str | None) -> dict[str, Any]:
    old = cook.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)
    data = {key: old[key] for key in _COOK_PLAN if key in old}
    pieces = [piece_plan(piece) for piece in cook.pieces if cut is None or piece.cut == cut]
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
    data |= carried_events(old, letters)
    if jobs := _jobs(old.get("jobs", []), letters):
        data["jobs"] = jobs
    # Also where nothing was said for the next time: the panel shows what changed since.
    data["carried_from"] = name
    if cook.next_time:
        data["carried"] = cook.next_time
    return data


def _jobs(jobs: Iterable[Mapping[str, Any]], letters: set[str]) -> list[dict[str, Any]]:
    """Jobs without those for pieces that stay behind, and without waiting for what is not there."""
    kept = [job for job in jobs if not job.get("on") or letters & set(job["on"])]
    there = letters | {job["job"] for job in kept}
    fitted = [
        {**job}
        | ({"on": [each for each in job["on"] if each in letters]} if job.get("on") else {})
        | ({"needs": [each for each in job["needs"] if each in there]} if "needs" in job else {})
        for job in kept
    ]
    return [{key: value for key, value in job.items() if value != []} for job in fitted]


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
