"""The lines of the sheet: typed, read back at once, kept as a draft, and written when the cook says so."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as ui

from stallwise.joins.log.paper import Block, Understood, as_words, read_block
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.tables import Table
from stallwise.record.log import LogLine
from stallwise.record.unwritten import Unwritten, unwritten
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon
from stallwise.surfaces.widgets.logbook import Logbook

__all__ = ["PaperLines", "understood_table"]

_EXAMPLE = "1310 wrapped foil\n+2:40 wrapped foil\nabout 3 spritz\nC 10:40 turned\n"


class PaperLines:
    """The box for the lines of the day sheet, with what was understood below it.

    Parameters
    ----------
    book : Logbook
        Where they are written.
    guard : Guard
        Where is told what came of it.
    typed : callable
        Told at every change, before anything was read.
    read : callable
        Told when the lines were read.
    """

    def __init__(
        self, book: Logbook, guard: Guard, *, typed: Callable[[], None],
        read: Callable[[], None], later: Later = _soon,
    ) -> None:  # fmt: skip
        self.book = book
        self.guard = guard
        self._told_typed, self._told_read = typed, read
        self._latest = Latest(guard(self._read), later)
        self._own = False
        self.reads = 0
        self._block: Block | None = None
        self._kept: Unwritten | None = None
        self._others: tuple[Unwritten, ...] = ()
        self.lines = ui.Textarea(
            description="Lines of the sheet, one a row", placeholder=_EXAMPLE, rows=16
        )
        self.lines.add_class("sw-lines")
        self.write = guard.button(
            "Write these", "sw-write", self._write, button_style="primary", disabled=True
        )
        self.other = guard.button("", "sw-other-draft", self._swap)
        self.understood = html.show(html.text(""), "sw-understood")
        guard(self._restore)()
        self._offer()
        self.lines.observe(guard(self._typed), "value")

    @property
    def entries(self) -> tuple[LogLine, ...]:
        """Log lines of what is understood and not written yet."""
        block = self._block
        return () if block is None else tuple(e for each in _open(block) for e in each.entries)

    # ---- typing

    def _typed(self, _change: object) -> None:
        if self._own:
            return
        # What is on the button is what was shown: typing on takes it away at once.
        self.write.disabled = True
        self._block = None
        self.guard.clear()
        self._told_typed()
        self._latest.ask()

    def _read(self) -> None:
        self._show(read_block(self.lines.value, context=self.book.context()))
        self._told_read()
        # Last: where the draft cannot be kept the cook is told, beside what was understood.
        self._kept = self.book.desk.keep_unwritten(self.lines.value, self._kept)

    def _show(self, block: Block) -> None:
        count = len(_open(block))
        self.reads += 1
        # For those who wait: the day beside it tells of which reading it is.
        mark = html.element("span", data_asked=str(self.reads))
        table = html.table(understood_table(block), class_="sw-lines-table")
        html.put(self.understood, html.joined((mark, table)))
        self._block = block
        self.write.description = f"Write these {count}" if count else "Write these"
        self.write.disabled = not count

    def add(self, lines: list[str]) -> None:
        """Put lines below what is typed, to be read back like any other."""
        typed = self.lines.value.rstrip("\n")
        self.lines.value = "\n".join([*([typed] if typed else []), *lines])

    def again(self) -> None:
        """Read the lines once more: the log is another one."""
        if self.lines.value.strip():
            self._show(read_block(self.lines.value, context=self.book.context()))

    # ---- writing

    def _write(self, _button: object) -> None:
        shown = self._block
        if shown is None:
            return
        block = read_block(self.lines.value, context=self.book.context())
        if _said(block) != _said(shown):
            # Somebody else wrote, or the hours went on: what is written is what was seen.
            self._show(block)
            self.guard.say(
                "Nothing was written: the log is another one than a moment ago. Look at the lines "
                "again, then press once more.",
                kind="asked",
            )
            return
        written, already = self.book.write(block.entries)
        words = f"{written} written" + (f", {already} were there already" if already else "")
        if block.asked:
            left = f"{len(block.asked)} not written: answer what is asked by typing it more fully."
            self.guard.say(f"{words}.\n{left}", kind="asked")
        else:
            self.guard.say(f"{words}.")
            self._empty()

    def _empty(self) -> None:
        """Nothing is left to be written."""
        self._put("")
        self._show(Block(()))
        self._kept = self.book.desk.keep_unwritten("", self._kept)

    # ---- drafts

    def _restore(self) -> None:
        """Bring back what was typed before and not written, if the kernel died or the page was closed."""
        context = self.book.context()
        waiting = []
        for draft in unwritten(self.book.desk.folder):
            if _to_do(draft.text, context):
                waiting.append(draft)
            else:  # all of it came into the log, only the draft was left behind
                self.book.desk.keep_unwritten("", draft)
        if waiting:
            self._take(waiting[0], context)
            self._others = tuple(waiting[1:])
            self.guard.say("What was typed before and not written is here again.")

    def _take(self, draft: Unwritten, context: PaperContext) -> None:
        self._kept = draft
        self._put(draft.text)
        self._show(read_block(draft.text, context=context))

    def _put(self, text: str) -> None:
        """Change the box ourselves: nobody typed."""
        self._own = True
        try:
            self.lines.value = text
        finally:
            self._own = False

    def _swap(self, _button: object) -> None:
        """Show another draft; this one waits in its place."""
        here = self.book.desk.keep_unwritten(self.lines.value, self._kept)
        context = self.book.context()
        left = (each for each in unwritten(self.book.desk.folder) if each != here)
        others = [each for each in left if _to_do(each.text, context)]
        self._others = (*others[1:], *([here] if here else []))
        if others:
            self._take(others[0], context)
            self._told_typed()
            self._told_read()
        self._offer()

    def _offer(self) -> None:
        self.other.layout.display = "" if self._others else "none"
        if self._others:
            rows = len(self._others[0].text.strip().splitlines())
            many = "1 line was" if rows == 1 else f"{rows} lines were"
            self.other.description = f"{many} typed elsewhere and not written: show"


def _to_do(text: str, context: PaperContext) -> bool:
    """Whether anything of a draft is not in the log."""
    block = read_block(text, context=context)
    return bool(_open(block) or block.asked)


def _open(block: Block) -> list[Understood]:
    return [line for line in block.lines if line.entries and not line.known]


def _said(block: Block) -> list[object]:
    """Tell what of a block the cook saw, and what of it would be written."""
    return [
        (
            line.state,
            line.as_text,
            line.question,
            line.doubts,
            line.known,
            [e.id for e in line.entries],
        )
        for line in block.lines
    ]


def _understood(line: Understood) -> str:
    return "" if line.state == "asked" else as_words(line)


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
