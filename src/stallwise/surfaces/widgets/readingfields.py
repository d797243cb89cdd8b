"""What a cook says of a file of readings: a row for each column, and the rest behind a fold."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import ipywidgets as ui

from stallwise.joins.log.readinganswers import Said
from stallwise.joins.log.readingsaid import LABELS, Offer
from stallwise.record.frame import Frame
from stallwise.record.readings import Channel
from stallwise.surfaces.widgets.fields import ChoiceField, TextField

__all__ = ["ReadingFields"]

_CHOICES: Mapping[str, Sequence[tuple[str, str]]] = {
    "unit": (("as the file says", ""), ("°F", "F"), ("°C", "C")),
    "dates": (
        ("as the file tells", ""), ("day first", "day first"), ("month first", "month first"),
    ),
    "clock": (("as the file tells", ""), ("12 hours", "12"), ("24 hours", "24")),
    "overlap": (
        ("asked where it matters", ""), ("keep those, skip the new", "skip"),
        ("add what has another time", "merge"), ("count the new ones", "replace"),
    ),
}  # fmt: skip
_HINTS: Mapping[str, str] = {
    "start": "such as 2026-09-26 06:10",
    "shift": "such as 1 h earlier; 0 if the clock was right",
    "every": "for a file without times, such as 10 s",
    "rows": "where a file holds several cooks, such as session = 2",
}
#: What stands in the boxes behind the fold, in their order.
_OF_FILE = ("unit", "zone", "dates", "clock", "start", "shift", "every", "overlap", "rows")
_TIMES = (
    ("the times", "time"), ("elapsed minutes", "minutes"), ("elapsed hours", "hours"),
    ("elapsed seconds", "seconds"),
)  # fmt: skip
_UNITS = (("unit as read", ""), ("°F", "F"), ("°C", "C"))


class ReadingFields:
    """Answers about one file.

    Parameters
    ----------
    changed : callable
        Called after any of them changed.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self.columns: dict[str, ColumnRow] = {}
        self._columns_before: Mapping[str, str] = {}
        self.of_file: dict[str, ChoiceField | TextField] = {
            key: ChoiceField(key, LABELS[key], _CHOICES[key], self._told)
            if key in _CHOICES
            else TextField(key, LABELS[key], self._told)
            for key in _OF_FILE
        }
        for field in self.of_file.values():
            field.show("")
        self.rows = ui.VBox([])
        self.rows.add_class("sw-columns")
        rest = ui.Box([field.widget for field in self.of_file.values()])
        rest.add_class("sw-rest")
        self.others = ui.VBox([])
        self.fold = ui.Accordion([ui.VBox([rest, self.others])], selected_index=None)
        self.fold.set_title(0, "Clock, zone, dates, units, earlier readings, other columns")
        self.fold.add_class("sw-fold")
        self.widget = ui.VBox([self.rows, self.fold])

    @property
    def said(self) -> Said:
        """All that was said, as typed."""
        texts = {key: str(field.box.value or "").strip() for key, field in self.of_file.items()}
        pairs = [part.partition("=") for part in texts.pop("rows").split(",") if part.strip()]
        columns = {name: row.said for name, row in self.columns.items() if row.said}
        rows = {name.strip(): value.strip() for name, _, value in pairs}
        return replace(Said(), columns=columns, rows=rows, **texts)

    def forget(self, said: Said | None = None) -> None:
        """Start anew for another file, with what was said of it before."""
        before = (said or Said()).plain
        self._columns_before = before.pop("columns", {})
        rows = before.pop("rows", {})
        before["rows"] = ", ".join(f"{name} = {value}" for name, value in rows.items())
        for key, field in self.of_file.items():
            field.show(before.get(key, ""))
        self.columns = {}
        self.rows.children = self.others.children = ()

    def take_up(self, names: Sequence[str], frame: Frame) -> None:
        """Make a row for each column of the file, with what was said of it before."""
        for name in names:
            if name not in self.columns:
                self.columns[name] = ColumnRow(name, frame, self._changed)
                if what := self._columns_before.get(name):
                    self.columns[name].choose(what)

    def show(self, channels: Sequence[Channel], frame: Frame) -> None:
        """Say of each column what it was taken for."""
        for key, hint in {**_HINTS, "zone": f"the cook's: {frame.home or frame.zone}"}.items():
            self.of_file[key].box.placeholder = hint
        found = {channel.name: channel for channel in reversed(channels)}
        for name, row in self.columns.items():
            row.show(found.get(name))
        # What holds no temperatures is seldom asked about; what was answered stays where it is.
        front = [name for name, row in self.columns.items() if name in found or row.said]
        shown = [self.columns[name].widget for name in front]
        rest = [row.widget for name, row in self.columns.items() if name not in front]
        for box, rows in ((self.rows, tuple(shown)), (self.others, tuple(rest))):
            if rows != box.children:
                box.children = rows
        if self.columns and not front:
            self.fold.selected_index = 0

    def take(self, offer: Offer) -> None:
        """Give an answer that a question offers."""
        if offer.key == "column":
            name, _, what = offer.value.rpartition("=")
            named = {each.casefold(): row for each, row in self.columns.items()}
            if row := named.get(name.casefold()):
                row.choose(what)
        else:
            self.of_file[offer.key].show(offer.value)
        self._changed()

    def open_for(self, words: str) -> None:
        """Open the fold where a question names a box in it."""
        if any(f"“{LABELS[key]}”" in words for key in _OF_FILE):
            self.fold.selected_index = 0

    def _told(self, _name: str, _text: str | None) -> None:
        self._changed()


