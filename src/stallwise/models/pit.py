"""The pit of a piece as the models see it: its number over time, where it is read, where meat lies."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.ranges import Floats, Range

__all__ = [
    "NUMBER_PLACES",
    "PIT_KINDS",
    "PIT_RANGE",
    "PLACE_TESTS",
    "OtherNumber",
    "PitChange",
    "PitCurve",
    "PitPlace",
    "choose",
    "place_owner",
]

PIT_KINDS = ("offset", "closed", "water pan", "fan", "oven", "box")
NUMBER_PLACES = ("grate", "lid", "oven", "guess")
PLACE_TESTS = ("thermometer", "toast", "unknown")

PIT_RANGE = Range("pit temperature", -40.0, 400.0, "°C", "a cooker")
_APART = Range("difference of a place in a pit", -150.0, 150.0, "K", "one pit")


@dataclass(frozen=True)
class PitCurve:
    """Pit temperature over time, straight lines between points, ends held.

    Parameters
    ----------
    time_s : tuple of float
        Times [s], never falling; two equal ones are a jump.
    temperature_c : tuple of float
        Temperatures as the cook's number reads them [°C].

    Raises
    ------
    InputError
        If there is no point, the numbers of times and temperatures differ, or time runs backwards.
    OutOfRangeError
        If a temperature is impossible.
    """

    time_s: tuple[float, ...]
    temperature_c: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.time_s or len(self.time_s) != len(self.temperature_c):
            raise InputError(
                f"{len(self.time_s)} times and {len(self.temperature_c)} pit temperatures",
                "as many of the one as of the other, at least one",
            )
        if any(b < a for a, b in pairwise(self.time_s)):
            raise InputError("pit times that run backwards", "rising times")
        PIT_RANGE.require(np.asarray(self.temperature_c))

    @classmethod
    def steady(cls, temperature_c: float) -> PitCurve:
        """Pit that holds one temperature."""
        return cls((0.0,), (float(temperature_c),))

    def at(self, time_s: Floats, *, before: bool = False) -> Floats:
        """Temperature [°C]; at a jump the later one, or the earlier with `before`."""
        times = np.asarray(self.time_s)
        values = np.asarray(self.temperature_c)
        wanted = np.asarray(time_s, dtype=np.float64)
        right = np.searchsorted(times, wanted, side="left" if before else "right")
        high = np.clip(right, 0, len(times) - 1)
        low = np.clip(right - 1, 0, len(times) - 1)
        gap = times[high] - times[low]
        part = np.where(gap > 0.0, (wanted - times[low]) / np.where(gap > 0.0, gap, 1.0), 0.0)
        found: Floats = values[low] + np.clip(part, 0.0, 1.0) * (values[high] - values[low])
        return found

    def integral(self, time_s: Floats) -> Floats:
        """Integral from the first point [K s], negative times before it."""
        times = np.asarray(self.time_s)
        values = np.asarray(self.temperature_c)
        steps = np.diff(times) * (values[1:] + values[:-1]) / 2.0
        sums = np.concatenate([[0.0], np.cumsum(steps)])
        wanted = np.asarray(time_s, dtype=np.float64)
        at = np.clip(np.searchsorted(times, wanted, side="right") - 1, 0, len(times) - 1)
        rest: Floats = (wanted - times[at]) * (values[at] + self.at(wanted, before=True)) / 2.0
        start: Floats = (wanted - times[0]) * values[0]
        return np.where(wanted < times[0], start, sums[at] + rest)


@dataclass(frozen=True)
class PitPlace:
    """Where a piece lies in its pit, away from where the pit's number is read.

    Attributes
    ----------
    name : str
        The place; names what is learned of it.
    known : {"thermometer", "toast", "unknown"}
        How its difference is known; names its doubt, the row ``pit.place.<known>``.
    offset_k : float
        Air here less the air where the number is read [K].
    of_number : bool
        `offset_k` is less the number itself, so that the number's own offset is in it.
    """

    name: str
    known: str = "unknown"
    offset_k: float = 0.0
    of_number: bool = False

    def __post_init__(self) -> None:
        choose("test of a place", self.known, PLACE_TESTS)
        _APART.require(self.offset_k)


@dataclass(frozen=True)
class PitChange:
    """The piece goes to another pit or place, or its number is read elsewhere, from `time_s` on."""

    time_s: float
    pit_name: str
    pit_kind: str = "oven"
    number_place: str = "oven"
    place: PitPlace | None = None

    def __post_init__(self) -> None:
        choose("kind of pit", self.pit_kind, PIT_KINDS)
        choose("place of a pit number", self.number_place, NUMBER_PLACES)

    @property
    def place_owner(self) -> str:
        """Name under which the place is drawn and learned; empty for none."""
        return place_owner(self.pit_name, self.place.name) if self.place else ""


@dataclass(frozen=True)
class OtherNumber:
    """What a second number of a pit has told, read at the same times: one draw, measured.

    Attributes
    ----------
    owner : str
        The pit, or a place in it.
    key : str
        Name of the draw: ``pit.gap.<place>`` or ``pit.place.<test>``.
    value_k : float
        Its value as this cook has it [K].
    """

    owner: str
    key: str
    value_k: float

    def __post_init__(self) -> None:
        _APART.require(self.value_k)


def place_owner(pit_name: str, place: str) -> str:
    """Name under which a place is drawn and learned; no pit's, for these have no slash."""
    return f"{pit_name} / {place}"


def choose(what: str, name: str, names: tuple[str, ...]) -> None:
    """Refuse a name that is none of `names`."""
    if name not in names:
        raise NotFoundError(what, name, names)
