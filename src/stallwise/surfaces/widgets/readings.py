"""Readings of probes: a file dropped or named, what is understood of it, what is asked; then it comes in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.log.readinganswers import said_before
from stallwise.joins.log.readingsaid import (
    Asked,
    Offer,
    asked,
    in_boxes,
    there_table,
    understood_table,
)
from stallwise.record import imports
from stallwise.record.following import EVERY_S, Look, followed
from stallwise.record.logtext import text_of
from stallwise.record.readingsreport import ReadingsReport
from stallwise.record.settings import frame_of
from stallwise.record.sheet import read_sheet
from stallwise.record.store import READINGS_BYTES, read_outside
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html, planshown
from stallwise.surfaces.widgets.following import Watch
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
    every_s : float
        Pause between two looks at a file that is followed [s].
    """

    def __init__(
        self, desk: Desk, *, later: Later = _soon, raises: bool = False, every_s: float = EVERY_S
    ) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self._latest = Latest(self.guard(self._read), later)
        self.source: Source | None = None
        self._path: Path | None = None
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
        self.follow = self.guard.button(
            "Follow this file", "sw-follow", self._follow, disabled=True
        )
        self.followed = html.show(html.text(""), "sw-followed")
        self.watch = Watch(
            str(desk.folder.path),
            self.guard(self._looked),
            self.guard(self._broke),
            every_s=every_s,
        )
        self._looks = 0
        self.day = html.show(html.text(""), "sw-readings-day")
        self.there = html.show(html.text(""), "sw-there")
        self._show_there()
        self.widget = self._laid_out()
        self._take_up()

    def _laid_out(self) -> ui.VBox:
        words = html.show(html.element("p", _DROP))
        drop = ui.VBox([words, self.file])
        drop.add_class("sw-drop")
        self.file.add_class("sw-readings-file")
        self.path.add_class("sw-readings-path")
        self.asked.add_class("sw-readings-asked")
        self.fields.widget.layout.display = "none"
        buttons = ui.HBox([self.bring, self.follow])
        buttons.add_class("sw-buttons")
        whole = ui.VBox(
            [html.dress(), drop, self.path, self.guard.box, self.understood, self.asked,
             self.fields.widget, buttons, self.followed, self.day, self.there]
        )  # fmt: skip
        whole.add_class("sw")
        whole.add_class("sw-readings")
        return whole

    def _take_up(self) -> None:
        """Name the file again that was followed, while the cook runs: a new kernel knows of none."""
        before = [record.get("source") for _, record in followed(self.desk.folder)]
        if before and before[-1] and self.desk.result.state == "running":
            self.path.value = str(before[-1])

    # ---- what happens

    def _chosen(self, change: Mapping[str, Any]) -> None:
        if not change["new"]:
            return
        came = change["new"][0]
        name = Path(str(came["name"]).replace("\\", "/")).name or "readings.csv"
        self._take(Source(name, bytes(came["content"])), None)

    def _named(self, change: Mapping[str, Any]) -> None:
        if change["new"].strip():
            # From the cook's folder on; a whole path is taken as it is.
            path = self.desk.folder.path / Path(self.path.value.strip()).expanduser()
            self._take(_of_path(path), path)

    def _take(self, source: Source, path: Path | None) -> None:
        """Read another file; one of the same name keeps what was answered, now or when it was followed."""
        self._stop()
        if self.source is None or source.name != self.source.name:
            self.fields.forget(said_before(self.desk.folder, source.name))
        self.source, self._path = source, path
        self._changed()

    def _changed(self) -> None:
        # What is on the button is what was shown.
        self.bring.disabled = self.follow.disabled = True
        self.report = None
        self._latest.ask()

    def _read(self) -> None:
        if self._path is not None:
            self.source = _of_path(self._path)  # it may have grown since
        source = self.source
        if source is None:
            return
        self.guard.clear()
        if self._path is not None and not source.data:
            self.follow.disabled = False
            self.guard.say(
                f"There is nothing in {source.name} yet: follow it, and it is taken up when it comes.",
                kind="asked",
            )
            return
        self.fields.widget.layout.display = ""
        frame = frame_of(self.desk.folder)
        names = _columns(source)
        self.fields.take_up(names, frame)
        try:
            report = self._import(source, dry_run=True)
        except InputError as error:
            self.fields.show((), frame)
            # What is refused may offer a way too: to let another reading of the same file count.
            ways = [offer for offer in asked(str(error)).offers if offer.key == "overlap"]
            self._ask([Asked("The way that is offered:", tuple(ways))] if ways else [])
            html.put(self.understood, html.text(""))
            self.fields.open_for(words := in_boxes(str(error)))
            raise InputError(words) from error
        self.fields.show(report.channels, frame)
        self._ask([asked(question) for question in report.questions])
        self.report = report
        html.put(self.understood, _report_html(report, self.fields.said.zone))
        self.bring.disabled = bool(report.questions or report.already or self.watch.runs)
        self.follow.disabled = self._path is None or bool(report.questions and not self.watch.runs)
        if self.watch.runs:
            self._start()  # with what was answered now

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

    # ---- a file that grows

    def _follow(self, _button: object) -> None:
        if self.watch.runs:
            self._stop()
            self.guard.say("No longer followed; what came in is kept.")
            return
        if self._path is None or self.source is None:
            return
        self.desk.present()
        self.guard.clear()
        self.bring.disabled = True
        self._start()

    def _start(self) -> None:
        if self._path is not None:
            one = self.fields.said.follow(self.desk.folder, self._path)
            self.watch.start(one.look)
            self._name_follow()

    def _stop(self) -> None:
        self.watch.stop()
        self._name_follow()

    def _name_follow(self) -> None:
        self.follow.description = "Stop following" if self.watch.runs else "Follow this file"

    def _broke(self, error: Exception) -> None:
        """Show what nobody foresaw, where it would vanish in a thread."""
        self._name_follow()
        raise error

    def _looked(self, look: Look) -> None:
        """Show what a look found; the forecast is made anew where readings came in."""
        self._looks += 1
        clock = f"{self.desk.now.astimezone(self.desk.record.zone):%H:%M:%S}"
        kind = {"new": "said", "same": "said", "asked": "asked"}.get(look.state, "asked")
        mark = html.element("span", data_shown=str(self._looks), data_state=look.state)
        words = html.element("p", f"{clock}  {look.words}")
        said = [mark, html.element("div", words, class_=f"sw-{kind}", role="status")]
        if self.watch.runs:
            often = f"Looked at every {self.watch.every_s:g} s as long as this kernel runs."
            said.append(html.element("p", often, class_="sw-soft"))
        html.put(self.followed, html.joined(said))
        if look.report:
            if not self.fields.columns and self._path is not None:
                self.fields.take_up(_columns(_of_path(self._path)), frame_of(self.desk.folder))
                self.fields.show(look.report.channels, frame_of(self.desk.folder))
                self.fields.widget.layout.display = ""
            html.put(self.understood, _report_html(look.report, self.fields.said.zone))
            self._ask([asked(question) for question in look.report.questions])
        if look.state == "new":
            self.came_in()

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


def _of_path(path: Path) -> Source:
    """Read a file by its path; one that is not there yet is empty."""
    if not path.exists():
        return Source(path.name, b"")
    return Source(path.name, read_outside(path, READINGS_BYTES))


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