class ColumnRow:
    """One column: what it measures, the place in it, and its unit where the header is wrong."""

    def __init__(self, name: str, frame: Frame, changed: Callable[[], None]) -> None:
        self._pits = frame.pits
        self._base = [
            *((f"piece {letter}", letter) for letter in frame.pieces),
            *((f"pit {letter}", letter) for letter in frame.pits),
            ("not read", "skip"),
            *_TIMES,
        ]
        self._own: list[tuple[str, str]] = []
        self._understood = ""
        self._quiet = False
        self.what = ui.Dropdown(
            description=f"“{name}” measures", options=[("", ""), *self._base], value=""
        )
        self.place = ui.Text(
            description=f"Place of “{name}”",
            placeholder="core, flat, lid …",
            continuous_update=False,
        )
        self.unit = ui.Dropdown(description=f"Unit of “{name}”", options=_UNITS, value="")
        self._changed = changed
        for box in (self.what, self.place, self.unit):
            box.observe(self._told, "value")
        self.widget = ui.HBox([self.what, self.place, self.unit])
        self.widget.add_class("sw-row")
        self.widget.add_class("sw-column")

    @property
    def said(self) -> str:
        """What was said of it, as an option would; empty where nothing was."""
        what = self.what.value or (
            self._understood if self.place.value.strip() or self.unit.value else ""
        )
        if not what or what in {"skip", *(value for _, value in _TIMES)} or " until " in what:
            return what
        return " ".join(part for part in (what, self.place.value.strip(), self.unit.value) if part)

    def show(self, channel: Channel | None) -> None:
        """Say what it is taken for where nothing else is chosen."""
        self._understood = (channel.piece or channel.pit) if channel else ""
        taken = "not read"
        if channel:
            kind = "piece" if channel.piece else "pit"
            taken = f"{kind} {self._understood}" if self._understood else "?"
        label = f"as its name says: {taken}" if taken != "?" else "choose what it measures"
        self._offer([(label, ""), *self._base, *self._own], self.what.value)

    def choose(self, what: str) -> None:
        """Take an answer such as ``A``, ``pit C`` or ``A until 13:05 B``."""
        words = what.split()
        if "until" in words:
            self._own = [(what, what)]
            self._offer([*self.what.options, *self._own], what)
            return
        unit = words.pop() if len(words) > 1 and words[-1] in {"C", "F"} else ""
        letter = self._pits[0] if words[0] == "pit" else words[0]
        self._offer(list(self.what.options), letter)
        self._quiet = True
        self.place.value, self.unit.value = " ".join(words[1:]) or self.place.value, unit
        self._quiet = False

    def _offer(self, options: Sequence[tuple[str, str]], value: str) -> None:
        self._quiet = True
        if list(self.what.options) != list(options):
            self.what.options = list(options)
        self.what.value = value if value in {key for _, key in options} else ""
        self._quiet = False

    def _told(self, _change: object) -> None:
        if not self._quiet:
            self._changed()
