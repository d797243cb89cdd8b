"""Fields of a panel: a written label, a box to type in, and a slider where one helps.

A field shows text as the cook typed it and hands text on; numbers are only a slider's.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any

import ipywidgets as ui

from stallwise.ground import assets, units
from stallwise.ground.errors import InputError, StallwiseError

__all__ = [
    "Changed",
    "ChoiceField",
    "DayField",
    "Field",
    "QuantityField",
    "TextField",
    "bare_to_unit",
]

#: Told ``(name, text)``; None means "as in the table".
Changed = Callable[[str, str | None], None]

#: A day before an hour stays when the hour is moved.
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}[ T]")
_BARE = re.compile(r"-?\d+([.,]\d+)?")


@dataclass(frozen=True)
class Ruler:
    """How one kind of quantity is read off a slider: its unit, ends and step."""

    unit: str
    low: float
    high: float
    step: float

    def text(self, position: float, kind: str) -> str:
        """Write a position as a cook would."""
        return _WRITE[kind](position, self.unit)

    def position(self, value: float, kind: str) -> float:
        """Position of an SI value, on a step: a page moves a slider that stands between two."""
        return self.snapped(value if kind == "clock" else _READ[kind, self.unit](value))

    def snapped(self, position: float) -> float:
        """Nearest step within the ends."""
        steps = round((position - self.low) / self.step)
        return min(max(round(self.low + steps * self.step, 6), self.low), self.high)


_READ: dict[tuple[str, str], Callable[[float], float]] = {
    ("temperature", "F"): units.fahrenheit_of_celsius,
    ("temperature", "C"): lambda value: value,
    ("mass", "lb"): lambda value: value / units.parse("mass", "1 lb"),
    ("mass", "kg"): lambda value: value,
    ("duration", "h"): lambda value: value / 3600,
    ("fraction", "%"): lambda value: value * 100,
}

_WRITE: dict[str, Callable[[float, str], str]] = {
    "temperature": lambda value, unit: f"{value:g} {unit}",
    "mass": lambda value, unit: units.format_mass(_mass(value, unit), _SYSTEMS[unit]),
    "duration": lambda value, _unit: units.format_duration(value * 3600),
    "clock": lambda value, _unit: f"{int(value):02d}:{round(value % 1 * 60):02d}",
    "fraction": lambda value, unit: f"{value:g} {unit}",
}


def ruler(kind: str, system: str, usual: float | None = None, *, span: str = "") -> Ruler:
    """Ruler of a kind in a system of units; a weight's ends go by the cut's usual one [kg].

    Parameters
    ----------
    kind : str
        Kind of quantity.
    system : {"us", "metric"}
    usual : float, optional
        The cut's usual weight [kg].
    span : str, optional
        Row of ``data/panel_spans.csv`` with the ends, where they are not those of the kind.
    """
    low, high, step, unit = _spans()[f"{span or kind}.{system}"]
    if kind == "mass":
        middle = _READ[kind, unit](usual or 1.0)
        low, high = max(step, _stepped(low * middle, step)), _stepped(high * middle, step)
    return Ruler(unit, low, high, step)


def bare_to_unit(text: str, unit: str) -> str:
    """Give a bare number the unit written beside its box; anything else stays as typed."""
    text = text.strip()
    return f"{text} {unit}" if _BARE.fullmatch(text) else text


class Field:
    """What every field has: a name, a box, and a mark while it holds what was refused.

    Parameters
    ----------
    name : str
        Parameter, also the CSS class ``sw-name``.
    box : widget
        What is typed into or chosen from; its value is told.
    changed : callable
        Told ``(name, text)``.
    *more : widget
        Shown below the box.
    """

    def __init__(self, name: str, box: Any, changed: Changed, *more: Any) -> None:
        self.name = name
        self.box = box
        self.widget = ui.VBox([box, *more])
        for part in ("sw-field", f"sw-{name.replace('_', '-')}"):
            self.widget.add_class(part)
        self._changed = changed
        self._showing = False
        box.observe(self._told, "value")

    @property
    def label(self) -> str:
        """Words over the box, without the unit."""
        return str(self.box.description).partition(",")[0]

    def mark(self, *, refused: bool) -> None:
        """Say at the field itself that what stands in it was not taken."""
        (self.widget.add_class if refused else self.widget.remove_class)("sw-refused")

    def read(self, text: str | None) -> str | None:
        """Text to take, of what was typed."""
        return text

    @contextmanager
    def _quiet(self) -> Iterator[None]:
        """Show something that nobody typed."""
        self._showing = True
        try:
            yield
        finally:
            self._showing = False

    def _told(self, change: Mapping[str, Any]) -> None:
        if not self._showing:
            self._changed(self.name, str(change["new"]).strip() or None)


class TextField(Field):
    """A box alone, for what is rarely changed or has no ends."""

    def __init__(self, name: str, label: str, changed: Changed) -> None:
        super().__init__(name, ui.Text(description=label, continuous_update=False), changed)

    def show(self, text: str | None, hint: str = "", *, refused: str | None = None) -> None:
        """Show what is set, or else what was typed and refused."""
        with self._quiet():
            self.box.placeholder = hint
            self.box.value = refused or text or ""
        self.mark(refused=bool(refused))


class QuantityField(TextField):
    """A quantity with its unit: a box for text and a slider beside.

    Parameters
    ----------
    name : str
        Parameter.
    label : str
        What it is, in a cook's words.
    kind : str
        ``temperature``, ``mass``, ``duration`` or ``clock``.
    system : {"us", "metric"}
        Units that a bare number is taken in, and that the slider goes by.
    changed : callable
        Told ``(name, text)``.
    span : str, optional
        Ends of the slider, where they are not those of the kind.
    """

    def __init__(
        self, name: str, label: str, kind: str, system: str, changed: Changed, *, span: str = ""
    ) -> None:
        scale = ruler(kind, system, span=span)
        unit = f", {_UNIT_WORDS.get(scale.unit, scale.unit)}" if kind in _NAMED else ""
        super().__init__(name, label + unit, changed)
        self._kind = kind
        self._system = system
        self._span = span
        self._scale = scale
        self.slider = ui.FloatSlider(
            description=label, min=scale.low, max=scale.high, step=scale.step, readout=False
        )
        # Where it stands while nothing is said: with ends of its own in their middle, which claims least.
        self._rest = scale.snapped((scale.low + scale.high) / 2) if span else scale.low
        self.slider.value = self._rest
        self.slider.observe(self._moved, "value")
        self.widget.children = (self.box, self.slider)

    def show(
        self,
        text: str | None,
        hint: str = "",
        *,
        value: float | None = None,
        refused: str | None = None,
    ) -> None:
        """Show what is set; unset, the value in effect stands on the slider and as a hint.

        Parameters
        ----------
        text : str or None
            As typed; None when the table's value is in effect.
        hint : str
            Shown in the empty box.
        value : float, optional
            SI value in effect; a clock's is hours of the day.
        refused : str, optional
            Typed and not taken: it stays in the box to be mended.
        """
        super().show(text, hint, refused=refused)
        with self._quiet():
            if value is not None:
                self._point(value)
            elif self._span:
                self.slider.value = self._rest

    def read(self, text: str | None) -> str | None:
        """Give a bare number its unit, or ask which one is meant where it would be odd.

        Raises
        ------
        InputError
            A pit of 250 in a cookbook in °C.
        """
        if text is None or self._kind not in _NAMED:
            return text
        if self._kind == "temperature" and _BARE.fullmatch(text):
            _refuse_other_unit(text, self._system, self._span)
        return bare_to_unit(text, self._scale.unit)

    def rescale(self, usual: float) -> None:
        """Change the ends of a weight's slider by the cut's usual one [kg]."""
        scale = ruler(self._kind, self._system, usual, span=self._span)
        if scale == self._scale:
            return
        with self._quiet():
            self._scale = scale
            self.slider.max = max(scale.high, self.slider.min)
            self.slider.min, self.slider.max, self.slider.step = scale.low, scale.high, scale.step

    def _point(self, value: float) -> None:
        position = self._scale.position(value, self._kind)
        # A slider that is within half a step already is left alone: the hand is on it.
        if abs(self.slider.value - position) > self._scale.step / 2:
            self.slider.value = position

    def _moved(self, change: dict[str, float]) -> None:
        # A page writes back 2.7499999 for the 2.75 that it was told: that is no move.
        moved = abs(change["new"] - change["old"]) > self._scale.step / 2
        if moved and not self._showing:
            day = _DAY.match(self.box.value) if self._kind == "clock" else None
            text = self._scale.text(self._scale.snapped(change["new"]), self._kind)
            text = f"{day[0]}{text}" if day else text
            with self._quiet():
                self.box.value = text
            self._changed(self.name, text)


class DayField(Field):
    """A day of the calendar, in the page's own box for one.

    An empty box is no day and no old one: it stays empty, for somebody may be typing into it.
    """

    def __init__(self, name: str, label: str, changed: Changed) -> None:
        super().__init__(name, ui.DatePicker(description=label), changed)

    def show(self, text: str | None, *, refused: bool = False) -> None:
        """Show the day in effect, unless the box waits for one."""
        with self._quiet():
            if not refused:
                self.box.value = dt.date.fromisoformat(text) if text else None
        self.mark(refused=refused)

    def read(self, text: str | None) -> str | None:
        """Take a day, or say what to do about an empty box.

        Raises
        ------
        InputError
            The box was cleared.
        """
        if text is None:
            raise InputError(
                "the day is empty", "year, month and day",
                "Type or choose one; until then the cook stays on the day it has",
            )  # fmt: skip
        return text

    def _told(self, change: Mapping[str, Any]) -> None:
        if not self._showing:
            new = change["new"]
            self._changed(self.name, None if new is None else new.isoformat())


class ChoiceField(Field):
    """One of a few words: a row of buttons, or a list where there are many."""

    def __init__(
        self,
        name: str,
        label: str,
        options: Sequence[tuple[str, str]],
        changed: Changed,
        *,
        buttons: bool = False,
    ) -> None:
        maker = ui.ToggleButtons if buttons else ui.Dropdown
        super().__init__(name, maker(description=label, options=list(options), value=None), changed)

    def show(self, value: str | None, options: Sequence[tuple[str, str]] | None = None) -> None:
        """Show the choice in effect, among other options when these have changed."""
        with self._quiet():
            if options is not None and list(options) != list(self.box.options):
                self.box.options = list(options)
            known = {key for _, key in self.box.options}
            self.box.value = value if value in known else None

    def _told(self, change: Mapping[str, Any]) -> None:
        if change["new"] is not None:
            super()._told(change)


#: Kinds whose unit is named in the label, and may be left out when typing.
_NAMED = frozenset({"temperature", "mass", "fraction"})
_SYSTEMS: dict[str, str] = {"lb": "us", "kg": "metric"}
_UNIT_WORDS = {"F": "°F", "C": "°C"}


def _refuse_other_unit(text: str, system: str, span: str) -> None:
    """Ask about a bare number that is odd in one unit and usual in the other."""
    number = float(text.replace(",", "."))
    here, there = (
        ruler("temperature", each, span=span)
        for each in (system, "us" if system == "metric" else "metric")
    )
    if not here.low <= number <= here.high and there.low <= number <= there.high:
        what = {"": "pit", "ambient": "day"}[span]
        raise InputError(
            f"{text} without a unit; this cookbook is in {_UNIT_WORDS[here.unit]}",
            f'"{text} {there.unit}" or "{text} {here.unit}"',
            f"In {_UNIT_WORDS[there.unit]} it is a usual {what}: type which one is meant",
        )


def _mass(value: float, unit: str) -> float:
    return units.parse("mass", f"{value} {unit}")


def _stepped(value: float, step: float) -> float:
    return round(value / step) * step


@cache
def _spans() -> dict[str, tuple[float, float, float, str]]:
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "panel_spans.csv")))
    return {
        row["key"]: (float(row["low"]), float(row["high"]), float(row["step"]), row["unit"])
        for row in rows
    }


def si_of(kind: str, text: str | None) -> float | None:
    """SI value of a text, hours of the day of a clock; None when it says none."""
    if not text:
        return None
    if kind == "clock":
        match = re.fullmatch(r"(?:\d{4}-\d{2}-\d{2}[ T])?(\d{1,2}):(\d{2})", text.strip())
        return int(match[1]) + int(match[2]) / 60 if match else None
    try:
        return float(units.parse(kind, text))
    except StallwiseError:
        return None
