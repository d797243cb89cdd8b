"""What would change it, behind a fold of the plan panel: worked out only when it is opened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import ipywidgets as ui

from stallwise.joins import tables
from stallwise.pictures.charts import NARROW, lever_picture
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, _soon

__all__ = ["WhatIfFold"]

#: The plan has to rest so long before an open fold is worked out anew [s].
_REST_S = 0.4


class WhatIfFold:
    """A fold with the picture and the table of what would change one piece.

    Parameters
    ----------
    desk : Desk
        The cook.
    letter : callable
        Letter of the piece that is looked at.
    guard : Guard
        Where words about a failure go.
    later : callable, optional
        Schedules the work; the default is the kernel's event loop.
    """

    def __init__(
        self, desk: Desk, letter: Callable[[], str], guard: Guard, *, later: Later = _soon
    ) -> None:
        self._desk = desk
        self._letter = letter
        self._later = later
        self._generation = 0
        self._fresh = False
        self._work = guard(self._worked_out)
        self.shown = html.show(html.text(""), "sw-whatif-html")
        self.widget = ui.Accordion([self.shown], selected_index=None)
        self.widget.set_title(0, "What would change it")
        for name in ("sw", "sw-fold", "sw-whatif"):
            self.widget.add_class(name)
        self.widget.observe(guard(self._opened), "selected_index")

    @property
    def is_open(self) -> bool:
        """Whether anybody looks."""
        return bool(self.widget.selected_index == 0)

    def follow(self) -> None:
        """Work it out anew once the plan rests, if anybody looks."""
        self._ask(_REST_S)

    def _opened(self, _change: object) -> None:
        self._ask(0.0)

    def _ask(self, rest_s: float) -> None:
        self._generation += 1
        newest = self._generation
        if not self.is_open:
            self._fresh = False
            return
        # What is shown belongs to another plan now; it is dimmed until the new one is there.
        self.widget.add_class("sw-stale")
        if not self._fresh:
            html.put(self.shown, html.element("p", "Trying it out …", class_="sw-soft"))
        self._later(rest_s, lambda: self._work(newest))

    def _worked_out(self, generation: int) -> None:
        if generation != self._generation:
            return
        self._fresh = True
        self.widget.remove_class("sw-stale")
        letter = self._letter()
        levers = self._desk.what_if(letter)
        result = self._desk.result
        if not levers:
            html.put(self.shown, html.element("p", _NOTHING, class_="sw-soft"))
            return
        table = tables.lever_table(levers, result)
        if len(result.pieces) > 1:
            # The letter stands once, over the table that is of one piece.
            table = replace(table, caption=f"{letter}. {table.caption}")
        wide = lever_picture(levers, result, dark=None, prefix="levers")
        narrow = lever_picture(levers, result, dark=None, width=NARROW, prefix="levers-narrow")
        html.put(
            self.shown,
            html.joined(
                (
                    html.element("p", html.unbroken(wide.finding)),
                    html.picture(wide, class_="sw-if-wide"),
                    html.picture(narrow, class_="sw-if-narrow"),
                    html.table(table, class_="sw-levers", without=("piece",)),
                )
            ),
        )


_NOTHING = "Nothing is left that would change it."
