"""Published rules of time and temperature, row by row as they are printed: ``data/limits_*.csv``.

A temperature between two rows counts as the lower row, and a time is never shortened. Readings
are kept to a thousandth of a degree, and are compared to a limit on that grid: a probe that said
135 °F has reached 135 °F, whatever a conversion left behind the comma.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TypeVar

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.scales import FOOT_M, INCH_M, POUND_KG
from stallwise.ground.units import celsius_of_fahrenheit
from stallwise.tables.rows import rows

__all__ = [
    "GRID",
    "Clock",
    "Figure",
    "Hold",
    "Minimum",
    "Rule",
    "allergens",
    "at_least",
    "clock",
    "clocks",
    "figure",
    "figures",
    "hold",
    "hold_s",
    "hold_tables",
    "minima",
    "minimum",
    "rule",
    "rules",
    "si",
]

_T = TypeVar("_T")

#: Steps of a kelvin to which readings are kept in a cook's folder.
GRID = 1000.0

_SCALES: Mapping[str, Callable[[float], float]] = {
    "°F": celsius_of_fahrenheit,
    "°C": float,
    "°F difference": lambda value: value * 5.0 / 9.0,
    "°C difference": float,
    "h": lambda value: value * 3600.0,
    "d": lambda value: value * 86_400.0,
    "s": float,
    "lb": lambda value: value * POUND_KG,
    "ft": lambda value: value * FOOT_M,
    "in": lambda value: value * INCH_M,
}


@dataclass(frozen=True)
class Rule:
    """A rule with its place.

    Attributes
    ----------
    key : str
        Name of the row in ``data/limits_rules.csv``.
    agency, title, year, section : str
        Who made it and where it stands.
    says : str
        What it says, in our words.
    applies : str
        Whom it was written for: ``home``, ``food service``, ``inspected plants``, …
    copy : str
        ``text`` where it was read itself, ``secondary copy``, or empty.
    source, grade : str
        Citation key with the place, and the kind of knowledge.
    """

    key: str
    agency: str
    title: str
    year: str
    section: str
    says: str
    applies: str
    copy: str
    source: str
    grade: str

    @property
    def words(self) -> str:
        """Agency, title, year and section."""
        name = " ".join(filter(None, [self.agency, self.title]))
        year = "" if self.year in self.section else self.year
        return ", ".join(filter(None, [name, self.section, year]))

    @property
    def grade_words(self) -> str:
        """The grade; a secondary copy is said."""
        return f"{self.grade}, read in a {self.copy}" if "copy" in self.copy else self.grade


@dataclass(frozen=True)
class Minimum:
    """Least temperature inside one kind of food [°C], how long it is held and rested [s]."""

    key: str
    rule: str
    food: str
    temperature_c: float
    hold_s: float
    rest_s: float
    note: str


@dataclass(frozen=True)
class Hold:
    """One row of a table: held at `temperature_c` [°C] or more for `hold_s` [s]; 0 is at once."""

    key: str
    rule: str
    table: str
    temperature_c: float
    hold_s: float
    note: str


@dataclass(frozen=True)
class Clock:
    """Longest time [s] between two temperatures [°C]; None where the rule names none."""

    key: str
    rule: str
    from_c: float | None
    to_c: float | None
    limit_s: float
    note: str


@dataclass(frozen=True)
class Figure:
    """A single number of a rule, as printed and in SI."""

    key: str
    rule: str
    value: float
    unit: str
    note: str

    @property
    def si(self) -> float:
        """Value in °C, K, s, kg, m; shares and ppm as printed."""
        return float(_SCALES.get(self.unit, float)(self.value))


def at_least(temperature_c: float, limit_c: float) -> bool:
    """Whether a temperature has reached a limit, on the grid on which readings are kept.

    Parameters
    ----------
    temperature_c, limit_c : float
        Temperatures [°C].

    Examples
    --------
    135 °F is kept as 57.222 °C, a hair below the fraction:

    >>> at_least(57.222, (135 - 32) / 1.8)
    True
    """
    return round(temperature_c * GRID) >= round(limit_c * GRID)


@cache
def rules() -> Mapping[str, Rule]:
    """Read every rule, by key."""
    return MappingProxyType({key: Rule(**row) for key, row in rows("limits_rules.csv").items()})


def rule(key: str) -> Rule:
    """Look one rule up."""
    return _found("rule", key, rules())


@cache
def minima() -> Mapping[str, Minimum]:
    """Read least temperatures by kind of food."""
    return MappingProxyType(
        {
            row["key"]: Minimum(
                row["key"],
                row["rule"],
                row["food"],
                si(row["value"], row["unit"]),
                float(row["hold_s"]),
                float(row["rest_s"]),
                row["note"],
            )
            for row in rows("limits_minimum.csv").values()
        }
    )


def minimum(food: str) -> Minimum:
    """Look a least temperature up by kind of food.

    Parameters
    ----------
    food : str
        Key of ``data/limits_minimum.csv``: ``whole``, ``ground``, ``poultry``, ``stuffing``, …

    References
    ----------
    [fsis-consumer-chart]_
    """
    return _found("kind of food", food, minima())


@cache
def hold_tables() -> Mapping[str, tuple[Hold, ...]]:
    """Read every table of holds, the coldest row first."""
    found: dict[str, list[Hold]] = {}
    for row in rows("limits_hold.csv").values():
        temperature_c = si(row["value"], row["unit"])
        one = Hold(
            row["key"],
            row["rule"],
            row["table"],
            temperature_c,
            float(row["hold_s"]),
            row["note"],
        )
        found.setdefault(one.table, []).append(one)
    return MappingProxyType(
        {
            name: tuple(sorted(some, key=lambda one: one.temperature_c))
            for name, some in found.items()
        }
    )


def hold(table: str, temperature_c: float) -> Hold | None:
    """Row of a table that a temperature counts as.

    Parameters
    ----------
    table : str
        ``food-code-roast``, ``appendix-a-6.5``, ``appendix-a-7``, ``poultry-12``, ``chicken-1``,
        ``turkey-1``, ``food-code-intact``, ``food-code-worked``, ``food-code-poultry``, …
    temperature_c : float
        Temperature [°C]; one between two rows counts as the colder.

    Returns
    -------
    Hold or None
        None below the coldest row: the table says nothing there.
    """
    found = _found("table of holds", table, hold_tables())
    return next(
        (one for one in reversed(found) if at_least(temperature_c, one.temperature_c)), None
    )


def hold_s(table: str, temperature_c: float) -> float | None:
    """How long a table asks a temperature to be held [s]; None below its coldest row.

    Parameters
    ----------
    table, temperature_c
        As for `hold`.

    References
    ----------
    [fda-food-code]_, [fsis-appendix-a]_
    """
    row = hold(table, temperature_c)
    return None if row is None else row.hold_s


@cache
def clocks() -> Mapping[str, Clock]:
    """Read longest times between two temperatures, by key."""

    def celsius(text: str) -> float | None:
        return celsius_of_fahrenheit(float(text)) if text else None

    return MappingProxyType(
        {
            row["key"]: Clock(
                row["key"],
                row["rule"],
                celsius(row["from_f"]),
                celsius(row["to_f"]),
                si(row["value"], row["unit"]),
                row["note"],
            )
            for row in rows("limits_clock.csv").values()
        }
    )


def clock(key: str) -> Clock:
    """Look a longest time up: ``come-up``, ``two-hours``, ``cool-first`` and so on."""
    return _found("clock", key, clocks())


@cache
def figures() -> Mapping[str, Figure]:
    """Read single figures, by key."""
    return MappingProxyType(
        {
            row["key"]: Figure(
                row["key"], row["rule"], float(row["value"]), row["unit"], row["note"]
            )
            for row in rows("limits_figures.csv").values()
        }
    )


def figure(key: str) -> Figure:
    """Look one figure up: ``probe-food-f``, ``hot-hold``, ``clearance`` and so on."""
    return _found("figure", key, figures())


@cache
def allergens(scheme: str) -> tuple[str, ...]:
    """Allergens of a scheme, in its order.

    Parameters
    ----------
    scheme : {"us", "eu"}
        Nine of the United States, or fourteen of the European Union.
    """
    found = tuple(
        row["item"]
        for row in rows("limits_allergens.csv").values()
        if row["rule"] == f"allergens_{scheme}"
    )
    if not found:
        raise NotFoundError("list of allergens", scheme, ("us", "eu"))
    return found


def si(value: str, unit: str) -> float:
    """Read a printed value in SI: °C, K, s, kg, m."""
    if unit not in _SCALES:
        raise InputError(f"unit {unit!r} of a limit", ", ".join(_SCALES))
    return float(_SCALES[unit](float(value)))


def _found(what: str, key: str, known: Mapping[str, _T]) -> _T:
    if key not in known:
        raise NotFoundError(what, key, known)
    return known[key]
