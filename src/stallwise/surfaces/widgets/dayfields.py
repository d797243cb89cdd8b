"""Fields of the day: when to eat, how sure it must be, how the pit is held."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import ipywidgets as ui

from stallwise.joins.parameters import PARAMETERS
from stallwise.surfaces.widgets.effect import InEffect
from stallwise.surfaces.widgets.fields import (
    Changed,
    ChoiceField,
    DayField,
    Field,
    QuantityField,
)

__all__ = ["LABELS", "DayFields"]

#: Sliders, in the order a cook thinks of them, with their labels.
LABELS: Mapping[str, str] = {
    "serve": "Eat at",
    "pit_start": "Pit held at",
    "pit_climb_to": "Pit later, climbing to",
    "pit_climb_from": "Climb begins, after meat on",
    "pit_climb_over": "Climb takes",
}
#: What an empty box says that has no usual value.
_UNSET = {"serve": "no time yet"}
_CLIMB = ("pit_climb_to", "pit_climb_from", "pit_climb_over")


class DayFields:
    """What a cook changes of the day and the pit, the few things that come first.

    Parameters
    ----------
    system : {"us", "metric"}
    changed : callable
        Told ``(name, text)``.
    climbs : callable
        Told whether the pit is to climb.
    """

    def __init__(self, system: str, changed: Changed, climbs: Callable[[bool], None]) -> None:
        self._system = system
        self.sliders = {
            name: QuantityField(name, label, PARAMETERS[name].kind, system, changed)
            for name, label in LABELS.items()
        }
        self.day = DayField("date", "Day of the cook", changed)
        self.odds = ChoiceField(
            "odds", "How sure", [(word, word) for word in PARAMETERS["odds"].choices], changed
        )
        self.climbs = ui.Checkbox(description="Pit climbs later", indent=False)
        self.climbs.add_class("sw-climbs")
        self.climbs.observe(lambda change: climbs(change["new"]), "value")
        self.climb = ui.VBox([self.sliders[name].widget for name in _CLIMB])
        self.all: dict[str, Field] = {"date": self.day, **self.sliders, "odds": self.odds}
        self.widget = ui.VBox(
            [
                self.day.widget,
                self.sliders["serve"].widget,
                self.odds.widget,
                self.sliders["pit_start"].widget,
                self.climbs,
                self.climb,
            ]
        )

    def show(self, now: InEffect, refused: Mapping[str, str]) -> None:
        """Show what is in effect, or else what was typed and not taken."""
        for name, field in self.sliders.items():
            text, hint, value = now.quantity(name, self._system)
            field.show(text, hint or _UNSET.get(name, ""), value=value, refused=refused.get(name))
        self.day.show(now.typed("date"), refused="date" in refused)
        self.odds.show(now.odds)
        self.climbs.value = now.climbs
        self.climb.layout.display = None if now.climbs else "none"
