"""The plan panel: the few inputs a cook changes, the forecast beside them, the rest folded away.

Every field is an editor over ``cook.toml``. A change redraws the forecast at once and is
written only by "Keep".
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError, StallwiseError
from stallwise.joins import otherday
from stallwise.joins.parameters import PARAMETERS
from stallwise.record.schema import Piece
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html, planshown
from stallwise.surfaces.widgets.cards import Cards
from stallwise.surfaces.widgets.dayfields import DayFields
from stallwise.surfaces.widgets.effect import in_effect
from stallwise.surfaces.widgets.fields import Field
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon
from stallwise.surfaces.widgets.piecefields import PieceFields
from stallwise.surfaces.widgets.published import Published
from stallwise.surfaces.widgets.rarefields import MEASURED, RareFields
from stallwise.surfaces.widgets.whatif import WhatIfFold

__all__ = ["PlanPanel"]


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
        self.guard = Guard(raises=raises, tells=False)
        self.latest = Latest(self.guard(self.draw), later)
        self.what_if = WhatIfFold(desk, lambda: self.letter, self.guard, later=later)
        #: By full name of the parameter, what was typed and not taken: it waits to be mended.
        self.refused: dict[str, str] = {}
        changed = self.guard(self._changed)
        self.of_piece = PieceFields(desk, changed)
        self.of_day = DayFields(self.system, changed, self.guard(self._climbs))
        self.rare = RareFields(self.system, changed, self._show_fields, self.guard)
        self.cards = Cards(desk, self.of_piece.widget, self._look_at, self.guard)
        self._shown()
        self._buttons()
        self.widget = self._laid_out()
        self._result: object = None
        self.draw()
        desk.listen(self._heard)

    # ---- what it is made of

    @property
    def fields(self) -> dict[str, Field]:
        """Every field there is by now, by its name."""
        return {**self.of_piece.all, **self.of_day.all, **self.rare.all}

    def _shown(self) -> None:
        self.line = html.show(html.text(""), "sw-line")
        self.answer = html.show(html.text(""), "sw-answer")
        self.tables = html.show(html.text(""), "sw-tables")
        self.since = html.show(html.text(""), "sw-since-html")
        self.state = html.show(html.text(""), "sw-unkept")
        self.published = Published()
        self._drawn = 0
        # Where nobody looks nothing comes of it: the page tells how much room the picture has.
        self.room = ui.Text(description="Room for the picture", continuous_update=False)
        self.room.add_class("sw-room")
        self.room.observe(self.guard(lambda _: self.latest.ask()), "value")

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
        words = html.element("p", html.element("strong", "Next time: "), open_line, since)
        self.carried = ui.VBox([html.show(words), self.ticked])
        self.carried.add_class("sw-carried")
        self.carried.layout.display = None if open_line else "none"

    def _laid_out(self) -> ui.VBox:
        buttons = ui.HBox([self.keep, self.undo, self.back])
        buttons.add_class("sw-buttons")
        bar = _box("sw-bar", self.line, buttons, self.state, self.guard.box)
        inputs = _box(
            "sw-inputs",
            _title("What goes on"),
            self.cards.widget,
            _title("The day"),
            self.of_day.widget,
        )
        desk = _box("sw-desk", inputs, self.answer, self.tables)
        rare = _box("sw-rarely", _title("Seldom changed"), self.rare.widget)
        whole = ui.VBox(
            [html.dress(), self.published.widget, self.room, self.carried, self.since, bar, desk,
             self.what_if.widget, rare]
        )  # fmt: skip
        whole.add_class("sw")
        whole.add_class("sw-plan")
        return whole

    # ---- what happens

    def draw(self) -> None:
        """Show the answer to the newest position, all of it at once."""
        asked = self.latest.generation
        try:
            result = self.desk.result
        except StallwiseError:
            self.published.say(asked, self._drawn, "refused")
            raise
        line, tables = planshown.line_html(result), planshown.tables_html(result)
        answer = planshown.answer_html(result, int(self.room.value or 0))
        if asked != self.latest.generation:
            return
        html.put(self.answer, answer)
        html.put(self.line, line)
        html.put(self.tables, tables)
        self._show_fields()
        self.cards.say(result)
        self._show_state()
        self.widget.remove_class("sw-stale")
        self._drawn, self._result = asked, result
        self.published.say(asked, asked, "shown")
        self.desk.tell()
        self.what_if.follow()

    def _heard(self, result: object) -> None:
        """Draw anew when another panel brought something in: a log line, readings."""
        if result is not self._result:
            self._redraw()

    def _changed(self, name: str, text: str | None) -> None:
        self.guard.clear()
        field, full = self.fields[name], self._full(name)
        # Refused, what was typed stays in its box to be mended, and the last good forecast stays.
        try:
            self._take(name, full, field.read(text))
        except StallwiseError as error:
            self.refused[full] = text or ""
            field.mark(refused=True)
            self.published.say(self.latest.generation, self._drawn, "refused")
            self.guard.refuse(error, field.label)
            return
        self.refused.pop(full, None)
        field.mark(refused=False)
        self._redraw()

    def _take(self, name: str, full: str, text: str | None) -> None:
        if name == "cut":
            if text and text != self._piece().cut:
                self.desk.recut(self.letter, text)
            return
        more = self._along(text) if name == "date" else {}
        self.desk.change({full: text, **more})
        if text is None:
            self.guard.say("An empty box takes what is kept, or what is usual.")

    def _along(self, text: str | None) -> dict[str, str]:
        """Take hours along with the cook to another day; one that has begun stays on its own."""
        if self.desk.record.log:
            raise InputError(
                f"the cook of {self.desk.cook.date} has begun: something is logged",
                "",
                "Plan another one like it: stallwise new --from, and the name of this one",
            )
        return otherday.along(self.desk.changes, otherday.day_of(text) - self.desk.cook.date)

    def _redraw(self) -> None:
        self.widget.add_class("sw-stale")
        self.published.say(self.latest.generation + 1, self._drawn, "working")
        self.latest.ask()

    def _full(self, name: str) -> str:
        """Name with the letter that it is meant for, where there are several."""
        name = "thickness" if name == MEASURED else name
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

    def _look_at(self, letter: str) -> None:
        """Open a piece's card; after one came or went, draw as well."""
        self.guard.clear()
        self.letter = letter
        self._show_fields()
        if self.desk.waits:
            self._redraw()
        else:
            self.what_if.follow()

    def _climbs(self, climbs: bool) -> None:  # noqa: FBT001 - what the box says
        self.of_day.climb.layout.display = None if climbs else "none"
        now = in_effect(self.desk, self.letter)
        if climbs == now.climbs:
            return
        text = now.climb_text(self.system) if climbs else now.start_text(self.system)
        self._changed("pit_climb_to", text)

    def _keep(self, _button: object) -> None:
        moved = "date" in self.desk.unkept
        self.desk.keep()
        left = " What is marked was not taken." if self.refused else ""
        name = " Its folder keeps the name it has." if moved else ""
        self.guard.say(f"Kept in cook.toml, with this forecast.{name}{left}")
        self._show_fields()
        self._show_state()
        self.desk.tell()

    def _undo(self, _button: object) -> None:
        self.guard.clear()
        self.desk.undo()
        self._redraw()

    def _back(self, _button: object) -> None:
        self.guard.clear()
        self.refused.clear()
        self.desk.back_to_kept()
        self._redraw()

    def _tick(self, change: Mapping[str, bool]) -> None:
        self.desk.note({"carried_done": change["new"]})
        self.guard.say("Ticked off." if change["new"] else "Open again.")

    # ---- what it shows

    def _show_fields(self) -> None:
        pieces = self.desk.cook.pieces
        if self.letter not in {piece.letter for piece in pieces}:
            self.letter = pieces[0].letter
        now = in_effect(self.desk, self.letter)
        full = {name: self._full(name) for name in self.fields}
        refused = {name: self.refused[each] for name, each in full.items() if each in self.refused}
        self.cards.show(pieces, self.letter)
        self.of_piece.show(now, refused)
        self.of_day.show(now, refused)
        self.rare.show(now, self.desk.changes, refused)
        before = self.desk.before(self.letter)
        said = html.text("") if before is None else planshown.since_html(*before)
        html.put(self.since, said)

    def _show_state(self) -> None:
        unkept: Mapping[str, Any] = self.desk.unkept
        self.keep.disabled = not unkept
        self.back.disabled = not (unkept or self.refused)
        self.undo.disabled = not self.desk.can_undo
        html.put(self.state, planshown.unkept_html(unkept))


def _box(name: str, *children: ui.Widget) -> ui.VBox:
    box = ui.VBox(children)
    box.add_class(name)
    return box


def _title(words: str) -> ui.HTML:
    return html.show(html.element("h3", words), "sw-title")
