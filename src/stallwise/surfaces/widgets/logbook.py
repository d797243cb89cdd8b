"""The log in a panel: a line is on the disk first, then it is said, then all that hangs on it follows."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import ipywidgets as ui

from stallwise.joins.log.logbook import find_line, numbered
from stallwise.joins.log.paper import entry_words
from stallwise.joins.log.papercontext import PaperContext, paper_context
from stallwise.record.log import LogLine, withdrawal
from stallwise.surfaces.desk import Desk, log_table
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon

__all__ = ["Logbook", "logged_html"]

_SOURCE = "notebook"


class Logbook:
    """What is logged, a way to take a line back, and the one way by which panels write lines.

    Parameters
    ----------
    desk : Desk
        The cook.
    guard : Guard
        Where it is said that lines are written.
    changed : callable
        Told when the log is another one: by us, or by somebody who writes in it too.
    """

    def __init__(
        self, desk: Desk, guard: Guard, changed: Callable[[], None], *, later: Later = _soon
    ) -> None:
        self.desk = desk
        self.guard = guard
        self._changed = changed
        self._follow = Latest(guard(self._tell), later)
        self._seen: tuple[LogLine, ...] = desk.folder.log().lines
        self.shown = html.show(html.text(""), "sw-logged")
        self.wrong = ui.Dropdown(description="A logged line that is wrong")
        self.take_back = guard.button("Take it back", "sw-take-back", self._take_back)
        self.withdraw = ui.HBox([self.wrong, self.take_back])
        self.withdraw.add_class("sw-row")
        self._show()

    def context(self) -> PaperContext:
        """Gather what is known of the cook by now, with what others logged meanwhile."""
        log = self.desk.folder.log().lines
        if log != self._seen:
            self._seen = log
            self.desk.reload()
            self._show()
        return paper_context(self.desk.record, now=self.desk.now, source=_SOURCE, log=log)

    def write(self, lines: Iterable[LogLine]) -> tuple[int, int]:
        """Write lines; on the disk when this returns. How many, and how many were there already.

        Only afterwards the cook is read and forecast anew: what goes wrong then is told, and takes
        nothing back.
        """
        counts = self.desk.log(lines)
        self._follow.ask()
        return counts

    def withdraw_line(self, name: str) -> str:
        """Take a line back, by a line of its own; the words of what was taken back."""
        context = self.context()
        line = find_line(context.log, name).line
        self.write([withdrawal(line, made=self.desk.now, source=_SOURCE)])
        return entry_words(line, context)

    def _take_back(self, _button: object) -> None:
        if self.wrong.value:
            self.guard.say(f"Taken back: {self.withdraw_line(self.wrong.value)}.")

    def _tell(self) -> None:
        self.context()
        self._changed()
        self.desk.tell()

    def _show(self) -> None:
        context = paper_context(self.desk.record, log=self._seen)
        held = [each for each in numbered(self._seen) if each.state == "holds"]
        html.put(self.shown, logged_html(self.desk))
        self.wrong.options = [("", ""), *((entry_words(e.line, context), e.line.id) for e in held)]
        self.withdraw.layout.display = "" if held else "none"


def logged_html(desk: Desk) -> html.Safe:
    """Lay out what is in the log, folded."""
    lines = log_table(desk.record)
    many = f"{len(lines.rows)} lines" if len(lines.rows) != 1 else "1 line"
    if not lines.rows:
        return html.element("p", "Nothing is logged yet.", class_="sw-soft")
    return html.element("details", html.element("summary", f"Logged: {many}"), html.table(lines))
