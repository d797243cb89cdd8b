"""Readings of probes: a file dropped or named, what is understood of it, what is asked; then it comes in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.log.readingsaid import Offer, asked, in_boxes, there_table, understood_table
from stallwise.record import imports
from stallwise.record.logtext import text_of
from stallwise.record.readingsreport import ReadingsReport
from stallwise.record.settings import frame_of
from stallwise.record.sheet import read_sheet
from stallwise.record.store import READINGS_BYTES, read_outside
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html, planshown
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.latest import Later, Latest, _soon
from stallwise.surfaces.widgets.readingfields import ReadingFields

__all__ = ["ReadingsPanel"]

_DROP = "Drop a file of readings here: a table with a column of times, or short lines."


@dataclass(frozen=True)
class Source:
    """A file as it was when it was read: what is brought in is what was shown."""

    name: str
    data: bytes


class ReadingsPanel:
    """Import of readings.

    Parameters
    ----------
    desk : Desk
        The cook.
    later : callable, optional
        Schedules the reading; the default is the kernel's event loop.
    raises : bool
        Let callbacks raise, for tests.
    """

    def __init__(self, desk: Desk, *, later: Later = _soon, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self._latest = Latest(self.guard(self._read), later)
        self.source: Source | None = None
        self.report: ReadingsReport | None = None
        self.file = ui.FileUpload(
            description="Choose a file", accept=".csv,.tsv,.txt,.log", multiple=False
        )
        self.file.observe(self.guard(self._chosen), "value")
        self.path = ui.Text(
            description="Or a file on the notebook's computer, by its path",
            placeholder="from the cook's folder on, or whole",
            continuous_update=False,
        )
        self.path.observe(self.guard(self._named), "value")
        self.understood = html.show(html.text(""), "sw-read")
        self.asked = ui.VBox([])
        self.fields = ReadingFields(self._changed)
        self.bring = self.guard.button(
            "Bring these in", "sw-bring", self._bring, button_style="primary", disabled=True
        )
        self.day = html.show(html.text(""), "sw-readings-day")
        self.there = html.show(html.text(""), "sw-there")
        self._show_there()
        self.widget = self._laid_out()

    def _laid_out(self) -> ui.VBox:
        words = html.show(html.element("p", _DROP))
        drop = ui.VBox([words, self.file])
        drop.add_class("sw-drop")
        self.file.add_class("sw-readings-file")
        self.path.add_class("sw-readings-path")
        self.asked.add_class("sw-readings-asked")
        self.fields.widget.layout.display = "none"
        whole = ui.VBox(
            [html.dress(), drop, self.path, self.guard.box, self.understood, self.asked,
             self.fields.widget, self.bring, self.day, self.there]
        )  # fmt: skip
        whole.add_class("sw")
        whole.add_class("sw-readings")
        return whole

    # ---- what happens

    def _chosen(self, change: Mapping[str, Any]) -> None:
        if not change["new"]:
            return
        came = change["new"][0]
        name = Path(str(came["name"]).replace("\\", "/")).name or "readings.csv"
        self._take(Source(name, bytes(came["content"])))

    def _named(self, change: Mapping[str, Any]) -> None:
        if change["new"].strip():
            path = self.place
            self._take(Source(path.name, read_outside(path, READINGS_BYTES)))

    @property
    def place(self) -> Path:
        """The file that is named, from the cook's folder on."""
        return self.desk.folder.path / Path(self.path.value.strip()).expanduser()

    def _take(self, source: Source) -> None:
        """Read another file; one of the same name keeps what was answered."""
        if self.source is None or source.name != self.source.name:
            self.fields.forget()
        self.source = source
        self._changed()

    def _changed(self) -> None:
        # What is on the button is what was shown.
        self.bring.disabled = True
        self.report = None
        self._latest.ask()

    def _read(self) -> None:
        source, said = self.source, self.fields.said
        if source is None:
            return
        self.guard.clear()
        self.fields.widget.layout.display = ""
        frame = frame_of(self.desk.folder)
        names = _columns(source)
        try:
            report = self._import(source, dry_run=True)
        except InputError as error:
            self.fields.show(names, (), frame)
            self._ask([])
            html.put(self.understood, html.text(""))
            self.fields.open_for(words := in_boxes(str(error)))
            raise InputError(words) from error
        self.fields.show(names, report.channels, frame)
        self._ask([asked(question) for question in report.questions])
        self.report = report
        html.put(self.understood, _report_html(report, said.zone))
        self.bring.disabled = bool(report.questions or report.already)

    def _import(self, source: Source, *, dry_run: bool) -> ReadingsReport:
        said, folder = self.fields.said, self.desk.folder
        return imports.bring_in(
            folder, source.name, source.data, frame_of(folder, said.zone or None),
            said.answers(folder), over=said.over, dry_run=dry_run, ask=said.asks(folder),
        )  # fmt: skip

    def _ask(self, questions: list[Any]) -> None:
        """Show what is asked, each with its answers as buttons."""
        boxes = []
        for one in questions:
            self.fields.open_for(one.words)
            buttons = ui.HBox([self._offer(offer) for offer in one.offers])
            buttons.add_class("sw-buttons")
            box = ui.VBox([html.show(html.element("p", html.unbroken(one.words))), buttons])
            box.add_class("sw-asked")
            boxes.append(box)
        self.asked.children = tuple(boxes)

    def _offer(self, offer: Offer) -> ui.Button:
        return self.guard.button(offer.words, "sw-offer", lambda _: self.fields.take(offer))

    def _bring(self, _button: object) -> None:
        if self.source is None or self.report is None:
            return
        self.desk.present()
        before = self._many
        done = self._import(self.source, dry_run=False)
        if done.questions:  # another window was faster
            self._changed()
            return
        self.bring.disabled = True
        self.report = None
        self.file.value = ()
        self.fields.widget.layout.display = "none"
        self.came_in()
        words = f"{self._many - before} readings brought in; the file as it came lies beside them."
        if not done.written:
            words = f"These readings are there already ({done.already}); nothing was added."
        self.guard.say(words)

    def came_in(self) -> None:
        """Answer anew with the readings that are there now, and show the day."""
        self.desk.reload()
        self._show_there()
        html.put(self.day, html.joined(planshown.pictures(self.desk.result, prefix="read")))
        self.desk.tell()

    @property
    def _many(self) -> int:
        return sum(len(one.kept()) for one in self.desk.record.readings)

    def _show_there(self) -> None:
        record = self.desk.record
        if not record.readings:
            words = html.element("p", "There are no readings yet.", class_="sw-soft")
            html.put(self.there, words)
            return
        many = len(record.readings)
        said = f"There: {self._many} readings of {many} probe{'s' * (many != 1)}"
        summary = html.element("summary", said)
        table = html.table(there_table(record.readings, record.zone))
        html.put(self.there, html.element("details", summary, table))


def _columns(source: Source) -> tuple[str, ...]:
    try:
        return read_sheet(text_of(source.data, source.name), source.name).names
    except InputError:
        return ()


def _report_html(report: ReadingsReport, zone: str) -> html.Safe:
    """Lay out a dry run: the table, the zone, what was taken for granted."""
    said = [
        f"Times are read in {report.zone}" + (", as was said." if zone else ", the cook's zone.")
    ]
    if not zone and report.zone != report.home:
        said = [f"Times are read in {report.zone}, as the file says."]
    if report.already:
        said.append(f"These readings are there already ({report.already}): nothing to bring in.")
    notes = [*said, *(f"{in_boxes(note)}." for note in report.notes)]
    return html.joined(
        (
            html.table(understood_table(report), class_="sw-read-table"),
            *(html.element("p", html.unbroken(note), class_="sw-soft") for note in notes),
        )
    )
