"""The cook on the table: what is kept on disk, what was changed since, and the answer to it.

Panels and plain notebooks work on the same desk; it knows no widget. Nothing is written
but by `keep`, `note`, `log` and `put`, and then to the cook's files.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from stallwise.ground.errors import InputError, StallwiseError
from stallwise.joins import lineup
from stallwise.joins.ask import ask, ask_what_if, keep_forecast
from stallwise.joins.draft import cooked_first, last_of_cut
from stallwise.joins.log.paper import changes_plan
from stallwise.joins.log.trying import looked_back, try_on
from stallwise.joins.parameters import PARAMETERS, edits, resolve, split_name
from stallwise.joins.result import Lever, Result
from stallwise.joins.since import came_out, since
from stallwise.joins.tables import Table
from stallwise.record.cook import CookRecord
from stallwise.record.cookfolder import CookFolder
from stallwise.record.log import LogLine, effective, is_withdrawal
from stallwise.record.schema import Cook, Piece
from stallwise.record.store import ANY
from stallwise.record.unwritten import Unwritten, keep_unwritten

__all__ = ["Desk", "changes_from", "log_table"]

#: Moves of one slider within this time [s] are one move to `undo`.
_STROKE_S = 2.0

#: A line that is older was not written when it happened, but typed in later.
_LATE = dt.timedelta(minutes=10)

#: One more piece or one less, told to a cook as it was read.
_Move = Callable[[CookRecord], Cook]


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
        self._before: list[tuple[tuple[_Move, ...], dict[str, Any]]] = []
        self._moves: tuple[_Move, ...] = ()
        self._earlier: dict[str, CookRecord | None] = {}
        self._stroke: tuple[str, float] = ("", 0.0)
        self._result: Result | None = None
        self._turned: tuple[LogLine, ...] = ()
        self._changed: Cook | None = None
        self.changes: dict[str, Any] = dict(changes or {})
        self.record: CookRecord
        self._read()
        resolve(self.record.cook, self.changes)

    @property
    def cook(self) -> Cook:
        """The cook as changed."""
        if self._changed is None:
            self._changed = resolve(self.record.cook, self.changes)
        return self._changed

    @property
    def now(self) -> dt.datetime:
        """Wall clock."""
        return self._now()

    @property
    def result(self) -> Result:
        """Answer to the cook as changed."""
        if self._result is None:
            self._result = self._asked(self.as_of)
        return self._result

    def _asked(self, as_of: str | dt.datetime | None) -> Result:
        return ask(self.record, made_at=self._now(), as_of=as_of, changes=self.changes)

    @property
    def waits(self) -> bool:
        """Whether something changed since the last answer."""
        return self._result is None

    def what_if(self, *letters: str) -> tuple[Lever, ...]:
        """Try what would change the answer, for some pieces or all of them."""
        return ask_what_if(self.record, self.result, changes=self.changes, pieces=letters)

    @property
    def unkept(self) -> dict[str, Any]:
        """What `keep` would write: changed parameters, and the letters of pieces that came or went."""
        was, now = (
            [piece.letter for piece in cook.pieces] for cook in (self._kept, self.record.cook)
        )
        new, gone = "".join(x for x in now if x not in was), "".join(x for x in was if x not in now)
        moved = {"more": new, "less": gone}
        cuts = {piece.letter: piece.cut for piece in self._kept.pieces}
        recut = {
            f"cut__{piece.letter}": piece.cut
            for piece in self.record.cook.pieces
            if cuts.get(piece.letter, piece.cut) != piece.cut
        }
        return {name: said for name, said in moved.items() if said} | recut | self._settings()

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
            self._before.append((self._moves, self.changes))
        self._stroke = (stroke, moment)
        self._lay(self._moves, changes)

    def add(self, cut: str) -> str:
        """Put one more piece of a cut on, planned like the last one cooked; its letter."""
        like = self._like(cut)
        return self._move(lambda record: lineup.with_piece(record.cook, cut, like))

    def recut(self, letter: str, cut: str) -> None:
        """Make a piece another cut, planned like the last one cooked."""
        like = self._like(cut)
        # What was changed of the other cut says nothing of this one.
        own = {name: v for name, v in self.changes.items() if not name.endswith(f"__{letter}")}
        self._move(lambda record: lineup.with_cut(record.cook, letter, cut, like), own)

    def copy(self, letter: str) -> str:
        """Put one more piece on like one there is, as changed; the new letter."""
        source = next(piece for piece in self.cook.pieces if piece.letter == letter)
        return self._move(lambda record: lineup.with_copy(record.cook, letter, source))

    def remove(self, letter: str) -> None:
        """Take a piece out of the plan; see `lineup.without_piece` for what is refused."""
        self._move(partial(lineup.without_piece, letter=letter))

    def last_of(self, cut: str) -> tuple[str, Cook] | None:
        """Newest other cook with a piece of a cut, one that was cooked if there is one."""
        book = (each for each in cooked_first(self.folder.home) if each[0] != self.folder.name)
        return last_of_cut(book, cut)

    def before(self, letter: str) -> tuple[str, Table] | None:
        """Tell the cook that a piece's plan came from, how it came out, and what is different since.

        Parameters
        ----------
        letter : str
            Of the piece.

        Returns
        -------
        tuple of str and Table, or None
            None where it came from nowhere, or from a cook that is gone.
        """
        cook = self.cook
        cut = next(piece.cut for piece in cook.pieces if piece.letter == letter)
        if cut not in self._earlier:
            self._earlier[cut] = self._came_from(cut)
        record = self._earlier[cut]
        table = None if record is None else since(record.cook, cook, letter)
        if record is None or table is None:
            return None
        said = f"{record.cook.title}, {record.cook.date:%d %B %Y}: {came_out(record, cut)}"
        return said, table

    def _came_from(self, cut: str) -> CookRecord | None:
        name = self._kept.carried_from
        if any(piece.cut == cut for piece in self._kept.pieces):
            found = name
        else:
            found = (self.last_of(cut) or (None,))[0]
        try:
            return self.folder.home.cook(found).load() if found else None
        except StallwiseError:
            return None  # it was renamed or taken away; this cook stands without it

    def _like(self, cut: str) -> Piece | None:
        before = self.last_of(cut)
        pieces = before[1].pieces if before else []
        return next((piece for piece in pieces if piece.cut == cut), None)

    def undo(self) -> None:
        """Take the last change back."""
        if self._before:
            self._stroke = ("", 0.0)
            self._lay(*self._before.pop())

    def back_to_kept(self) -> None:
        """Drop every change of the plan; `undo` brings them back."""
        if self.unkept:
            self._before.append((self._moves, self.changes))
            self._stroke = ("", 0.0)
            self._lay((), self._of_the_run())

    def keep(self) -> None:
        """Write the changes to ``cook.toml`` and keep the forecast."""
        self.present()
        if self.unkept:
            cook = self.record.cook
            said = lineup.written(self._kept, cook) | edits(cook, self._settings())
            self.folder.save(said, expected=self._text)
        self.changes, self._moves = self._of_the_run(), ()
        self._before.clear()
        self._again()
        keep_forecast(self.folder, self.result)

    def tried(self, lines: Iterable[LogLine]) -> Result:
        """Answer as if some more lines were logged; nothing is written."""
        more = tuple(lines)
        now = self.now
        if not more and not looked_back(self.record, now):
            return self.result
        return try_on(self.record, more, made_at=now, changes=self.changes)

    def note(self, values: Mapping[str, Any]) -> None:
        """Write facts that are no plan (notes, captions, the one number) to ``cook.toml``.

        What others changed in the file meanwhile stays; only where they changed the very same
        facts it is refused.
        """
        self.present()
        was, text = self._kept, self._text
        self._again()
        same = all(getattr(was, name) == getattr(self._kept, name) for name in values)
        self.folder.save(values, expected=self._text if same else text)
        self._again()

    def log(self, lines: Iterable[LogLine]) -> tuple[int, int]:
        """Append log lines; how many were written, and how many were there already.

        They are on the disk when this returns. `reload` reads them, and `tell` keeps the forecast
        that they change.
        """
        self.present()
        done = self.folder.append(list(lines))
        self._turned += tuple(line for line in done.written if changes_plan(line))
        return len(done.written), len(done.already)

    def keep_unwritten(self, text: str, was: Unwritten | None) -> Unwritten | None:
        """Keep what is typed and not written yet; see `stallwise.record.unwritten`."""
        self.present()
        return keep_unwritten(self.folder, text, was)

    def put(self, name: str, content: str) -> None:
        """Write a file beside the plan that is made anew each time, such as a sheet to print."""
        self.present()
        self.folder.store.replace(self.folder.path / name, content, expected=ANY)

    def listen(self, told: Callable[[Result], None]) -> None:
        """Tell `told` of every answer that `tell` gives out."""
        self._listeners.append(told)

    def tell(self) -> None:
        """Answer, and hand the answer to all who listen."""
        result = self.result
        turned, self._turned = self._turned, ()
        if turned and result.state == "running":
            # What was typed in late stands for the moment at which it happened.
            at = max(line.made if is_withdrawal(line) else line.at for line in turned)
            late = result.as_of - at > _LATE
            keep_forecast(self.folder, self._asked(at) if late else result)
        for told in self._listeners:
            told(result)

    def reload(self) -> None:
        """Read the cook's files again; changes that were not kept stay laid over."""
        self._again()

    def present(self) -> None:
        """Refuse to write where the cook's folder was moved or deleted: half a cook would come of it."""
        if not (self.folder.path / "cook.toml").is_file():
            raise InputError(
                f"the folder cooks/{self.folder.name} is gone: moved, renamed or deleted",
                "",
                "Nothing was written, and what is typed here stays. Put the folder back where it "
                "was, and press again",
            )

    def _settings(self) -> dict[str, Any]:
        return {name: value for name, value in self.changes.items() if _is_plan(name)}

    def _of_the_run(self) -> dict[str, Any]:
        """Pick the settings that no file keeps: seed and number of possible days."""
        return {name: value for name, value in self.changes.items() if not _is_plan(name)}

    def _move(self, move: _Move, changes: Mapping[str, Any] | None = None) -> str:
        """Lay one more piece, or one less, over the cook; the last piece's letter."""
        changes = self.changes if changes is None else changes
        letters = [piece.letter for piece in self.record.cook.pieces]
        after = move(self.record)
        left = {piece.letter for piece in after.pieces}
        # What was said of all pieces was said of those there were.
        told = {
            name: value
            for name, value in _of_each(changes, letters).items()
            if split_name(name)[0].level != "piece" or split_name(name)[1] in left | {""}
        }
        self._before.append((self._moves, self.changes))
        self._stroke = ("", 0.0)
        self._lay((*self._moves, move), told)
        return after.pieces[-1].letter

    def _again(self) -> None:
        self._read()
        self._result = self._changed = None

    def _lay(self, moves: tuple[_Move, ...], changes: dict[str, Any]) -> None:
        self._moves, self.changes = moves, changes
        self.record = self._moved(replace(self.record, cook=self._kept))
        self._result = self._changed = None

    def _moved(self, record: CookRecord) -> CookRecord:
        for move in self._moves:
            record = replace(record, cook=move(record))
        return record

    def _read(self) -> None:
        self._text = self.folder.text()
        record = self.folder.load()
        self._kept = record.cook
        self.record = self._moved(record)


def _of_each(changes: Mapping[str, Any], letters: Iterable[str]) -> dict[str, Any]:
    """Turn what was said of all pieces into each one's own."""
    found: dict[str, Any] = {}
    for name, value in changes.items():
        parameter, letter = split_name(name)
        if parameter.level == "piece" and not letter and not parameter.shared:
            found |= {f"{name}__{each}": value for each in letters}
        else:
            found[name] = value
    return found


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
    from stallwise.joins.log.paper import entry_words

    lines = effective(record.log)
    return Table("Logged", ("line",), tuple((entry_words(line, record),) for line in lines))
