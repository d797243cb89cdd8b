"""The log of a cook: lines that are only added, and what they say after corrections."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from stallwise.record import lines, migrate
from stallwise.record.clocks import as_utc, rfc3339
from stallwise.record.lines import Torn
from stallwise.record.problems import Problem, RecordError, of_validation
from stallwise.record.schema import SCHEMA, LogEntry
from stallwise.record.store import LOG_BYTES, Store

__all__ = [
    "Appended",
    "Log",
    "LogLine",
    "append",
    "effective",
    "is_withdrawal",
    "line_id",
    "read",
    "withdrawal",
]

_WITHDRAWN = "withdrawn"
_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class LogLine:
    """One thing that happened.

    Attributes
    ----------
    id : str
        From its maker; a line of an id that is in the file is not written again.
    at : datetime
        When it happened; an aware instant, kept in UTC.
    what : str
        Key of ``data/log_words.csv``.
    piece, pit : str
        Letters, empty for the whole cook.
    text : str
        As it was typed.
    note : str
        A remark.
    about : bool
        The time is a guess.
    data : mapping
        What goes with `what`: ``{"kind": "foil"}``, ``{"temperature_c": 71.0}``.
    made : datetime
        When the line was written.
    corrects : str, optional
        Id of the line that this one stands in for.
    source : str
        ``command``, ``paper`` or ``notebook``.
    extra : mapping
        Keys of the file that this release does not know, kept.
    """

    id: str
    at: dt.datetime
    what: str
    made: dt.datetime
    piece: str = ""
    pit: str = ""
    text: str = ""
    note: str = ""
    about: bool = False
    data: Mapping[str, Any] = field(default_factory=dict)
    corrects: str | None = None
    source: str = "command"
    extra: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", as_utc(self.at))
        object.__setattr__(self, "made", as_utc(self.made))

    def to_json(self) -> dict[str, Any]:
        """Plain data of the line, in the order of the file; what is empty is left out."""
        row: dict[str, Any] = {
            "schema": SCHEMA,
            "id": self.id,
            "at": rfc3339(self.at),
            "what": self.what,
        }
        for name in ("piece", "pit", "text", "note", "about", "data", "corrects"):
            value = getattr(self, name)
            if value:
                row[name] = dict(value) if isinstance(value, Mapping) else value
        return {**row, "source": self.source, "made": rfc3339(self.made), **self.extra}

    @classmethod
    def from_json(
        cls, row: Mapping[str, Any], *, file: str = "log line", line: int | None = None
    ) -> LogLine:
        """Read plain data of a line, of any schema up to the present one.

        Raises
        ------
        RecordError
            A key is missing or holds something else than it may.
        """
        data = migrate.migrated("log", dict(row), file=file, line=line)
        try:
            # As JSON, so that times may come as text under the strict model.
            entry = LogEntry.model_validate_json(json.dumps(data))
        except ValidationError as error:
            raise RecordError(
                Problem(file, line, ".".join(map(str, path)), came, allowed, todo)
                for path, came, allowed, todo in of_validation(error)
            ) from error
        known = {
            each.name: getattr(entry, each.name)
            for each in dataclasses.fields(cls)
            if each.name != "extra"
        }
        return cls(**known, extra=entry.model_extra or {})


@dataclass(frozen=True)
class Log:
    """A log as read.

    Attributes
    ----------
    lines : tuple of LogLine
        As they stand in the file, corrections too; a repeated id only once.
    torn : tuple of Torn
        What cannot be read.
    twice : tuple of (line, id)
        Ids that came again with other content, as a merge of two copies leaves them.
    """

    lines: tuple[LogLine, ...] = ()
    torn: tuple[Torn, ...] = ()
    twice: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True)
class Appended:
    """Lines written now, and ids of those that were there already."""

    written: tuple[LogLine, ...]
    already: tuple[str, ...]


def line_id(at: dt.datetime, letter: str, text: str, ordinal: int = 1) -> str:
    """Id of a log line: the same line typed twice gets the same.

    Parameters
    ----------
    at : datetime
        When it happened.
    letter : str
        Piece or pit, or empty.
    text : str
        As typed; case and spaces do not count.
    ordinal : int, default 1
        Which of several alike lines in one block.
    """
    words = " ".join(text.casefold().split())
    said = json.dumps([rfc3339(as_utc(at)), letter, words, ordinal])
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def withdrawal(line: LogLine, *, made: dt.datetime, source: str = "command") -> LogLine:
    """Make the line that takes another one back: it did not happen."""
    return dataclasses.replace(
        line,
        id=line_id(line.at, line.piece or line.pit, f"{_WITHDRAWN} {line.id}"),
        data={_WITHDRAWN: True},
        made=made,
        corrects=line.id,
        source=source,
    )


def is_withdrawal(line: LogLine) -> bool:
    """Whether a line only takes another one back."""
    return bool(line.corrects and line.data.get(_WITHDRAWN))


def read(store: Store, path: Path) -> Log:
    """Read a log; torn lines are left out and told.

    Raises
    ------
    RecordError
        A whole line holds something wrong: every such line is told.
    """
    raw = lines.read(store, path, limit=LOG_BYTES)
    made: dict[str, LogLine] = {}
    twice: list[tuple[int, str]] = []
    wrong: list[Problem] = []
    for number, row in raw.rows:
        try:
            line = LogLine.from_json(row, file=store.name(path), line=number)
        except RecordError as error:
            wrong += error.problems
            continue
        if line.id not in made:
            made[line.id] = line
        elif made[line.id] != line:
            twice.append((number, line.id))
    if wrong:
        raise RecordError(wrong)
    return Log(tuple(made.values()), raw.torn, tuple(twice))


def append(store: Store, path: Path, new: Sequence[LogLine]) -> Appended:
    """Add lines to a log; one whose id is there is not written again."""
    added = lines.add(store, path, [line.to_json() for line in new], limit=LOG_BYTES)
    by_id = {line.id: line for line in reversed(new)}
    return Appended(tuple(by_id[name] for name in added.written), added.already)


def effective(log: Iterable[LogLine]) -> tuple[LogLine, ...]:
    """Put corrections in the place of what they correct, and sort by time.

    Of several corrections the last in the file counts, also when it corrects a correction.
    """
    kept = tuple(log)
    corrects = {line.id: line.corrects for line in kept}
    last: dict[str, LogLine] = {}
    for line in kept:
        last[_root(line.id, corrects)] = line
    there = [line for line in last.values() if not line.data.get(_WITHDRAWN)]
    return tuple(sorted(there, key=lambda line: line.at))


def _root(name: str, corrects: Mapping[str, str | None]) -> str:
    seen = {name}
    while (before := corrects.get(name)) and before in corrects and before not in seen:
        name = before
        seen.add(name)
    return name
