"""Fields of a panel: a written label, a box to type in, and a slider where one helps.

A field shows text as the cook typed it and hands text on; numbers are only a slider's.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import ipywidgets as ui

from stallwise.ground import assets, units
from stallwise.ground.errors import StallwiseError

__all__ = ["Changed", "ChoiceField", "CountField", "QuantityField", "TextField", "bare_to_unit"]

#: Told ``(name, text)``; None means "as in the table".
Changed = Callable[[str, str | None], None]


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
}

_WRITE: dict[str, Callable[[float, str], str]] = {
    "temperature": lambda value, unit: f"{value:g} {unit}",
    "mass": lambda value, unit: units.format_mass(_mass(value, unit), _SYSTEMS[unit]),
    "duration": lambda value, _unit: units.format_duration(value * 3600),
    "clock": lambda value, _unit: f"{int(value):02d}:{round(value % 1 * 60):02d}",
}


def ruler(kind: str, system: str, usual: float | None = None) -> Ruler:
    """Ruler of a kind in a system of units; a weight's ends go by the cut's usual one [kg]."""
    low, high, step, unit = _spans()[f"{kind}.{system}"]
    if kind == "mass":
        middle = _READ[kind, unit](usual or 1.0)
        low, high = max(step, _stepped(low * middle, step)), _stepped(high * middle, step)
    return Ruler(unit, low, high, step)


def bare_to_unit(text: str, unit: str) -> str:
    """Give a bare number the unit written beside its box; anything else stays as typed."""
    text = text.strip()
    return f"{text} {unit}" if re.fullmatch(r"\d+([.,]\d+)?", text) else text


class QuantityField:
    """A quantity with its unit: a box for text and a slider beside.

    Parameters
    ----------
    name : str
        Parameter, also the CSS class ``sw-name``.
    label : str
        What it is, in a cook's words.
    kind : str
        ``temperature``, ``mass``, ``duration`` or ``clock``.
    scale : Ruler
        Ends, step and unit.
    changed : callable
        Told ``(name, text)``.
    """

    def __init__(self, name: str, label: str, kind: str, scale: Ruler, changed: Changed) -> None:
        self.name = name
        self._kind = kind
        self._scale = scale
        self._changed = changed
        self._showing = False
        unit = f", {_UNIT_WORDS.get(scale.unit, scale.unit)}" if kind in _NAMED else ""
        self.box = ui.Text(description=label + unit, continuous_update=False)
        self.slider = ui.FloatSlider(
            description=label, min=scale.low, max=scale.high, step=scale.step, readout=False
        )
        self.slider.value = scale.low
        self.widget = ui.VBox([self.box, self.slider])
        for part in ("sw-field", f"sw-{name.replace('_', '-')}"):
            self.widget.add_class(part)
        self.box.observe(self._typed, "value")
        self.slider.observe(self._moved, "value")

    def show(self, text: str | None, value: float | None = None, hint: str = "") -> None:
        """Show what is set; unset, the value in effect stands on the slider and as a hint.

        Parameters
        ----------
        text : str or None
            As typed; None when the table's value is in effect.
        value : float, optional
            SI value in effect; a clock's is hours of the day.
        hint : str
            Shown in the empty box.
        """
        self._showing = True
        try:
            self.box.placeholder = hint
            if self.box.value != (text or ""):
                self.box.value = text or ""
            if value is not None:
                self._point(value)
        finally:
            self._showing = False

    def rescale(self, scale: Ruler) -> None:
        """Change the ends, when another cut is chosen."""
        if scale == self._scale:
            return
        self._showing = True
        try:
            self._scale = scale
            self.slider.max = max(scale.high, self.slider.min)
            self.slider.min, self.slider.max, self.slider.step = scale.low, scale.high, scale.step
        finally:
            self._showing = False

    def _point(self, value: float) -> None:
        position = self._scale.position(value, self._kind)
        # A slider that is within half a step already is left alone: the hand is on it.
        if abs(self.slider.value - position) > self._scale.step / 2:
            self.slider.value = position

    def _typed(self, change: dict[str, str]) -> None:
        if not self._showing:
            text = (
                bare_to_unit(change["new"], self._scale.unit)
                if self._kind in _NAMED
                else change["new"].strip()
            )
            self._changed(self.name, text or None)

    def _moved(self, change: dict[str, float]) -> None:
        # A page writes back 2.7499999 for the 2.75 that it was told: that is no move.
        moved = abs(change["new"] - change["old"]) > self._scale.step / 2
        if moved and not self._showing:
            text = self._scale.text(self._scale.snapped(change["new"]), self._kind)
            self._showing = True
            try:
                self.box.value = text
            finally:
                self._showing = False
            self._changed(self.name, text)


class ChoiceField:
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
        self.name = name
        self._changed = changed
        self._showing = False
        maker = ui.ToggleButtons if buttons else ui.Dropdown
        self.box = maker(description=label, options=list(options), value=None)
        self.widget = ui.VBox([self.box])
        for part in ("sw-field", f"sw-{name.replace('_', '-')}"):
            self.widget.add_class(part)
        self.box.observe(self._chosen, "value")

    def show(self, value: str | None, options: Sequence[tuple[str, str]] | None = None) -> None:
        """Show the choice in effect, among other options when these have changed."""
        self._showing = True
        try:
            if options is not None and list(options) != list(self.box.options):
                self.box.options = list(options)
            known = {key for _, key in self.box.options}
            self.box.value = value if value in known else None
        finally:
            self._showing = False

    def _chosen(self, change: dict[str, str | None]) -> None:
        if not self._showing and change["new"] is not None:
            self._changed(self.name, change["new"])


class CountField:
    """A whole number of things."""

    def __init__(
        self, name: str, label: str, changed: Changed, *, low: int = 1, high: int = 200
    ) -> None:
        self.name = name
        self._changed = changed
        self._showing = False
        self.box = ui.BoundedIntText(description=label, min=low, max=high, value=low)
        self.widget = ui.VBox([self.box])
        for part in ("sw-field", f"sw-{name.replace('_', '-')}"):
            self.widget.add_class(part)
        self.box.observe(self._typed, "value")

    def show(self, value: int) -> None:
        """Show a number."""
        self._showing = True
        try:
            self.box.value = value
        finally:
            self._showing = False

    def _typed(self, change: dict[str, int]) -> None:
        if not self._showing:
            self._changed(self.name, str(change["new"]))


class TextField:
    """Anything that is rarely changed: a box alone."""

    def __init__(self, name: str, label: str, changed: Changed) -> None:
        self.name = name
        self._changed = changed
        self._showing = False
        self.box = ui.Text(description=label, continuous_update=False)
        self.widget = ui.VBox([self.box])
        for part in ("sw-field", f"sw-{name.replace('_', '-')}"):
            self.widget.add_class(part)
        self.box.observe(self._typed, "value")

    def show(self, text: str | None, hint: str = "") -> None:
        """Show what is set."""
        self._showing = True
        try:
            self.box.placeholder = hint
            self.box.value = text or ""
        finally:
            self._showing = False

    def _typed(self, change: dict[str, str]) -> None:
        if not self._showing:
            self._changed(self.name, change["new"].strip() or None)


#: Kinds whose unit is named in the label, and may be left out when typing.
_NAMED = frozenset({"temperature", "mass"})
_SYSTEMS: dict[str, str] = {"lb": "us", "kg": "metric"}
_UNIT_WORDS = {"F": "°F", "C": "°C"}


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
