"""Tables that follow the plan: mixes, and the day sheet with its buttons."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import ipywidgets as ui

from stallwise.joins import tables
from stallwise.joins.result import Result
from stallwise.joins.tables import Table
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.paper import usual_paper
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard

__all__ = ["LiveTables", "SheetPanel"]


class LiveTables:
    """Tables of the newest answer.

    Parameters
    ----------
    desk : Desk
        The cook.
    parts : callable
        Tables of a Result.
    empty : str
        Words when there are none.
    folded : callable, optional
        Further tables, behind a fold that is shut at first.
    summary : str
        Words on the fold.
    """

    def __init__(
        self,
        desk: Desk,
        parts: Callable[[Result], Sequence[Table]],
        *,
        empty: str = "",
        folded: Callable[[Result], Sequence[Table]] | None = None,
        summary: str = "",
    ) -> None:
        self._parts = parts
        self._empty = empty
        self._folded = folded
        self._summary = summary
        self.shown = html.show(html.text(""))
        # Apart from the tables above it: once opened, it stays open while they change.
        self.fold = ui.Accordion([html.show(html.text(""))], titles=[summary], selected_index=None)
        self.fold.add_class("sw-fold")
        self.widget = ui.VBox([html.dress(), self.shown, *([self.fold] if folded else [])])
        self.widget.add_class("sw")
        self._show(desk.result)
        desk.listen(self._show)

    def _show(self, result: Result) -> None:
        whole = html.joined(html.table(part) for part in self._parts(result))
        html.put(self.shown, whole or html.element("p", self._empty, class_="sw-soft"))
        if self._folded is not None:
            inside = html.joined(html.table(part) for part in self._folded(result))
            html.put(self.fold.children[0], inside)
            self.fold.layout.display = None if inside else "none"


class SheetPanel:
    """The day sheet, and where it can be printed from.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        live = LiveTables(desk, lambda result: [tables.sheet_table(result), cautions(result)])
        self.print = self.guard.button("Make the sheet to print", "sw-print", self._print)
        self.calendar = self.guard.button("Make calendar file", "sw-calendar", self._calendar)
        buttons = ui.HBox([self.print, self.calendar])
        buttons.add_class("sw-buttons")
        self.widget = ui.VBox([live.widget, buttons, self.guard.box])
        self.widget.add_class("sw")
        self.widget.add_class("sw-sheet")

    def _print(self, _button: object) -> None:
        from stallwise.joins.givenout import give_sheet
        from stallwise.surfaces.sheetprint import sheet_html

        result = self.desk.result
        text = sheet_html(result, paper=usual_paper(result.units))
        give_sheet(self.desk.folder, result, text, partial(self.desk.put, "sheet.html"))
        self.guard.say(
            "Made sheet.html in the cook's folder: open it in a browser and print one side."
        )

    def _calendar(self, _button: object) -> None:
        from stallwise.joins.givenout import give_calendar

        write = partial(self.desk.put, "sheet.ics")
        give_calendar(self.desk.folder, self.desk.result, write)
        self.guard.say("Made sheet.ics in the cook's folder.")


def cautions(result: Result) -> Table:
    """Cautions, each at its step, once."""
    rows = tuple((step.what, step.caution) for step in result.steps if step.caution)
    return Table("Care", ("do", "care"), rows)
