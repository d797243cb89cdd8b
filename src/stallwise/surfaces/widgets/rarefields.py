"""Fields that are rarely changed, in groups that are made when they are first opened."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import ipywidgets as ui

from stallwise.joins.parameters import PARAMETERS
from stallwise.pictures.pieceview import piece_view
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.effect import InEffect
from stallwise.surfaces.widgets.fields import Changed, ChoiceField, QuantityField, TextField
from stallwise.surfaces.widgets.guard import Guard

__all__ = ["MEASURED", "RareFields"]

#: A measured thickness, which is the same parameter as the words of the front.
MEASURED = "thickness_measured"

_SIZE = "Size and trimming"
_WEATHER = "Weather"
_GROUPS: Mapping[str, tuple[str, ...]] = {
    _WEATHER: ("ambient", "wind", "humidity"),
    _SIZE: (
        MEASURED, "width", "length", "mass_bought", "mass_saved", "mass_bin",
    ),
    "Before it goes on": (
        "on", "place", "start_core", "frozen", "thaw", "pit_least", "pit_most",
    ),
    "Wrap by the core, spritz, looks, glaze": (
        "wrap_core", "unwrap", "spritz_from", "spritz_every", "look_from", "look_every", "turn",
        "glaze_at", "glaze_coats", "glaze_every",
    ),
    "Rest, hold and carving": (
        "rest", "reheat", "hold", "hold_at", "pans", "serve_core", "carve", "carry", "guests", "people",
    ),
    "Fire, night": (
        "pit_fuel", "pit_number_at", "pit_water_pan", "elevation", "asleep", "awake", "trouble",
    ),
}  # fmt: skip
_REST = "How it is worked out"
#: With a slider beside the box; the ends are rows of their own.
_SLIDERS = frozenset({"ambient", "humidity"})

#: What may be typed, where an empty box has no value of its own.
_SUCH: Mapping[str, Mapping[str, str]] = {
    "us": {
        "mass": "such as 6 lb 8 oz", "length": "such as 2 1/4 in", "temperature": "such as 165 F",
        "duration": "such as 45 min", "clock": "such as 9:30", "elevation": "such as 600 ft",
        "fraction": "such as 60 %", "thickness": "such as 2 1/4 in", "int": "a whole number",
    },
    "metric": {
        "mass": "such as 2.9 kg", "length": "such as 6 cm", "temperature": "such as 74 C",
        "duration": "such as 45 min", "clock": "such as 9:30", "elevation": "such as 180 m",
        "fraction": "such as 60 %", "thickness": "such as 6 cm", "int": "a whole number",
    },
}  # fmt: skip


class RareFields:
    """An accordion of what a cook seldom changes.

    Parameters
    ----------
    system : {"us", "metric"}
    changed : callable
        Told ``(name, text)``.
    opened : callable
        Told when a group was opened, to have it shown.
    guard : Guard
        Where words about a failure go.
    """

    def __init__(
        self, system: str, changed: Changed, opened: Callable[[], None], guard: Guard
    ) -> None:
        self._system = system
        self._changed = changed
        self._opened = opened
        self.all: dict[str, ChoiceField | TextField] = {}
        self.drawing = html.show(html.text(""), "sw-size-drawing")
        self._names = _grouped()
        self.widget = ui.Accordion([ui.Box() for _ in self._names], selected_index=None)
        for at, (title, box) in enumerate(zip(self._names, self.widget.children, strict=True)):
            self.widget.set_title(at, title)
            box.add_class("sw-rest")
            if title == _WEATHER:
                box.add_class("sw-weather")
        self.widget.add_class("sw-fold")
        self.widget.add_class("sw-rare")
        self.widget.observe(guard(self._open), "selected_index")

    def open(self, at: int) -> None:
        """Open one group."""
        self.widget.selected_index = at

    def show(
        self, now: InEffect, changes: Mapping[str, object], refused: Mapping[str, str]
    ) -> None:
        """Show what is in effect in the groups that were opened."""
        for name, field in self.all.items():
            parameter = _parameter(name)
            text = now.measured if name == MEASURED else now.folded(parameter, changes)
            if isinstance(field, ChoiceField):
                field.show(text)
            elif isinstance(field, QuantityField):
                text, hint, value = now.quantity(name, self._system)
                field.show(text, hint or "not said", value=value, refused=refused.get(name))
            else:
                hint = now.hint(parameter, self._system) or _such(name, self._system)
                field.show(text, hint, refused=refused.get(name))
        if MEASURED in self.all:
            html.put(self.drawing, html.picture(piece_view(now.cut_name, now.half_m, self._system)))

    def _open(self, change: Mapping[str, int | None]) -> None:
        at = change["new"]
        if at is None:
            return
        box = self.widget.children[at]
        title = list(self._names)[at]
        if not box.children:
            fields = {name: self._field(name) for name in self._names[title]}
            self.all |= fields
            drawn = (self.drawing,) if title == _SIZE else ()
            box.children = (*drawn, *(field.widget for field in fields.values()))
        self._opened()

    def _field(self, name: str) -> ChoiceField | TextField:
        if name == MEASURED:
            return TextField(name, "Thickness where it is thickest", self._changed)
        parameter = PARAMETERS[name]
        words = parameter.help.partition(":")[0]
        label = f"{words[:1].upper()}{words[1:]}"
        if name in _SLIDERS:
            return QuantityField(
                name, label, parameter.kind, self._system, self._changed, span=name
            )
        if parameter.choices:
            options = [(word, word) for word in parameter.choices]
            return ChoiceField(name, label, options, self._changed, buttons=name == "wind")
        return TextField(name, label, self._changed)


def _grouped() -> dict[str, tuple[str, ...]]:
    """Names in their groups; a parameter that is in none comes last."""
    named = {_parameter(name) for names in _GROUPS.values() for name in names}
    rest = (p.name for p in PARAMETERS.values() if not p.front and p.name not in named)
    return {**_GROUPS, _REST: tuple(rest)}


def _such(name: str, system: str) -> str:
    """Say what may be typed, as people of that system write it."""
    if name == "trouble":
        return "such as fire out"
    return _SUCH[system].get(PARAMETERS[_parameter(name)].kind, "")


def _parameter(name: str) -> str:
    return "thickness" if name == MEASURED else name
