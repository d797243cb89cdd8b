"""The plan panel: the few inputs a cook changes, the forecast beside them, the rest folded away.

Every field is an editor over ``cook.toml``. A change redraws the forecast at once and is
written only by "Keep".
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ipywidgets as ui

from stallwise.joins import tables, words
from stallwise.joins.inferredwords import inferred_table
from stallwise.joins.parameters import PARAMETERS, Parameter
from stallwise.joins.result import Result
from stallwise.pictures.charts import NARROW, day_picture
from stallwise.record.schema import Piece
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.effect import (
    cut_names,
    finish_words,
    in_effect,
    on_change_of_cut,
)
from stallwise.surfaces.widgets.fields import (
    Changed,
    ChoiceField,
    CountField,
    QuantityField,
    TextField,
    ruler,
)
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon
from stallwise.surfaces.widgets.whatif import WhatIfFold

__all__ = ["PlanPanel"]

#: Sliders of the front, in the order a cook thinks of them, with their labels.
_SLIDERS: Mapping[str, str] = {
    "mass": "Weight of one piece",
    "serve": "Eat at",
    "pit_start": "Pit held at",
    "pit_climb_to": "Pit later, climbing to",
    "pit_climb_from": "Climb begins, after meat on",
    "pit_climb_over": "Climb takes",
    "wrap_from": "Wrap at the earliest, after meat on",
    "wrap_to": "Wrap at the latest, after meat on",
}
_CLIMB = ("pit_climb_to", "pit_climb_from", "pit_climb_over")
_WINDOW = ("wrap_from", "wrap_to")
_WRAPS = (("none", "none"), ("foil", "foil"), ("paper", "paper"), ("boat", "boat"), ("pan", "pan"))
_SIZES = (("thin", "thin"), ("usual", "usual"), ("thick", "thick"))


class PlanPanel:
    """Inputs, picture and stage table of a cook.

    Parameters
    ----------
    desk : Desk
        The cook.
    later : callable, optional
        Schedules a redraw; the default is the kernel's event loop.
    raises : bool
        Let callbacks raise, for tests.
    """

    def __init__(self, desk: Desk, *, later: Later = _soon, raises: bool = False) -> None:
        self.desk = desk
        self.system = desk.record.book.units
        self.letter = desk.record.cook.pieces[0].letter
        self.guard = Guard(raises=raises)
        self.latest = Latest(self.guard(self.draw), later)
        self.what_if = WhatIfFold(desk, lambda: self.letter, self.guard, later=later)
        self.shown = html.show(html.text(""), "sw-shown-html")
        self.state = html.show(html.text(""), "sw-unkept")
        self._fields()
        self._buttons()
        self.widget = self._laid_out()
        self.draw()

    # ---- what it is made of

    def _fields(self) -> None:
        changed = self.guard(self._changed)
        scale = {
            "duration": ruler("duration", self.system),
            "clock": ruler("clock", self.system),
            "temperature": ruler("temperature", self.system),
            "mass": ruler("mass", self.system),
        }
        self.cut = ChoiceField("cut", "Cut", cut_names(self.desk.record), changed)
        self.count = CountField("count", "How many", changed)
        self.sliders = {
            name: QuantityField(
                name, label, PARAMETERS[name].kind, scale[PARAMETERS[name].kind], changed
            )
            for name, label in _SLIDERS.items()
        }
        self.climbs = ui.Checkbox(description="Pit climbs later", indent=False)
        self.climbs.add_class("sw-climbs")
        self.climbs.observe(self.guard(self._climbs), "value")
        self.wrap = ChoiceField("wrap", "Wrap", _WRAPS, changed, buttons=True)
        self.finish = ChoiceField("finish", "How it should eat", (), changed)
        self.thickness = ChoiceField("thickness", "Thickness", _SIZES, changed, buttons=True)
        self.drawing = html.show(html.thickness("usual"), "sw-thickness-drawing")
        self.odds = ChoiceField(
            "odds", "How sure", [(word, word) for word in PARAMETERS["odds"].choices], changed
        )
        self.folded = {
            name: _folded(parameter, changed)
            for name, parameter in PARAMETERS.items()
            if not parameter.front
        }
        pieces = self.desk.record.cook.pieces
        self.piece = ui.ToggleButtons(
            description="Piece", options=[(_piece_label(piece), piece.letter) for piece in pieces]
        )
        self.piece.add_class("sw-piece")
        self.piece.observe(self.guard(self._other_piece), "value")

    def _buttons(self) -> None:
        button = self.guard.button
        self.keep = button("Keep", "sw-keep", self._keep, button_style="primary")
        self.undo = button("Undo", "sw-undo", self._undo)
        self.back = button("Back to kept", "sw-back", self._back)
        cook = self.desk.record.cook
        self.ticked = ui.Checkbox(description="seen to", indent=False, value=False)
        self.ticked.add_class("sw-seen-to")
        self.ticked.observe(self.guard(self._tick), "value")
        open_line = cook.carried if cook.carried and not cook.carried_done else ""
        since = f" (from {cook.carried_from})" if cook.carried_from else ""
        self.carried = ui.VBox(
            [
                html.show(
                    html.element("p", html.element("strong", "Next time: "), open_line, since)
                ),
                self.ticked,
            ]
        )
        self.carried.add_class("sw-carried")
        self.carried.layout.display = None if open_line else "none"

    def _laid_out(self) -> ui.VBox:
        several = [self.piece] if len(self.desk.record.cook.pieces) > 1 else []
        s = self.sliders
        self.climb = ui.VBox([s[name].widget for name in _CLIMB])
        self.window = ui.VBox([s[name].widget for name in _WINDOW])
        rest = ui.Box([field.widget for field in self.folded.values()])
        rest.add_class("sw-rest")
        fold = ui.Accordion([rest])
        fold.set_title(0, "More: sizes, trimming, rest, spritz, weather, possible days")
        fold.add_class("sw-fold")
        inputs = ui.VBox(
            [
                *several,
                self.cut.widget,
                s["mass"].widget,
                self.count.widget,
                self.thickness.widget,
                self.drawing,
                self.finish.widget,
                s["serve"].widget,
                self.odds.widget,
                s["pit_start"].widget,
                self.climbs,
                self.climb,
                self.wrap.widget,
                self.window,
            ]
        )
        inputs.add_class("sw-inputs")
        buttons = ui.HBox([self.keep, self.undo, self.back])
        buttons.add_class("sw-buttons")
        shown = ui.VBox([self.shown, self.state, buttons, self.guard.box])
        shown.add_class("sw-shown")
        desk = ui.Box([inputs, shown])
        desk.add_class("sw-desk")
        whole = ui.VBox([html.dress(), self.carried, desk, self.what_if.widget, fold])
        whole.add_class("sw")
        whole.add_class("sw-plan")
        return whole

    # ---- what happens

    def draw(self) -> None:
        """Show the answer to the newest position, all of it at once."""
        generation = self.latest.generation
        result = self.desk.result
        drawn = shown_html(result)
        if generation != self.latest.generation:
            return
        html.put(self.shown, drawn)
        self._show_fields(result)
        self._show_state()
        self.widget.remove_class("sw-stale")
        self.desk.tell()
        self.what_if.follow()

    def _changed(self, name: str, value: str | None) -> None:
        self.guard.clear()
        extra: dict[str, Any] = {}
        if name == "cut" and value:
            extra = on_change_of_cut(self.desk.record, value)
        # Refused, what was typed stays in its box to be mended, and the last good forecast stays.
        self.desk.change({self._full(key): v for key, v in {name: value, **extra}.items()})
        self._redraw()

    def _redraw(self) -> None:
        self.widget.add_class("sw-stale")
        self.latest.ask()

    def _full(self, name: str) -> str:
        """Name with the letter that it is meant for, where there are several."""
        parameter = PARAMETERS[name]
        cook = self.desk.cook
        piece = self._piece()
        if parameter.level == "pit":
            letter = piece.pit or (cook.pits[0].letter if cook.pits else "")
            return f"{name}__{letter}" if len(cook.pits) > 1 else name
        if parameter.level != "piece" or len(cook.pieces) == 1:
            return name
        if parameter.shared and getattr(piece, parameter.key) is None:
            return name
        return f"{name}__{piece.letter}"

    def _piece(self) -> Piece:
        return next(piece for piece in self.desk.cook.pieces if piece.letter == self.letter)

    def _other_piece(self, change: dict[str, str]) -> None:
        self.letter = change["new"]
        self._show_fields(self.desk.result)
        self.what_if.follow()

    def _climbs(self, change: dict[str, bool]) -> None:
        self.climb.layout.display = None if change["new"] else "none"
        now = in_effect(self.desk, self.letter)
        if change["new"] == now.climbs:
            return
        self._changed(
            "pit_climb_to",
            now.climb_text(self.system) if change["new"] else now.start_text(self.system),
        )

    def _keep(self, _button: object) -> None:
        self.desk.keep()
        self.guard.say("Kept in cook.toml, with this forecast.")
        self._show_fields(self.desk.result)
        self._show_state()
        self.desk.tell()

    def _undo(self, _button: object) -> None:
        self.guard.clear()
        self.desk.undo()
        self._redraw()

    def _back(self, _button: object) -> None:
        self.guard.clear()
        self.desk.back_to_kept()
        self._redraw()

    def _tick(self, change: dict[str, bool]) -> None:
        self.desk.note({"carried_done": change["new"]})
        self.guard.say("Ticked off." if change["new"] else "Open again.")

    # ---- what it shows

    def _show_fields(self, _result: Result) -> None:
        now = in_effect(self.desk, self.letter)
        self.cut.show(now.cut)
        self.count.show(now.count)
        self.sliders["mass"].rescale(ruler("mass", self.system, now.usual_mass_kg))
        for name, field in self.sliders.items():
            field.show(*now.quantity(name, self.system))
        self.finish.show(now.finish, finish_words(self.desk.record, now.cut))
        self.wrap.show(now.wrap)
        self.thickness.show(now.thickness)
        html.put(self.drawing, html.thickness(now.thickness))
        self.odds.show(now.odds)
        self.climbs.value = now.climbs
        self.climb.layout.display = None if now.climbs else "none"
        self.window.layout.display = None if now.wrap != "none" else "none"
        for name, rare in self.folded.items():
            rare.show(now.folded(name, self.desk.changes))

    def _show_state(self) -> None:
        unkept = self.desk.unkept
        self.keep.disabled = not unkept
        self.back.disabled = not unkept
        self.undo.disabled = not self.desk.can_undo
        html.put(self.state, unkept_html(unkept))


def shown_html(result: Result) -> html.Safe:
    """Headline, picture and stage table of one answer."""
    warnings = {warning.text: warning for warning in result.warnings}.values()
    notes = [
        html.element("li", f"{w.piece}: {w.text}" if w.piece and len(result.pieces) > 1 else w.text)
        for w in warnings
    ]
    alone = () if len(result.pieces) > 1 else ("piece",)
    lines = [
        ("" if alone else f"{piece.piece}. ") + html.unbroken(words.piece_headline(piece, result))
        for piece in result.pieces
    ]
    chances = html.table(tables.chance_table(result), without=alone)
    looks = inferred_table(result)
    return html.joined(
        (
            html.joined(html.element("p", line, class_="sw-headline") for line in lines),
            html.element(
                "p",
                f"{result.title}, {words.as_of_text(result)}. {_odds(result)} "
                f"{words.widening_words(result)}".rstrip(),
                class_="sw-soft",
            ),
            html.element("ul", *notes, class_="sw-asked") if notes else html.text(""),
            # The kernel cannot know how wide the notebook is: the style sheet shows one of the two.
            html.picture(day_picture(result, dark=None), class_="sw-if-wide"),
            html.picture(
                day_picture(result, dark=None, width=NARROW, prefix="narrow"), class_="sw-if-narrow"
            ),
            html.element("details", html.element("summary", looks.caption), html.table(looks))
            if looks.rows
            else html.text(""),
            html.table(tables.stage_table(result), class_="sw-stages", without=alone),
            html.table(tables.remedy_table(result), class_="sw-remedies", without=alone),
            html.table(tables.serving_table(result), class_="sw-serving", without=alone),
            html.element("details", html.element("summary", "How sure, and what it costs"), chances)
            if chances
            else html.text(""),
        )
    )


def unkept_html(unkept: Mapping[str, Any]) -> html.Safe:
    """Say what was changed and is not kept yet."""
    if not unkept:
        return html.text("")
    said = words.joined([f"{_said(name)} {value}" for name, value in sorted(unkept.items())])
    return html.element("p", "Not kept yet: ", said, class_="sw-soft")


def _said(name: str) -> str:
    base, _, letter = name.partition("__")
    label = (_SLIDERS.get(base) or PARAMETERS[base].help).partition(",")[0]
    return f"{label[:1].lower()}{label[1:]}" + (f" of {letter}" if letter else "")


def _odds(result: Result) -> str:
    if result.odds is None:
        return "No serving time is set."
    all_of_it = "All ready" if len(result.pieces) > 1 else "Ready"
    return f"{all_of_it} in time {words.odds_text(result.odds)}."


def _folded(parameter: Parameter, changed: Changed) -> TextField | ChoiceField:
    label = _capital(parameter.help)
    if parameter.choices:
        return ChoiceField(
            parameter.name, label, [(word, word) for word in parameter.choices], changed
        )
    return TextField(parameter.name, label, changed)


def _piece_label(piece: Piece) -> str:
    many = f"{piece.count} × " if piece.count > 1 else ""
    return f"{piece.letter} · {many}{piece.cut.replace('-', ' ')}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
