"""Files of older schemas: brought to the present one on reading, on disk left as they are.

A migration takes the data of one kind of file from one version to the next, in place,
and changes keys only: comments and order of the file are kept when it is saved anew.
"""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from typing import Any

from stallwise.record.problems import Problem, RecordError
from stallwise.record.schema import SCHEMA

__all__ = ["MIGRATIONS", "migrated", "version_of"]

Table = MutableMapping[str, Any]

#: (kind of file, version) to the change that leads to the next version.
MIGRATIONS: dict[tuple[str, int], Callable[[Table], None]] = {}


def migrated(
    kind: str, data: dict[str, Any], *, file: str, line: int | None = None
) -> dict[str, Any]:
    """Bring the data of a file to the present schema.

    Parameters
    ----------
    kind : {"cook", "cookbook", "pit", "trial", "log"} or another
        Kind of file; one without migrations only changes its number.
    data : dict
        As read; not changed.
    file : str
        Name for messages.
    line : int, optional
        Line in the file, for formats of one record a line.

    Raises
    ------
    RecordError
        A newer schema than this release knows, or no version at all.
    """
    version = version_of(data, file=file, line=line)
    if version == SCHEMA:
        return data
    data = _copy(data)
    for step in range(version, SCHEMA):
        MIGRATIONS.get((kind, step), _unchanged)(data)
        data["schema"] = step + 1
    return data


def version_of(data: Table, *, file: str, line: int | None = None) -> int:
    """Read the schema version of data; a file that names none is of the first."""
    version = data.get("schema", 1)
    if isinstance(version, bool) or not isinstance(version, int) or version < 0:
        raise RecordError(
            [Problem(file, line, "schema", f"{version!r} came", f"a whole number up to {SCHEMA}")]
        )
    if version > SCHEMA:
        raise RecordError(
            [
                Problem(
                    file,
                    line,
                    "schema",
                    f"this file is of schema {version}",
                    f"schemas up to {SCHEMA}",
                    "It was written by a newer stallwise: install that one to open it. Nothing was changed",
                )
            ]
        )
    return version


def _copy(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _copy(value) for key, value in data.items()}
    return [_copy(item) for item in data] if isinstance(data, list) else data


def _unchanged(_: Table) -> None:
    pass


def _migration(
    kind: str, version: int
) -> Callable[[Callable[[Table], None]], Callable[[Table], None]]:
    def keep(change: Callable[[Table], None]) -> Callable[[Table], None]:
        MIGRATIONS[kind, version] = change
        return change

    return keep


def _rename(table: Table, old: str, new: str) -> None:
    if old in table:
        table[new] = table.pop(old)


# Schema 0 was never released: it is made up, so that the way of an old file is walked in tests.


@_migration("cookbook", 0)
def _cookbook_0(book: Table) -> None:
    _rename(book, "zone", "time_zone")


@_migration("pit", 0)
def _pit_0(pit: Table) -> None:
    _rename(pit, "sort", "kind")


@_migration("cook", 0)
def _cook_0(cook: Table) -> None:
    _rename(cook, "serving", "serve")
    for piece in cook.get("pieces", []):
        _rename(piece, "weight", "mass")
        _rename(piece, "wrapping", "wrap")


@_migration("trial", 0)
def _trial_0(trial: Table) -> None:
    _rename(trial, "treatments", "arms")


@_migration("log", 0)
def _log_0(line: Table) -> None:
    _rename(line, "when", "at")
    _rename(line, "event", "what")
    line.setdefault("made", line.get("at"))
