"""Fields of one piece: its cut, weight, how it should eat and how it is wrapped."""

from __future__ import annotations

from collections.abc import Mapping

import ipywidgets as ui

from stallwise.joins.parameters import PARAMETERS
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.effect import (
    InEffect,
    cut_name,
    cut_names,
    find_one,
    finish_words,
)
from stallwise.surfaces.widgets.fields import (
    Changed,
    ChoiceField,
    Field,
    QuantityField,
    TextField,
)

__all__ = ["CutField", "PieceFields"]

_WRAPS = (("none", "none"), ("foil", "foil"), ("paper", "paper"), ("boat", "boat"), ("pan", "pan"))
_SIZES = (("thin", "thin"), ("usual", "usual"), ("thick", "thick"))
_WINDOW = {
    "wrap_from": "Wrap at the earliest, after meat on",
    "wrap_to": "Wrap at the latest, after meat on",
}

#: What stands in the box while it is empty; the names come down as a list under it.
_HINT = "type a word: rib, shoulder, turkey"


class CutField(Field):
    """A box to look a cut up by any of its words, with the names to choose from below it."""

    def __init__(self, name: str, label: str, desk: Desk, changed: Changed) -> None:
        box = ui.Combobox(
            description=label,
            options=cut_names(desk.record),
            placeholder=_HINT,
            continuous_update=False,
        )
        super().__init__(name, box, changed)
        self._desk = desk

    def read(self, text: str | None) -> str | None:
        """Key of the cut that was typed; None for an empty box, which says nothing."""
        return None if text is None else find_one(self._desk.record, text)

    def show(self, key: str | None = None, *, refused: str | None = None) -> None:
        """Show the cut in effect where the next one is typed."""
        with self._quiet():
            self.box.placeholder = cut_name(self._desk.record, key) if key else _HINT
            self.box.value = refused or ""
        self.mark(refused=bool(refused))


class PieceFields:
    """What a cook changes of one piece, the few things that come first.

    Parameters
    ----------
    desk : Desk
        The cook.
    changed : callable
        Told ``(name, text)``.
    """

    def __init__(self, desk: Desk, changed: Changed) -> None:
        self._desk = desk
        self._system = desk.record.book.units
        self.cut = CutField("cut", "Another cut, by any of its words", desk, changed)
        self.mass = QuantityField("mass", "Weight of one piece", "mass", self._system, changed)
        self.count = TextField("count", "How many alike", changed)
        self.thickness = ChoiceField("thickness", "Thickness", _SIZES, changed, buttons=True)
        self.finish = ChoiceField("finish", "How it should eat", (), changed)
        self.wrap = ChoiceField("wrap", "Wrap", _WRAPS, changed, buttons=True)
        self.window = {
            name: QuantityField(name, label, PARAMETERS[name].kind, self._system, changed)
            for name, label in _WINDOW.items()
        }
        self.drawing = html.show(html.thickness("usual"), "sw-thickness-drawing")
        self.span = ui.VBox([field.widget for field in self.window.values()])
        self.all: dict[str, Field] = {
            field.name: field
            for field in (
                self.cut, self.mass, self.count, self.thickness, self.finish, self.wrap,
                *self.window.values(),
            )
        }  # fmt: skip
        self.widget = ui.VBox(
            [
                self.mass.widget,
                self.count.widget,
                self.thickness.widget,
                self.drawing,
                self.finish.widget,
                self.wrap.widget,
                self.span,
                self.cut.widget,
            ]
        )

    def show(self, now: InEffect, refused: Mapping[str, str]) -> None:
        """Show the piece in effect.

        Parameters
        ----------
        now : InEffect
            The piece.
        refused : mapping of str to str
            By name of the field, what was typed and not taken.
        """
        self.cut.show(now.cut, refused=refused.get("cut"))
        self.count.show(str(now.count), refused=refused.get("count"))
        self.mass.rescale(now.usual_mass_kg)
        for field in (self.mass, *self.window.values()):
            text, hint, value = now.quantity(field.name, self._system)
            field.show(text, hint, value=value, refused=refused.get(field.name))
        self.finish.show(now.finish, finish_words(self._desk.record, now.cut))
        self.wrap.show(now.wrap)
        self.thickness.show(now.thickness)
        html.put(self.drawing, html.thickness(now.thickness))
        self.span.layout.display = None if now.wrap != "none" else "none"
