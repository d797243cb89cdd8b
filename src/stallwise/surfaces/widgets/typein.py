"""Typing in the sheet: what was understood is shown first, then it is written."""

from __future__ import annotations

import ipywidgets as ui

from stallwise.joins.log.logbook import find_line, numbered
from stallwise.joins.log.paper import Block, Understood, as_words, entry_words, read_block
from stallwise.joins.log.papercontext import PaperContext, paper_context
from stallwise.joins.tables import Table
from stallwise.record.log import withdrawal
from stallwise.surfaces.desk import Desk, log_table
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon

__all__ = ["TypeIn"]

_EXAMPLE = "1310 wrapped foil\n+2:40 wrapped foil\nabout 3 spritz\nC 10:40 turned\n"


class TypeIn:
    """The box for the lines of the day sheet.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, later: Later = _soon, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self._latest = Latest(self.guard(self._read), later)
        self._block: Block | None = None
        self.lines = ui.Textarea(
            description="Lines of the sheet, one a row", placeholder=_EXAMPLE, rows=10
        )
        self.lines.add_class("sw-lines")
        self.write = self.guard.button(
            "Write these", "sw-write", self._write, button_style="primary", disabled=True
        )
        self.understood = html.show(html.text(""), "sw-understood")
        self.logged = html.show(logged_html(desk), "sw-logged")
        self.wrong = ui.Dropdown(description="A logged line that is wrong")
        self.take_back = self.guard.button("Take it back", "sw-take-back", self._take_back)
        self.withdraw = ui.HBox([self.wrong, self.take_back])
        self.withdraw.add_class("sw-row")
        self._offer()
        self.widget = ui.VBox(
            [html.dress(), self.lines, self.understood, self.write, self.guard.box, self.logged,
             self.withdraw]
        )  # fmt: skip
        self.widget.add_class("sw")
        self.widget.add_class("sw-type-in")
        self.lines.observe(self._typed, "value")

    def _typed(self, _change: object) -> None:
        # What is on the button is what was shown: typing on takes it away at once.
        self.write.disabled = True
        self._block = None
        self._latest.ask()

    def _read(self) -> None:
        self.guard.clear()
        context = self._context()
        block = read_block(self.lines.value, context=context)
        count = sum(not line.known for line in block.lines if line.entries)
        html.put(self.understood, html.table(understood_table(block), class_="sw-lines-table"))
        self._block = block
        self.write.description = f"Write these {count}" if count else "Write these"
        self.write.disabled = not count

    def _context(self) -> PaperContext:
        log = self.desk.folder.log().lines
        return paper_context(self.desk.record, now=self.desk.now, source="notebook", log=log)

    def _offer(self) -> None:
        """Offer the lines that hold, to be taken back."""
        context = self._context()
        held = [each for each in numbered(context.log) if each.state == "holds"]
        self.wrong.options = [("", ""), *((entry_words(e.line, context), e.line.id) for e in held)]
        self.withdraw.layout.display = "" if held else "none"

    def _take_back(self, _button: object) -> None:
        if not self.wrong.value:
            return
        context = self._context()
        line = find_line(context.log, self.wrong.value).line
        self.desk.log([withdrawal(line, made=self.desk.now, source="notebook")])
        self._after_change()
        self.guard.say(f"Taken back: {entry_words(line, context)}.", kind="said")
        self.desk.tell()

    def _after_change(self) -> None:
        html.put(self.logged, logged_html(self.desk))
        self._offer()
        # What was shown was read against the log as it stood before.
        self.write.disabled = True
        self._block = None

    def _write(self, _button: object) -> None:
        block = self._block
        if block is None:
            return
        written, already = self.desk.log(block.entries)
        self._after_change()
        asked = len(block.asked)
        words = f"{written} written" + (f", {already} were there already" if already else "")
        left = (
            f"\n{asked} not written: answer what is asked by typing the line more fully."
            if asked
            else ""
        )
        self.guard.say(f"{words}.{left}", kind="asked" if asked else "said")
        self.desk.tell()


def _understood(line: Understood) -> str:
    if line.state == "asked":
        return ""
    return as_words(line)


def logged_html(desk: Desk) -> html.Safe:
    """Lay out what is in the log, folded."""
    lines = log_table(desk.record)
    many = f"{len(lines.rows)} lines" if len(lines.rows) != 1 else "1 line"
    if not lines.rows:
        return html.element("p", "Nothing is logged yet.", class_="sw-soft")
    return html.element("details", html.element("summary", f"Logged: {many}"), html.table(lines))


def understood_table(block: Block) -> Table:
    """Each line as typed, beside it how it was read or what is asked."""
    rows = tuple(
        (
            str(line.number),
            line.raw.strip(),
            _understood(line),
            line.question or "; ".join(line.doubts),
        )
        for line in block.lines
        if line.state != "skipped"
    )
    return Table(
        "What was understood; nothing is written yet",
        ("line", "typed", "understood", "asked or odd"),
        rows,
    )
