"""Typing in the sheet: what was understood is shown first, beside the day that it makes; then it is written."""

from __future__ import annotations

import time
from collections.abc import Callable

import ipywidgets as ui

from stallwise.joins import words
from stallwise.joins.result import Result
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon
from stallwise.surfaces.widgets.logbook import Logbook
from stallwise.surfaces.widgets.paperlines import PaperLines
from stallwise.surfaces.widgets.pitside import PitSide
from stallwise.surfaces.widgets.planshown import pictures
from stallwise.surfaces.widgets.published import Published
from stallwise.surfaces.widgets.snapshots import Snapshots

__all__ = ["TypeIn"]

#: Typing has to rest so long before the day is drawn anew [s].
_REST_S = 0.3


class TypeIn:
    """The panel of the evening.

    Parameters
    ----------
    desk : Desk
        The cook.
    later, raises, ticks
        For tests: work put off, errors raised again, a clock that is never put back.
    """

    def __init__(
        self,
        desk: Desk,
        *,
        later: Later = _soon,
        raises: bool = False,
        ticks: Callable[[], float] = time.monotonic,
    ) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self.published = Published()
        self._asked = 0
        self._drawing = Latest(self.guard(self._draw), later, rest_s=_REST_S)
        self.day = html.show(html.text(""), "sw-typed-day")
        self.book = Logbook(desk, self.guard, self._logged, later=later)
        self.paper = PaperLines(
            self.book, self.guard, typed=self._typed, read=self._drawing.ask, later=later
        )
        self.pit = PitSide(self.book, raises=raises, ticks=ticks)
        self.photos = Snapshots(
            self.book, pending=lambda: self.paper.entries, put_lines=self.paper.add, raises=raises
        )
        self.after = Guard(raises=raises)
        self.next_time = ui.Text(
            description="Next time, in one line (kept at once)", continuous_update=False,
            placeholder="what you will see first when this cut comes back",
            value=desk.record.cook.next_time or "",
        )  # fmt: skip
        self.next_time.add_class("sw-next-line")
        self.next_time.observe(self.after(self._keep_next), "value")
        self.widget = self._laid_out()
        desk.listen(self._follow)
        self.guard(self._begin)()

    def _begin(self) -> None:
        self._show(self.desk.result)
        if self.desk.result.state == "running":
            self.pit.fold.selected_index = 0
        self._draw()

    def _laid_out(self) -> ui.VBox:
        paper = self.paper
        typing = ui.VBox([paper.other, paper.lines, paper.write, self.guard.box])
        typing.add_class("sw-typing")
        beside = ui.VBox([typing, self.day, paper.understood])
        beside.add_class("sw-paper")
        self.last = ui.VBox([self.next_time, self.after.box])
        self.last.add_class("sw-last")
        whole = ui.VBox(
            [html.dress(), self.published.widget, self.pit.fold, beside, self.photos.fold, self.book.shown,
             self.book.withdraw, self.last]
        )  # fmt: skip
        whole.add_class("sw")
        whole.add_class("sw-type-in")
        return whole

    def _typed(self) -> None:
        self._asked += 1
        self._drawing.drop()
        self.day.add_class("sw-stale")
        self.published.say(self._asked, self._asked - 1, "working")

    def _logged(self) -> None:
        self._typed()
        self.paper.again()
        self._drawing.ask()

    def _follow(self, result: Result) -> None:
        self._show(result)
        self._drawing.ask()

    def _show(self, result: Result) -> None:
        self.pit.show(result)
        self.next_time.value = self.desk.record.cook.next_time or ""
        # The last thing of the day is asked when the day is over.
        over = result.state == "finished" or bool(self.next_time.value)
        self.last.layout.display = "" if over else "none"

    def _keep_next(self, _change: object) -> None:
        said = self.next_time.value.strip() or None
        if said == self.desk.record.cook.next_time:
            return
        self.desk.note({"next_time": said})
        self.after.say("Kept in cook.toml.")
        self.desk.tell()

    def _draw(self) -> None:
        asked = self._asked
        pending = self.paper.entries
        result = self.desk.tried(pending)
        mark = html.element("span", data_shown=str(self.paper.reads))
        html.put(self.day, html.joined((mark, _day_html(result, pending=bool(pending)))))
        self.day.remove_class("sw-stale")
        if self.photos.rows:
            self.photos.follow()
        self.published.say(asked, asked, "shown")


def _day_html(result: Result, *, pending: bool) -> html.Safe:
    """Draw the day as it stands with what is understood, and say of when the forecast is."""
    more = ", and what is understood and not written yet" if pending else ""
    if not result.events:
        said = "The day as planned. It fills as lines are typed."
    elif result.as_of >= result.made_at:
        said = f"The day so far, {words.as_of_text(result)}{more}."
    else:
        said = f"The forecast {words.as_of_text(result)}; below it what happened, as logged{more}."
    return html.joined(
        (html.element("p", said, class_="sw-soft"), *pictures(result, prefix="typed"))
    )
