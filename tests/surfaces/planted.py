"""A cook with something of its own in every place where words may stand: the schema says where those are.

Tokens stand in all free text of ``cook.toml``, ``cookbook.toml``, a pit, a mix, the log and a trial; a field
that is new in the schema is among them without a word here, and a table that is new is asked for.
"""

from __future__ import annotations

import copy
import dataclasses
import datetime as dt
import itertools
import re
import typing
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import tomlkit
from pydantic import BaseModel

from stallwise.ground.errors import StallwiseError
from stallwise.record import toml
from stallwise.record.folder import Cookbook
from stallwise.record.log import LogLine
from stallwise.record.schema import Book, Cook, Pit
from stallwise.surfaces.journal.public import public_book

Path_ = tuple[str | int, ...]
DAY = dt.date(2027, 9, 25)

#: One of each table that a cook can have, with as little in it as may be.
FULL: dict[str, Any] = {
    "schema": 1, "title": "Full", "date": "2027-09-25", "serve": "18:00",
    "weather": {}, "rules": {}, "number": {"name": "n", "value": 1.0},
    "pits": [{"letter": "P", "pit": "mine", "start": "225 F"}],
    "pieces": [
        {"letter": "A", "cut": "pork-spare-ribs-trimmed", "mass": "3 lb", "on": "11:00",
         "moves": [{"to": "P", "at": "13:00"}]}
    ],
    "mixes": [{"mix": "own-rub", "on": ["A"]}], "extras": [{"name": "foil"}],
    "jobs": [{"job": "beans", "takes": "1 h"}], "photos": [{"file": "a.jpg"}],
    "quote": {}, "lesson": {"begins": "10:00", "ends": "19:00", "teams": [{"pit": "P", "students": 2}],
                            "shows": [{"pieces": ["A"], "shown": "raw", "at": "10:30"}]},
    "contest": {"hand_ins": [{"name": "ribs", "at": "17:30", "pieces": ["A"], "number": {"name": "n", "value": 1.0}}]},
}  # fmt: skip
PIT: dict[str, Any] = {
    "schema": 1, "name": "mine", "places": [{"name": "left", "temperature": "220 F"}, {"name": "right", "temperature": "230 F"}],
    "tested_at": "225 F",
    "shelves": [{"name": "top", "width": "20 in", "depth": "15 in"}],
}  # fmt: skip
BOOK: dict[str, Any] = {"schema": 1, "title": "Book", "rules": {}}
MIX: dict[str, Any] = {
    "schema": 1, "name": "Own rub", "kind": "rub", "per": "1 kg meat", "note": "n",
    "lines": [{"ingredient": "salt_sea_fine", "amount": "10 g", "note": "n"}, {"ingredient": "own-dust", "amount": "5 g"}],
}  # fmt: skip
LOG = ("note", "spritz", "wood", "turned", "off")


def places(model: type[BaseModel], data: Mapping[str, Any], at: Path_ = ()) -> Iterator[Path_]:
    """Every place of a model at which a text may stand, as far as the data has its tables."""
    for name, field in model.model_fields.items():
        yield from _within(field.annotation, data, field.alias or name, at)


def _within(kind: Any, data: Any, key: str | int, at: Path_) -> Iterator[Path_]:
    parts = [kind, *_parts(kind)]
    tables = [part for part in parts if isinstance(part, type) and issubclass(part, BaseModel)]
    lists = any(typing.get_origin(part) is list for part in parts)
    here = (*at, key)
    if tables:
        held = data.get(key) if isinstance(data, Mapping) else None
        if lists:
            here, held = (*here, 0), held[0] if held else None
        assert held is not None, (
            f"{'.'.join(map(str, here))} is a new table: put one into {__file__}"
        )
        yield from places(tables[0], held, here)
    elif any(typing.get_origin(part) is dict for part in parts):
        yield (*here, "KEY")
        yield (*here, "value")
    elif str in parts:
        yield (*here, 0) if lists else here


def _parts(kind: Any) -> list[Any]:
    return [each for part in typing.get_args(kind) for each in (part, *_parts(part))]


def put(data: dict[str, Any], at: Path_, token: str) -> dict[str, Any]:
    """Give the same data with a token in one place."""
    made: Any = copy.deepcopy(data)
    here = made
    for step, after in itertools.pairwise(at):
        if isinstance(here, dict) and step not in here:
            here[step] = [] if after == 0 else {}
        here = here[step]
    last = at[-1]
    if last == "KEY":
        here[token] = here.pop("value", 1)
    elif isinstance(here, list):
        here[:] = [token]
    else:
        here[last] = token
    return made


