"""What a re-run changed, told as sentences and as a table, the most asked-for first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from stallwise.ground import units
from stallwise.joins import words
from stallwise.surfaces.rerun.compare import Difference, moment
from stallwise.surfaces.rerun.wording import rank, unit_of

__all__ = ["in_words", "told"]


def told(rows: Sequence[Difference]) -> list[Difference]:
    """Differences worth a line, what a cook asks first in front."""
    ranked = [(place, row) for row in rows if (place := rank(row.path)) is not None]
    return [row for _, row in sorted(ranked, key=lambda pair: pair[0])]


def in_words(row: Difference, system: str = "us") -> str:
    """Write one difference as ``A tender middle: 14:15 → 13:30, 45 min earlier``.

    Parameters
    ----------
    row : Difference
        What moved.
    system : {"us", "metric"}
        For temperatures and weights.
    """
    old, new, gap = cells(row, system)
    return f"{row.what}: {old} → {new}" + (f", {gap}" if gap else "")


def cells(row: Difference, system: str) -> tuple[str, str, str]:
    """Before, now and difference of one row as text."""
    shown = _SHOWN.get(unit_of(row.path), _plain)
    old, new = (_value(value, shown, system) for value in (row.old, row.new))
    if row.difference is None:
        return old, new, ""
    gap = row.difference
    if moment(row.new):
        return old, new, f"{_length(abs(gap))} {'later' if gap > 0 else 'earlier'}"
    if unit_of(row.path) == "h":
        return old, new, f"{_length(abs(gap))} {'more' if gap > 0 else 'less'}"
    return old, new, _SIGNED.get(unit_of(row.path), _signed)(gap, system)


def _value(value: Any, shown: Callable[[float, str], str], system: str) -> str:
    if value is None:
        return "none"
    when = moment(value)
    if when:
        return f"{when:%H:%M}"
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return shown(float(value), system) if number else str(value)


def _length(value_h: float) -> str:
    """Length of a move; one under a minute is told as such."""
    return words.hours(value_h, minutes=1) if value_h >= 1 / 60 else f"{value_h * 3600:.0f} s"


def _plain(value: float, _system: str) -> str:
    return f"{value:.4g}"


def _signed(value: float, _system: str) -> str:
    return f"{value:+.4g}"


_SHOWN: dict[str, Callable[[float, str], str]] = {
    "h": lambda value, _: words.hours(value, minutes=1),
    "c": words.temperature,
    "kg": words.mass,
    "g": lambda value, _: f"{value:.4g} g",
    "share": lambda value, _: f"{value * 100:.3g} %",
}

_SIGNED: dict[str, Callable[[float, str], str]] = {
    "c": lambda value, system: (
        ("+" if value > 0 else "") + units.format_temperature_difference(value, system)
    ),
    "kg": lambda value, system: ("+" if value > 0 else "") + units.format_mass(value, system),
    "g": lambda value, _: f"{value:+.3g} g",
    "share": lambda value, _: f"{value * 100:+.3g} points",
}
