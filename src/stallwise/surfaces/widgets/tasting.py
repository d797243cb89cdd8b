"""Afterwards: how it tasted, one number, next time, pictures with a caption, side-by-sides."""

from __future__ import annotations

from typing import Any

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.result import Result
from stallwise.joins.tables import Table
from stallwise.surfaces.attaching import attach
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.sidebysides import SideBySides

__all__ = ["Tasting", "photo_table"]


class Tasting:
    """Notes on the eating, and photos.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        cook = desk.record.cook
        self.notes = ui.Textarea(description="How it tasted", value=cook.tasting or "", rows=4)
        self.name = ui.Text(
            description="One number of your own: what it counts",
            value=cook.number.name if cook.number else "",
            placeholder="for example: plates that came back empty",
        )
        self.number = ui.Text(
            description="The number", value=f"{cook.number.value:g}" if cook.number else ""
        )
        self.out_of = ui.Text(
            description="Out of (may stay empty)",
            value=f"{cook.number.out_of:g}" if cook.number and cook.number.out_of else "",
        )
        self.next_time = ui.Text(description="Next time", value=cook.next_time or "")
        self._was = self._said()
        self.keep = self.guard.button(
            "Keep notes", "sw-keep-notes", self._keep, button_style="primary"
        )
        self.photo = ui.FileUpload(description="Choose a photo", accept="image/*", multiple=False)
        self.caption = ui.Text(description="Caption")
        self.attach = self.guard.button("Attach", "sw-attach", self._attach)
        self.photos = html.show(html.table(photo_table(desk)), "sw-photos")
        self.trials = SideBySides(desk, raises=raises)
        self.widget = self._laid_out()
        desk.listen(self._follow)

    def _laid_out(self) -> ui.VBox:
        for part, name in {
            self.notes: "sw-tasting",
            self.name: "sw-number-name",
            self.number: "sw-number",
            self.out_of: "sw-out-of",
            self.next_time: "sw-next-time",
            self.photo: "sw-photo",
            self.caption: "sw-caption",
        }.items():
            part.add_class(name)
        numbers = ui.HBox([self.name, self.number, self.out_of])
        pictures = ui.HBox([self.photo, self.caption, self.attach])
        for row in (numbers, pictures):
            row.add_class("sw-row")
        whole = ui.VBox(
            [
                html.dress(),
                self.notes,
                numbers,
                self.next_time,
                self.keep,
                self.photos,
                pictures,
                self.guard.box,
                self.trials.widget,
            ]
        )
        whole.add_class("sw")
        whole.add_class("sw-taste")
        return whole

    def _keep(self, _button: object) -> None:
        said = self._said()
        # What is as it was shown here may have been changed elsewhere since: it stays.
        self.desk.note({name: value for name, value in said.items() if value != self._was[name]})
        self._was = said
        self.guard.say("Kept in cook.toml.")
        self.desk.tell()

    def _follow(self, _result: Result) -> None:
        """Show what another panel kept, where nothing else was typed here."""
        html.put(self.photos, html.table(photo_table(self.desk)))
        kept = self.desk.record.cook.next_time
        if self._said_next() == self._was["next_time"] != kept:
            self.next_time.value, self._was["next_time"] = kept or "", kept

    def _said_next(self) -> str | None:
        return self.next_time.value.strip() or None

    def _said(self) -> dict[str, Any]:
        return {
            "tasting": self.notes.value.strip() or None,
            "next_time": self._said_next(),
            "number": self._number(),
        }

    def _number(self) -> dict[str, Any] | None:
        name, value = self.name.value.strip(), self.number.value.strip()
        if not (name or value):
            return None
        if not (name and value):
            raise InputError("one of name and number is empty", "both, or neither")
        found: dict[str, Any] = {"name": name, "value": _figure("the number", value)}
        if self.out_of.value.strip():
            found["out_of"] = _figure("out of", self.out_of.value)
        return found

    def _attach(self, _button: object) -> None:
        if not self.photo.value:
            raise InputError("no photo is chosen", "one picture", "Choose a photo first")
        chosen = self.photo.value[0]
        attach(self.desk, chosen["name"], bytes(chosen["content"]), self.caption.value)
        html.put(self.photos, html.table(photo_table(self.desk)))
        self.guard.say(f"Attached {chosen['name']}.")
        self.photo.value = ()
        self.caption.value = ""


def photo_table(desk: Desk) -> Table:
    """Photos that are attached, with their captions."""
    rows = tuple((photo.file, photo.caption) for photo in desk.record.cook.photos)
    return Table("Photos", ("file", "caption"), rows)


def _figure(what: str, text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(f"{what} {text!r}", "a number such as 26 or 4.5") from None
