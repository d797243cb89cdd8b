"""Pictures dropped in: when each was taken, by one camera's clock put right once, and what happened then."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.log.paper import entry_words
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.snapshots import Snapshot, matched_s, snapshot, typed_line
from stallwise.record.camera import Taken, shift_of, shift_words
from stallwise.record.log import LogLine
from stallwise.record.photos import ending_of, taken_of
from stallwise.surfaces.attaching import attach, plain_name, small_copy, waiting
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.logbook import Logbook

__all__ = ["Snapshots"]

#: More than this are many for one evening's panel; the rest waits in the folder.
_MOST = 24
_WORDS = (
    "Drop pictures here, up to 9 MB at once. Many, or large ones: put them into the cook's photos "
    "folder, then press Look in the folder. Places and times in them are never published."
)


@dataclass
class _Row:
    """One picture and its fields."""

    name: str
    data: bytes
    taken: Taken | None
    shown: ui.HTML
    happened: ui.Text
    caption: ui.Text
    widget: ui.HBox
    proposed: str = ""


class Snapshots:
    """The pictures of the day.

    Parameters
    ----------
    book : Logbook
        The cook and its log.
    pending : callable
        Log lines that are understood and not written yet.
    put_lines : callable
        Takes lines for the box of the sheet.
    """

    def __init__(
        self, book: Logbook, *, pending: Callable[[], tuple[LogLine, ...]],
        put_lines: Callable[[list[str]], None], raises: bool = False,
    ) -> None:  # fmt: skip
        self.book = book
        self.desk = book.desk
        self.guard = Guard(raises=raises)
        self._pending, self._put_lines = pending, put_lines
        self.rows: list[_Row] = []
        button = self.guard.button
        self.file = ui.FileUpload(description="Choose pictures", accept="image/*", multiple=True)
        self.file.observe(self.guard(self._dropped), "value")
        self.look = button("Look in the folder", "sw-look-photos", self._look)
        self.camera = ui.Text(
            description="The camera's clock", placeholder="right, or 1 h 2 min behind",
            value=self.desk.record.cook.camera or "", continuous_update=False,
        )  # fmt: skip
        self.camera.observe(self.guard(self._stated), "value")
        self.which = ui.Dropdown(description="Or: this picture", options=[("", -1)])
        self.line = ui.Dropdown(description="shows this line", options=[("", "")])
        self.match = button("Set the clock by it", "sw-match", self._matched)
        self.to_lines = button("Put these times into the lines", "sw-to-lines", self._to_lines)
        self.keep = button(
            "Attach the pictures", "sw-attach-all", self._attach, button_style="primary"
        )
        self.list = ui.VBox([])
        self.fold = ui.Accordion([self._laid_out()], titles=["Pictures of the day"], selected_index=None)  # fmt: skip
        self.fold.add_class("sw-fold")
        self.fold.add_class("sw-snapshots")
        self.follow()

    def _laid_out(self) -> ui.VBox:
        drop = ui.VBox([html.show(html.element("p", _WORDS)), ui.HBox([self.file, self.look])])
        drop.add_class("sw-drop")
        self.clock = ui.HBox([self.camera, self.which, self.line, self.match])
        self.done = ui.HBox([self.to_lines, self.keep])
        for row in (self.clock, self.done):
            row.add_class("sw-row")
        self.camera.add_class("sw-camera")
        return ui.VBox([drop, self.clock, self.guard.box, self.list, self.done])

    # ---- coming in

    def _dropped(self, change: Mapping[str, Any]) -> None:
        came = [(plain_name(str(one["name"])), bytes(one["content"])) for one in change["new"]]
        if came:
            self._add(came)
            self.file.value = ()

    def _look(self, _button: object) -> None:
        here = {row.name for row in self.rows}
        found = [one for one in waiting(self.desk) if one[0] not in here]
        if not found:
            raise InputError(
                "no picture waits in the photos folder of this cook",
                "pictures put there that are not attached yet",
            )
        self._add(found)

    def _add(self, came: list[tuple[str, bytes]]) -> None:
        refused = []
        for name, data in came[: max(_MOST - len(self.rows), 0)]:
            try:
                ending_of(data, name)
            except InputError as error:
                refused.append(str(error))
            else:
                self.rows.append(self._row(name, data))
        left = len(came) - max(_MOST - len(self.rows), 0)
        if refused:
            self.guard.say("\n".join(refused), kind="wrong")
        elif left > 0 and len(self.rows) >= _MOST:
            self.guard.say(f"{_MOST} pictures are shown; attach these first.", kind="asked")
        else:
            self.guard.clear()
        self.follow()

    def _row(self, name: str, data: bytes) -> _Row:
        happened = ui.Text(
            description="What happened then (a line for the sheet)", placeholder="wrapped foil"
        )
        caption = ui.Text(description="Caption: what is to be seen")
        shown = html.show(html.text(""), "sw-snapshot-said")
        drawn = html.show(html.snapshot(small_copy(data), name), "sw-snapshot-drawn")
        fields = ui.VBox([shown, happened, caption])
        fields.add_class("sw-snapshot-fields")
        row = _Row(name, data, taken_of(data), shown, happened, caption, ui.HBox([drawn, fields]))
        row.widget.add_class("sw-snapshot")
        return row

    # ---- what is proposed

    def follow(self) -> None:
        """Propose anew: another picture, another clock, another line."""
        context = self.book.context()
        lines = self._lines(context)
        for row in self.rows:
            found = self._proposed(row, lines, context)
            html.put(
                row.shown, html.element("p", html.element("strong", row.name), f": {found.words}")
            )
            # What the cook wrote stays; what was only proposed follows.
            if row.caption.value == row.proposed:
                row.caption.value = found.caption
            row.proposed = found.caption
        self.list.children = [row.widget for row in self.rows]
        timed = [(row.name, n) for n, row in enumerate(self.rows) if row.taken]
        self.which.options = [("", -1), *timed]
        self.line.options = [("", ""), *((entry_words(line, context), line.id) for line in lines)]
        for part in (self.clock, self.done):
            part.layout.display = "" if self.rows else "none"

    def _lines(self, context: PaperContext) -> tuple[LogLine, ...]:
        every = (*context.logged, *self._pending())
        return tuple(sorted(every, key=lambda line: line.at))

    def _proposed(self, row: _Row, lines: tuple[LogLine, ...], context: PaperContext) -> Snapshot:
        return snapshot(row.taken, lines, context, shift_of(self.desk.record.cook.camera or ""))

    # ---- the camera's clock, once for the cook

    def _stated(self, _change: object) -> None:
        text = self.camera.value.strip()
        shift_of(text)
        if (text or None) != self.desk.record.cook.camera:
            self.desk.note({"camera": text or None})
            self.guard.say(f"Kept: the camera's clock is {text or 'right'}. No page is told.")
        self.follow()

    def _matched(self, _button: object) -> None:
        chosen, context = int(self.which.value), self.book.context()
        line = next((each for each in self._lines(context) if each.id == self.line.value), None)
        taken = self.rows[chosen].taken if 0 <= chosen < len(self.rows) else None
        if taken is None or line is None:
            raise InputError(
                "no picture or no line is chosen", "one picture with a time, and the line it shows"
            )
        self.camera.value = shift_words(matched_s(taken, line, context))

    # ---- what comes of them

    def _to_lines(self, _button: object) -> None:
        context = self.book.context()
        lines = self._lines(context)
        said = []
        for row in self.rows:
            if row.happened.value.strip():
                at = self._proposed(row, lines, context).at
                words = row.happened.value
                said.append(typed_line(at, words) if at else words.strip())
        if not said:
            raise InputError("no picture says what happened", "a few words beside one of them")
        self._put_lines(said)
        for row in self.rows:
            row.happened.value = ""
        self.guard.say(f"{len(said)} put into the lines: look there, then write them.")

    def _attach(self, _button: object) -> None:
        ready = [row for row in self.rows if row.caption.value.strip()]
        if not ready:
            raise InputError(
                "no picture has a caption", "a few words on what is to be seen",
                "Whoever cannot see the picture reads this",
            )  # fmt: skip
        kept = 0
        try:
            for row in ready:
                attach(self.desk, row.name, row.data, row.caption.value)
                self.rows.remove(row)
                kept += 1
        finally:
            self.follow()
        left = f" {len(self.rows)} without a caption are left." if self.rows else ""
        self.guard.say(f"Attached {kept}.{left}")
        self.desk.tell()