class Planted(typing.NamedTuple):
    """A book on the disk with one cook, and where each of its tokens stands."""

    book: Cookbook
    tokens: Mapping[str, str]


def planted(place: Any, answer: Callable[[Any], Any]) -> Planted:
    """Write the book; a place that does not take a token, or makes its cook unanswerable, stays as it is."""
    tokens: dict[str, str] = {}
    book = Cookbook.start(place / "book", title="Book")

    def token(where: str) -> str:
        tokens[made := f"Zq{len(tokens):03d}j"] = where
        return made

    def filled(model: type[BaseModel], data: dict[str, Any], name: str) -> dict[str, Any]:
        for at in places(model, data):
            said = token(f"{name} {'.'.join(map(str, at))}")
            try:
                read = toml.parse(tomlkit.dumps(tried := put(data, at, said)), model, file="x.toml")
                if isinstance(read, Book):
                    public_book(read)
            except StallwiseError:
                del tokens[said]
                continue
            data = tried
        return data

    mix = put(put(MIX, ("name",), token("mix name")), ("note",), token("mix note"))
    mix = put(mix, ("lines", 0, "note"), token("mix lines.note"))
    dust = {"schema": 1, "name": token("ingredient name"), "salt": "0 %"}
    (book.path / "mixes" / "own-rub.toml").write_text(tomlkit.dumps(mix), "utf-8")
    (book.path / "ingredients" / "own-dust.toml").write_text(tomlkit.dumps(dust), "utf-8")
    (book.path / "pits" / "mine.toml").write_text(tomlkit.dumps(filled(Pit, PIT, "pit")), "utf-8")
    own = filled(Book, BOOK, "book")
    (book.path / "cookbook.toml").write_text(tomlkit.dumps(own), "utf-8")
    book = Cookbook.open(book.path)
    filled(Cook, FULL, "cook")
    folder = book.new_cook("full", DAY, tomlkit.dumps(FULL))
    at = dt.datetime(2027, 9, 25, 11, tzinfo=dt.UTC)
    lines = [LogLine(id="on", at=at, what="meat_on", piece="A", made=at, source="command")]
    for n, what in enumerate(LOG, 1):
        when = at + dt.timedelta(hours=n)
        lines.append(
            LogLine(id=what, at=when, what=what, piece="A", made=when, source="command",
                    text=token(f"log {what} text"), note=token(f"log {what} note"))
        )  # fmt: skip
    folder.append(lines)
    _answerable(folder, tokens, answer)
    return Planted(book, tokens)


def _answerable(folder: Any, tokens: dict[str, str], answer: Callable[[Any], Any]) -> None:
    """Take back tokens that no answer can be given with: names of cuts, of pits, of mixes."""
    data = copy.deepcopy(FULL)
    for said, where in [*tokens.items()]:
        kind, _, dotted = where.partition(" ")
        if kind != "cook":
            continue
        at: Path_ = tuple(int(step) if step.isdigit() else step for step in dotted.split("."))
        tried = put(data, at, said)
        (folder.path / "cook.toml").write_text(tomlkit.dumps(tried), "utf-8")
        try:
            answer(folder.load())
        except StallwiseError:
            del tokens[said]
            continue
        data = tried
    (folder.path / "cook.toml").write_text(tomlkit.dumps(data), "utf-8")


TOKEN = re.compile(r"Zq\d{3}j")


def spoken(held: Any, word: Callable[[str], str]) -> Any:
    """Give the same data, deep down, with other words for its tokens."""
    if isinstance(held, str):
        return TOKEN.sub(lambda match: word(match[0]), held)
    if isinstance(held, BaseModel):
        names = type(held).model_fields
        return held.model_copy(update={name: spoken(getattr(held, name), word) for name in names})
    if dataclasses.is_dataclass(held) and not isinstance(held, type):
        changed = {
            one.name: spoken(getattr(held, one.name), word)
            for one in dataclasses.fields(held)
            if one.init
        }
        return dataclasses.replace(held, **changed)
    if isinstance(held, Mapping):
        return {spoken(key, word): spoken(value, word) for key, value in held.items()}
    if isinstance(held, tuple | list | set | frozenset):
        made = [spoken(one, word) for one in held]
        return type(held)(*made) if hasattr(held, "_fields") else type(held)(made)
    return held
