"""Files to take from a page: data, a notebook that reads them, the steps for a phone, the mixes.

All are made of the public view, field by field; nothing is copied from the cook's folder.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

import nbformat
import numpy as np
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from stallwise.joins.mix.mixresult import MixResult
from stallwise.joins.result import PieceResult, Result, Step, to_plain
from stallwise.joins.sheet.calendar import calendar_file
from stallwise.record.edits import as_toml
from stallwise.record.schema import Number
from stallwise.surfaces.journal.addresses import plain_name
from stallwise.surfaces.journal.public import PublicCook

__all__ = ["Download", "downloads"]

_PIECE = (
    "piece", "cut", "name", "count", "finish", "pit", "mass_kg", "on_at", "wrap", "stages", "core_c",
    "pit_c", "loss_fraction", "edible_kg", "rest_h", "serve_at", "odds_in_time", "finish_seen",
)  # fmt: skip
_STEP = ("id", "what", "piece", "pit", "at", "earliest", "latest", "until_sign", "done_at")
#: Not what was written in words: that was meant for the cook.
_EVENT = ("at", "elapsed_h", "what", "piece", "pit", "value_c", "about", "verdict")
_HEAD = (
    "title", "date", "state", "sample", "as_of", "hour_zero", "seed", "members",
    "model_version", "hindcast", "odds_words", "odds",
)  # fmt: skip
#: The cook's own words; no name of a file of theirs.
_OWN = ("title", "date", "sample", "outcome", "next_time", "notes", "tasting", "number", "tags")
_HAND_IN = ("name", "at", "picked", "left", "why", "comments", "number")
_SAMPLE = "A sample: our own invention. Nobody cooked it."
_SHOW = """\
import json
from pathlib import Path

cook = json.loads(Path("cook.json").read_text(encoding="utf-8"))
for piece in cook["pieces"]:
    print(piece["piece"], piece["name"])
    for name, stage in piece["stages"].items():
        hours = stage["elapsed_h"]
        if hours["p50"] is not None:
            ends = [f"{hours[key]:.1f}" if hours[key] is not None else "-" for key in ("p10", "p50", "p90")]
            print("  ", name, "after", " / ".join(ends), "h")
"""
_EVENTS = """\
for event in cook["events"]:
    value = event["value_c"]
    print(f"{event['elapsed_h']:6.2f} h", event["piece"] or event["pit"], event["what"], event["verdict"],
          "" if value is None else f"{value:.0f} °C")
"""


@dataclass(frozen=True)
class Download:
    """A file: its name, what it is, and its text."""

    file: str
    words: str
    text: str


def downloads(cook: PublicCook, result: Result) -> tuple[Download, ...]:
    """Make the files of one page.

    Parameters
    ----------
    cook : PublicCook
    result : Result
        Without what is kept back.
    """
    return tuple(_made(cook, result))


def _made(cook: PublicCook, result: Result) -> Iterator[Download]:
    data = json.dumps(
        _data(cook, result), ensure_ascii=False, separators=(",", ":"), allow_nan=False
    )
    yield Download("cook.json", "The data", f"{data}\n")
    yield Download("cook.ipynb", "A notebook that reads them", _notebook(cook))
    if result.steps:
        yield Download("steps.ics", "The steps for a calendar", calendar_file(_still(result)).text)
    taken = {"cook", "steps"}
    keys = frozenset(mix.mix for mix in result.mixes)
    for mix in result.mixes:
        stem, count = plain_name(mix.mix, told_apart=True), 2
        while stem in taken:
            stem, count = f"{plain_name(mix.mix, told_apart=True)}~{count}", count + 1
        taken.add(stem)
        yield Download(f"{stem}.toml", mix.name, _mix(mix, keys))


def _data(cook: PublicCook, result: Result) -> dict[str, Any]:
    own = {name: getattr(cook, name) for name in _OWN} | {"number": _number(cook.number)}
    if cook.handed:
        own["hand_ins"] = [
            {name: getattr(one, name) for name in _HAND_IN} | {"number": _number(one.number)}
            for one in cook.handed
        ]
    return {
        "schema": 1,
        "remark": _SAMPLE if cook.sample else "",
        **_of(result, _HEAD),
        **to_plain(own),
        "pieces": [_of(piece, _PIECE) for piece in result.pieces],
        "steps": [_of(step, _STEP) for step in result.steps],
        "events": [_of(event, _EVENT) for event in result.events],
        "readings": to_plain(result.readings),
        "mixes": [to_plain(mix) for mix in result.mixes],
        "salt": [to_plain(salt) for salt in result.salt],
        "ledger": [to_plain(line) for line in result.ledger],
        "sources": to_plain(result.sources),
    }


def _number(number: Number | None) -> dict[str, Any] | None:
    if number is None:
        return None
    return {"name": number.name, "value": number.value, "out_of": number.out_of}


def _still(result: Result) -> Result:
    """Stamp it by its plan, for the same bytes each time, and name no zone: that tells a region."""
    offset = result.hour_zero.utcoffset() or dt.timedelta()
    hours, rest = divmod(offset, dt.timedelta(hours=1))
    name = "Etc/UTC" if rest or not hours else f"Etc/GMT{-hours:+d}"
    zone = ZoneInfo(name)
    times = ("at", "earliest", "latest", "done_at")
    steps = tuple(
        dataclasses.replace(
            step,
            **{key: at.astimezone(zone) for key in times if (at := getattr(step, key)) is not None},
        )
        for step in result.steps
    )
    return dataclasses.replace(result, made_at=result.as_of, time_zone=name, steps=steps)


def _of(part: Result | PieceResult | Step | Any, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: to_plain(getattr(part, name)) for name in names}


def _notebook(cook: PublicCook) -> str:
    """Write a notebook that needs nothing but Python and the data beside it."""
    head = [f"# {_flat(cook.title)}", f"{cook.date:%d %B %Y}"]
    head += [_SAMPLE] if cook.sample else []
    head += [_flat(cook.outcome)] if cook.outcome else []
    head += [f"**Next time:** {_flat(cook.next_time)}"] if cook.next_time else []
    cells = [
        new_markdown_cell("\n\n".join(head), id="head"),
        new_code_cell(_SHOW, id="forecast"),
        new_code_cell(_EVENTS, id="events"),
    ]
    book = new_notebook(cells=cells)
    book.metadata["kernelspec"] = {
        "name": "python3",
        "display_name": "Python 3",
        "language": "python",
    }
    return f"{nbformat.writes(book)}\n"


def _flat(text: str) -> str:
    """Words as words: markup in them stays letters."""
    marks = str.maketrans({mark: f"\\{mark}" for mark in "\\`*_{}[]<>#!|"})
    return " ".join(text.split()).translate(marks)


def _mix(mix: MixResult, keys: frozenset[str]) -> str:
    """Write a mix as a cookbook holds it: a batch of what was made, by weight."""
    said = [
        "# As it was made for one cook; put it into mixes/ of a cookbook.",
        "schema = 1",
        f"name = {as_toml(mix.name)}",
        f"kind = {as_toml(mix.kind)}",
        'per = "batch"',
    ]
    for line in mix.lines:
        amount = f"{np.format_float_positional(line.grams, 4, unique=False, fractional=False, trim='-')} g"
        if not line.ingredient:
            said.append(f"# and {amount} of {' '.join(line.name.split())}")
            continue
        what = "mix" if line.ingredient in keys else "ingredient"
        said += ["", "[[lines]]", f"{what} = {as_toml(line.ingredient)}", f'amount = "{amount}"']
    return "\n".join([*said, ""])
