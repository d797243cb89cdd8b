"""The cook on the table: what is kept on disk, what was changed since, and the answer to it.

Panels and plain notebooks work on the same desk; it knows no widget. Nothing is written
but by `keep`, `note`, `log` and `put`, and then to the cook's files.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from stallwise.joins.ask import ask, ask_what_if, keep_forecast
from stallwise.joins.parameters import PARAMETERS, edits, resolve, split_name
from stallwise.joins.result import Lever, Result
from stallwise.joins.tables import Table
from stallwise.record.cook import CookRecord
from stallwise.record.cookfolder import CookFolder
from stallwise.record.log import LogLine, effective
from stallwise.record.schema import Cook
from stallwise.record.store import ANY

__all__ = ["Desk", "changes_from", "log_table"]

#: Moves of one slider within this time [s] are one move to `undo`.
_STROKE_S = 2.0


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


class Desk:
    """A cook being worked on.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    changes : mapping, optional
        Plan parameters laid over, as with ``--set``; not kept until `keep`.
    as_of : str, optional
        Moment to answer for.
    now : callable, optional
        Wall clock, aware.
    """

    def __init__(
        self,
        folder: CookFolder,
        changes: Mapping[str, Any] | None = None,
        *,
        as_of: str | None = None,
        now: Callable[[], dt.datetime] = _now,
    ) -> None:
        self.folder = folder
        self.as_of = as_of
        self._now = now
        self._listeners: list[Callable[[Result], None]] = []
        self._before: list[dict[str, Any]] = []
        self._stroke: tuple[str, float] = ("", 0.0)
        self._result: Result | None = None
        self.changes: dict[str, Any] = dict(changes or {})
        self.record: CookRecord
        self._read()
        resolve(self.record.cook, self.changes)

    @property
    def cook(self) -> Cook:
        """The cook as changed."""
        return resolve(self.record.cook, self.changes)

    @property
    def now(self) -> dt.datetime:
        """Wall clock."""
        return self._now()

    @property
    def result(self) -> Result:
        """Answer to the cook as changed."""
        if self._result is None:
            self._result = ask(
                self.record, made_at=self._now(), as_of=self.as_of, changes=self.changes
            )
        return self._result

    def what_if(self, *letters: str) -> tuple[Lever, ...]:
        """Try what would change the answer, for some pieces or all of them."""
        return ask_what_if(self.record, self.result, changes=self.changes, pieces=letters)

    @property
    def unkept(self) -> dict[str, Any]:
        """Changes that `keep` would write."""
        return {name: value for name, value in self.changes.items() if _is_plan(name)}

    @property
    def can_undo(self) -> bool:
        """Whether there is something to take back."""
        return bool(self._before)

    def change(self, values: Mapping[str, Any]) -> None:
        """Lay changes over the cook; a refused value leaves it as it was.

        Parameters
        ----------
        values : mapping
            Parameters, with a letter where it is one piece's or pit's own; None goes back
            to what is kept.
        """
        changes = {k: v for k, v in {**self.changes, **values}.items() if v is not None}
        resolve(self.record.cook, changes)
        if changes == self.changes:
            return
        stroke, moment = "+".join(values), time.monotonic()
        if self._stroke[0] != stroke or moment - self._stroke[1] >= _STROKE_S:
            self._before.append(self.changes)
        self._stroke = (stroke, moment)
        self._lay(changes)

    def undo(self) -> None:
        """Take the last change back."""
        if self._before:
            self._stroke = ("", 0.0)
            self._lay(self._before.pop())

    def back_to_kept(self) -> None:
        """Drop every change of the plan; `undo` brings them back."""
        if self.unkept:
            self._before.append(self.changes)
            self._stroke = ("", 0.0)
            self._lay(self._of_the_run())

    def keep(self) -> None:
        """Write the changes to ``cook.toml`` and keep the forecast."""
        if self.unkept:
            self.folder.save(edits(self.record.cook, self.unkept), expected=self._text)
        self.changes = self._of_the_run()
        self._before.clear()
        self._again()
        keep_forecast(self.folder, self.result)

    def note(self, values: Mapping[str, Any]) -> None:
        """Write facts that are no plan (notes, captions, the one number) to ``cook.toml``."""
        self.folder.save(values, expected=self._text)
        self._again()

    def log(self, lines: Iterable[LogLine]) -> tuple[int, int]:
        """Append log lines; how many were written, and how many were there already."""
        done = self.folder.append(list(lines))
        self._again()
        if done.written and self.result.state == "running":
            keep_forecast(self.folder, self.result)
        return len(done.written), len(done.already)

    def put(self, name: str, content: str) -> None:
        """Write a file beside the plan that is made anew each time, such as a sheet to print."""
        self.folder.store.replace(self.folder.path / name, content, expected=ANY)

    def listen(self, told: Callable[[Result], None]) -> None:
        """Tell `told` of every answer that `tell` gives out."""
        self._listeners.append(told)

    def tell(self) -> None:
        """Answer, and hand the answer to all who listen."""
        result = self.result
        for told in self._listeners:
            told(result)

    def reload(self) -> None:
        """Read the cook's files again; changes that were not kept stay laid over."""
        self._again()

    def _of_the_run(self) -> dict[str, Any]:
        """Pick the settings that no file keeps: seed and number of possible days."""
        return {name: value for name, value in self.changes.items() if not _is_plan(name)}

    def _again(self) -> None:
        self._read()
        self._result = None

    def _lay(self, changes: dict[str, Any]) -> None:
        self.changes = changes
        self._result = None

    def _read(self) -> None:
        self._text = self.folder.text()
        self.record = self.folder.load()


def _is_plan(name: str) -> bool:
    return split_name(name)[0].level != "run"


def changes_from(names: Mapping[str, Any]) -> dict[str, Any]:
    """Plan parameters among the names of a notebook that were given a value."""
    found = {}
    for name, value in names.items():
        if name.partition("__")[0] in PARAMETERS and value is not None:
            split_name(name)
            found[name] = value
    return found


def log_table(record: CookRecord) -> Table:
    """List what is logged, in order of time."""
    from stallwise.joins.paper import entry_words

    lines = effective(record.log)
    return Table("Logged", ("line",), tuple((entry_words(line, record),) for line in lines))
