"""Values beside an event, checked: what is plausible passes, what has two readings is asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.shortline import Parts
from stallwise.joins.log.vocabulary import Degrees

__all__ = ["CHECKS", "Case"]

#: Bare numbers that are believed, by unit [°F or °C]: of a pit, and of a core.
_BELIEVED = {
    "pit": {"F": (140.0, 500.0), "C": (60.0, 210.0)},
    "core": {"F": (28.0, 212.0), "C": (-2.0, 100.0)},
    "ice": {"F": (22.0, 45.0), "C": (-6.0, 7.0)},
    "boiling": {"F": (165.0, 225.0), "C": (74.0, 107.0)},
}
#: What is hardly possible is asked [°F or °C]; a core past the boiling point is noted.
_POSSIBLE = {
    "pit": {"F": (-22.0, 650.0), "C": (-30.0, 350.0)},
    "core": {"F": (23.0, 230.0), "C": (-5.0, 110.0)},
    "ice": {"F": (0.0, 60.0), "C": (-18.0, 16.0)},
    "boiling": {"F": (140.0, 240.0), "C": (60.0, 116.0)},
}


@dataclass(frozen=True)
class Case:
    """Values of one event, and the line and cook that they stand in."""

    data: Mapping[str, Any]
    pieces: tuple[str, ...]
    parts: Parts
    context: PaperContext


def _temperature(thing: str, degrees: Degrees, context: PaperContext) -> float:
    usual = "F" if context.units == "us" else "C"
    unit = degrees.unit or usual
    low, high = _BELIEVED[thing][unit]
    if not degrees.unit and not low <= degrees.value <= high:
        raise InputError(
            f"{thing} {degrees.value:g} has no unit and is unusual in °{usual}",
            f"'{thing} {degrees.value:g} F' or '{thing} {degrees.value:g} C'",
        )
    value_c = units.celsius_of_fahrenheit(degrees.value) if unit == "F" else degrees.value
    low, high = _POSSIBLE[thing][unit]
    if not low <= degrees.value <= high:
        raise InputError(
            f"{thing} {degrees.value:g} °{unit} is hardly possible", f"{low:g} to {high:g} °{unit}"
        )
    return value_c


def _pit_temperature(case: Case) -> Mapping[str, Any]:
    return _with_temperature("pit", case)


def _core_temperature(case: Case) -> Mapping[str, Any]:
    return _with_temperature("core", case)


def _bath_temperature(case: Case) -> Mapping[str, Any]:
    return _with_temperature(str(case.data["bath"]), case)


def _with_temperature(thing: str, case: Case) -> Mapping[str, Any]:
    degrees = case.data.get("temperature")
    if not isinstance(degrees, Degrees):
        return case.data
    return {**case.data, "temperature": _temperature(thing, degrees, case.context)}


def _wrap(case: Case) -> Mapping[str, Any]:
    _not_a_temperature(case)
    if "kind" in case.data:
        return case.data
    planned = {case.context.wraps.get(piece) for piece in case.pieces or case.context.pieces}
    kind = planned.pop() if len(planned) == 1 else None
    if kind in {None, "none"}:
        raise InputError("wrapped in what", "wrapped foil, wrapped paper, boat or pan")
    return {**case.data, "kind": kind}


def _unwrapped(case: Case) -> Mapping[str, Any]:
    return {name: value for name, value in case.data.items() if name != "kind"}


def _moved(case: Case) -> Mapping[str, Any]:
    to = case.data.get("to")
    if isinstance(to, str) and len(to) == 1:
        if to not in case.context.pits:
            raise InputError(
                f"moved to {to}, which is no pit of this cook",
                f"pits {', '.join(case.context.pits)}",
            )
        return case.data
    there = [letter for letter, kind in case.context.pit_kinds.items() if kind == to]
    return {**case.data, "to": there[0]} if len(there) == 1 else case.data


def _not_a_temperature(case: Case) -> Mapping[str, Any]:
    """``203 tender`` is a time or a core; three bare digits can be both."""
    stamp = case.parts.stamp
    low, high = (140, 350) if case.context.units == "us" else (100, 180)
    # A second number, or a check without a probe, leaves only the time.
    if re.search(r"\d", case.parts.words) or case.data.get("check") in {"poke", "bend", "twist"}:
        return case.data
    if stamp and stamp.digits and len(stamp.said) == 3 and low <= int(stamp.said) <= high:
        raise InputError(
            f"{stamp.said} can be a time or a temperature",
            f"{stamp.said[0]}:{stamp.said[1:]} for the time, or 'TIME probe {stamp.said} …'",
        )
    return case.data


def _steady(case: Case) -> Mapping[str, Any]:
    _not_a_temperature(case)
    return _pit_temperature(case)


def _meat_on(case: Case) -> Mapping[str, Any]:
    if re.search(r"\bagain\b", case.parts.words, re.IGNORECASE):
        raise InputError(
            "on again", "moved to a pit's letter, or a note; meat on starts a piece's clock once"
        )
    return case.data


#: What is checked beside each kind of event.
CHECKS: Mapping[str, Callable[[Case], Mapping[str, Any]]] = {
    "pit_set": _pit_temperature,
    "pit_reading": _pit_temperature,
    "pit_steady": _steady,
    "core_reading": _core_temperature,
    "cooling_reading": _core_temperature,
    "reheated": _core_temperature,
    "probe_check": _bath_temperature,
    "wrapped": _wrap,
    "unwrapped": _unwrapped,
    "moved": _moved,
    "feel_check": _not_a_temperature,
    "off": _not_a_temperature,
    "rest_start": _not_a_temperature,
    "meat_on": _meat_on,
}
