"""Tables that follow the plan: mixes, and the day sheet with its buttons."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import ipywidgets as ui

from stallwise.joins import tables
from stallwise.joins.fire.fuelwords import fuel_table
from stallwise.joins.result import Result
from stallwise.joins.sheet.daytables import gear_table, load_table
from stallwise.joins.sheet.givenout import give_calendar, give_sheet
from stallwise.joins.tables import Table
from stallwise.pictures.charts import NARROW, plan_picture
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.labelprint import labels_html
from stallwise.surfaces.paper import usual_paper
from stallwise.surfaces.prints import PRINTS, print_of
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Latest

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
    first : str
        Class of the first table.
    """

    def __init__(
        self,
        desk: Desk,
        parts: Callable[[Result], Sequence[Table]],
        *,
        empty: str = "",
        folded: Callable[[Result], Sequence[Table]] | None = None,
        summary: str = "",
        first: str = "",
    ) -> None:
        self._parts = parts
        self._empty = empty
        self._folded = folded
        self._summary = summary
        self._first = first
        self.shown = html.show(html.text(""))
        # Apart from the tables above it: once opened, it stays open while they change.
        self.fold = ui.Accordion([html.show(html.text(""))], titles=[summary], selected_index=None)
        self.fold.add_class("sw-fold")
        self.widget = ui.VBox([html.dress(), self.shown, *([self.fold] if folded else [])])
        self.widget.add_class("sw")
        self._show(desk.result)
        desk.listen(self._show)

    def _show(self, result: Result) -> None:
        whole = html.joined(
            html.table(part, class_="" if number else self._first)
            for number, part in enumerate(self._parts(result))
        )
        html.put(self.shown, whole or html.element("p", self._empty, class_="sw-soft"))
        if self._folded is not None:
            inside = html.joined(html.table(part) for part in self._folded(result))
            html.put(self.fold.children[0], inside)
            self.fold.layout.display = None if inside else "none"


#: The plan has to rest so long before the picture is drawn anew [s].
_REST_S = 0.4


class SheetPanel:
    """The day sheet with its picture, and where it can be printed from.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self.live = LiveTables(desk, _shown, first="sw-day-steps")
        self.picture = html.show(html.text(""))
        self.whose = ui.Dropdown(
            options=[(name, key) for key, name in PRINTS.items()],
            value="",
            description="To print",
            layout={"width": "max-content"},
        )
        self.print = self.guard.button("Make the sheet to print", "sw-print", self._print)
        self.labels = self.guard.button("Make labels", "sw-labels", self._labels)
        self.calendar = self.guard.button("Make calendar file", "sw-calendar", self._calendar)
        buttons = ui.HBox([self.whose, self.print, self.labels, self.calendar])
        buttons.add_class("sw-buttons")
        self.widget = ui.VBox([self.picture, self.live.widget, buttons, self.guard.box])
        self.widget.add_class("sw")
        self.widget.add_class("sw-sheet")
        self._drawn: Result | None = None
        self._draw()
        # After the plan's own picture: nobody waits for this one while a slider moves.
        self.latest = Latest(self.guard(self._draw), rest_s=_REST_S)
        desk.listen(self._follow)

    def _follow(self, result: Result) -> None:
        if result is self._drawn:
            return
        # The picture belongs to another plan now; it is dimmed until the new one is there.
        self.picture.add_class("sw-stale")
        self.latest.ask()

    def _draw(self) -> None:
        result = self.desk.result
        wide = plan_picture(result, dark=None)
        narrow = plan_picture(result, dark=None, width=NARROW, prefix="narrow-plan")
        both = (
            html.picture(wide, class_="sw-if-wide"),
            html.picture(narrow, class_="sw-if-narrow"),
        )
        html.put(self.picture, html.joined(both))
        self._drawn = result
        self.picture.remove_class("sw-stale")

    def _print(self, _button: object) -> None:
        result, reader = self.desk.result, self.whose.value
        name = f"sheet-{reader}.html" if reader else "sheet.html"
        text = print_of(result, reader=reader, paper=usual_paper(result.units))
        give_sheet(self.desk.folder, result, text, partial(self.desk.put, name))
        self.guard.say(f"Made {name} in the cook's folder: open it in a browser and print it.")

    def _labels(self, _button: object) -> None:
        result = self.desk.result
        self.desk.put("labels.html", labels_html(result, paper=usual_paper(result.units)))
        self.guard.say("Made labels.html in the cook's folder: open it in a browser and print it.")

    def _calendar(self, _button: object) -> None:
        write = partial(self.desk.put, "sheet.ics")
        give_calendar(self.desk.folder, self.desk.result, write)
        self.guard.say("Made sheet.ics in the cook's folder.")


def _shown(result: Result) -> list[Table]:
    around = [
        table
        for table in (fuel_table(result), load_table(result), gear_table(result))
        if table.rows
    ]
    return [tables.sheet_table(result), *around, cautions(result)]


def cautions(result: Result) -> Table:
    """Cautions, each at its step, once."""
    rows = tuple((step.what, step.caution) for step in result.steps if step.caution)
    return Table("Care", ("do", "care"), rows)
