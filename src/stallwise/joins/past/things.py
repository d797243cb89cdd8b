"""What may differ between two cooks of a piece: one row a thing, as planned or as logged."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.fire.pitplan import pit_title
from stallwise.joins.past.cooked import Cooked
from stallwise.joins.words import joined
from stallwise.record.schema import PitUse

__all__ = ["THINGS", "Thing"]


@dataclass(frozen=True)
class Thing:
    """One thing that may differ.

    Attributes
    ----------
    key : str
    words : str
        In a cook's words.
    how : {"planned", "logged"}
    part : str
        Part of a forecast that it goes into, a key of `credit.PARTS`; empty where it goes into none.
    kind : str
        Of its value, a key of `values.KINDS`.
    read : callable
        Takes the value from a piece as cooked; None where nothing was said.
    """

    key: str
    words: str
    how: str
    part: str
    kind: str
    read: Callable[[Cooked], Any]


def _use(one: Cooked) -> PitUse:
    uses = one.record.cook.pits or [PitUse()]
    return next((use for use in uses if use.letter == one.pit.letter), uses[0])


def _thickness(one: Cooked) -> str:
    said = one.piece.thickness
    if said in {"thin", "usual", "thick"}:
        return said
    thick_m = 2.0 * one.planned.plan.body.half_thickness_m
    return units.format_length(thick_m, one.record.book.units)


def _curve(one: Cooked) -> tuple[tuple[float, float], ...]:
    plan = one.planned.plan.pit
    return tuple(zip(plan.time_s, plan.temperature_c, strict=True))


def _wrap(one: Cooked) -> tuple[str, float | None, float | None]:
    window = one.planned.wrap_window_s or (None, None)
    return (one.planned.plan.wrap.kind, *window)


def _mixes(one: Cooked) -> str | None:
    names = [mix.name for mix in one.result.mixes if not mix.on or one.letter in mix.on]
    return joined(list(dict.fromkeys(names))) or None


def _salt(one: Cooked) -> float | None:
    found = (salt.per_kg_edible_g for salt in one.result.salt if salt.piece == one.letter)
    return next(found, None)


def _hold(one: Cooked) -> str:
    hold = one.planned.plan.hold
    at = f" at {units.format_temperature(hold.temperature_c, one.record.book.units)}"
    return hold.place + (at if hold.place == "oven" else "")


def _height(one: Cooked) -> float:
    text = one.record.cook.elevation or one.record.book.elevation
    return units.parse("elevation", text, key="elevation")


def _parsed(kind: str, text: str | None) -> float | None:
    return None if text is None else units.parse(kind, text)


def _read(one: Cooked) -> tuple[float, float, float, str] | None:
    if one.pit_read is None:
        return None
    values = one.pit_read.temperature_c
    return statistics.fmean(values), min(values), max(values), one.done.number_place


def _wrapped(one: Cooked) -> tuple[str, float | None, float | None] | None:
    """When it was wrapped, bare where it came off without; None while nobody has said."""
    line = next((line for line in reversed(one.lines) if line.what == "wrapped"), None)
    if line is None:
        return ("none", None, None) if timing.came_off(one.lines, one.piece) else None
    at_s = one.elapsed_h(line.at) * 3600.0
    return one.done.wrap.kind, at_s, at_s


def _count(*what: str) -> Callable[[Cooked], int | None]:
    def count(one: Cooked) -> int | None:
        if not one.lines:
            return None
        return sum(line.what in what for line in one.lines)

    return count


def _things() -> Iterator[Thing]:
    def planned(key: str, words: str, part: str, kind: str, read: Callable[[Cooked], Any]) -> Thing:
        return Thing(key, words, "planned", part, kind, read)

    def logged(key: str, words: str, part: str, kind: str, read: Callable[[Cooked], Any]) -> Thing:
        return Thing(key, words, "logged", part, kind, read)

    yield planned("cut", "cut", "cut", "text", lambda one: one.planned.cut.name)
    yield planned(
        "worked",
        "what was done to it",
        "",
        "text",
        lambda one: joined(one.piece.worked or []) or None,
    )
    yield planned("mass", "weight as it goes on", "size", "mass", lambda one: one.planned.mass_kg)
    yield planned("thickness", "thickness", "size", "text", _thickness)
    yield planned("count", "alike pieces", "", "text", lambda one: one.piece.count)
    yield planned(
        "start_core",
        "core as it goes on",
        "start",
        "temperature",
        lambda one: one.planned.plan.start_core_c,
    )
    yield planned("finish", "wanted finish", "finish", "text", lambda one: one.planned.finish)
    yield planned("pit", "pit", "pit", "text", lambda one: pit_title(one.pit, one.record.pits))
    yield planned("place", "place in it", "pit", "text", lambda one: one.piece.place)
    yield planned(
        "number_at",
        "where its number is read",
        "pit",
        "text",
        lambda one: one.planned.plan.number_place,
    )
    yield planned("pit_plan", "pit held at", "pit", "curve", _curve)
    yield logged("pit_read", "pit as it was read", "pit", "read", _read)
    yield planned("fuel", "fuel", "", "text", lambda one: _use(one).fuel)
    yield planned(
        "water_pan", "a pan of water in it", "air", "yes", lambda one: bool(_use(one).water_pan)
    )
    yield planned("wrap", "wrap", "wrap", "wrap", _wrap)
    yield logged("wrapped", "wrapped", "wrap", "wrap", _wrapped)
    yield planned(
        "spritz",
        "time between spritzes",
        "spritz",
        "duration",
        lambda one: _parsed("duration", one.piece.spritz_every),
    )
    yield logged("spritzed", "spritzed", "spritz", "times", _count("spritz"))
    yield planned("mixes", "rubs and sauces", "", "text", _mixes)
    yield planned("salt", "salt on what is eaten", "", "salt", _salt)
    yield planned("rest", "rest before the knife", "", "duration", lambda one: one.planned.rest_s)
    yield planned("hold", "rested and held", "", "text", _hold)
    yield planned(
        "ambient",
        "air outside",
        "air",
        "air",
        lambda one: _parsed("temperature", one.record.cook.weather.ambient),
    )
    yield planned("wind", "wind", "", "text", lambda one: one.record.cook.weather.wind)
    yield planned("rain", "rain", "air", "yes", lambda one: one.record.cook.weather.rain)
    yield planned(
        "humidity",
        "how damp the air is",
        "air",
        "share",
        lambda one: _parsed("fraction", one.record.cook.weather.humidity),
    )
    yield planned("elevation", "height above the sea", "air", "height", _height)


#: In the order in which a cook would go through them.
THINGS: tuple[Thing, ...] = tuple(_things())
