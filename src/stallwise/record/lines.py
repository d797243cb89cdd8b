"""Files of one JSON object a line, only ever added to; each line with an id from its maker."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stallwise.ground.errors import InputError, WorkError
from stallwise.record.store import LINE_BYTES, LOG_LINES, Store

__all__ = ["Added", "Rows", "Torn", "add", "as_line", "plain_json", "read", "read_text"]

#: What may be left of a value where JSON stopped reading.
_WORD = re.compile(r"[-+.\w]*")
#: Of a whole number that a float still holds.
_DIGITS = 300


@dataclass(frozen=True)
class Torn:
    """A line that cannot be read: a write that was cut short, or a slip of an editor.

    Attributes
    ----------
    line : int
        From 1.
    text : str
        What is left of it.
    last : bool
        It is the unfinished end of the file.
    """

    line: int
    text: str
    last: bool

    @property
    def unfinished(self) -> bool:
        """Whether its rest was never written, also where a later writer ended it; a slip is not."""
        said = self.text.rstrip("\0 \r")
        if self.last or not said:
            return True
        try:
            json.loads(said)
        except json.JSONDecodeError as error:
            ended = _WORD.fullmatch(said, error.pos) or error.msg.startswith("Unterminated string")
            return said.startswith("{") and not said.endswith("}") and bool(ended)
        except (ValueError, RecursionError):
            pass
        return False


@dataclass(frozen=True)
class Rows:
    """Lines as read: number and content of each, and those that cannot be read."""

    rows: tuple[tuple[int, dict[str, Any]], ...] = ()
    torn: tuple[Torn, ...] = ()


@dataclass(frozen=True)
class Added:
    """Ids of lines written now, and of lines that were there already."""

    written: tuple[str, ...]
    already: tuple[str, ...]


def read(store: Store, path: Path, *, limit: int) -> Rows:
    """Read all lines of a file; of one that is not there, none."""
    if not store.has(path):
        return Rows()
    return read_text(store.read_bytes(path, limit), file=store.name(path))


def read_text(data: bytes, *, file: str) -> Rows:
    """Read all lines of what a file holds.

    Raises
    ------
    InputError
        More lines than a log may have, or not UTF-8.
    """
    # Never splitlines: JSON may hold other line separators inside a text.
    parts = data.split(b"\n")
    tail = parts.pop()
    if len(parts) > LOG_LINES:
        raise InputError(f"{file} has {len(parts)} lines", f"up to {LOG_LINES} lines")
    whole = [(number, part, False) for number, part in enumerate(parts, 1)]
    rows, torn = [], []
    for number, part, last in [*whole, (len(parts) + 1, tail, True)]:
        if not part.strip():
            continue
        row = _object(part)
        if row is None:
            torn.append(Torn(number, part.decode("utf-8", "replace"), last))
        else:
            rows.append((number, row))
    return Rows(tuple(rows), tuple(torn))


def _object(part: bytes) -> dict[str, Any] | None:
    try:
        row = plain_json(part)
    except (ValueError, RecursionError):
        return None
    return row if isinstance(row, dict) else None


def plain_json(text: str | bytes) -> Any:
    """Read JSON whose numbers can be reckoned with: no NaN, no whole number beyond all floats.

    Raises
    ------
    ValueError
        It is no such JSON.
    RecursionError
        It is nested too deep.
    """
    return json.loads(text, parse_constant=_no_constant, parse_int=_whole)


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _whole(digits: str) -> int:
    if len(digits) > _DIGITS:
        raise ValueError(digits[:_DIGITS])
    return int(digits)


def as_line(row: Mapping[str, Any]) -> str:
    """Write one object as one line.

    Raises
    ------
    InputError
        Something that JSON cannot hold, or a line too long.
    """
    try:
        text = json.dumps(row, ensure_ascii=False, separators=(", ", ": "), allow_nan=False)
        size = len(text.encode())
    except (TypeError, ValueError) as error:
        raise InputError(
            f"this line cannot be written ({error})", "text, numbers, true and false"
        ) from error
    if size > LINE_BYTES:
        raise InputError(f"a line has {size} bytes", f"up to {LINE_BYTES} bytes a line")
    return text


def add(store: Store, path: Path, rows: Iterable[Mapping[str, Any]], *, limit: int) -> Added:
    """Add lines whose ids are not there yet; those that are there stay as they are.

    Parameters
    ----------
    rows : iterable of mapping
        Each with an ``id``.

    Raises
    ------
    WorkError
        The file is full, or the disk is; nothing was added.
    """
    lines: dict[str, str] = {}
    for row in rows:
        lines.setdefault(str(row["id"]), as_line(row))
    already: list[str] = []

    def make(held: bytes) -> Sequence[str]:
        there = _ids(held, lines)
        already[:] = [name for name in lines if name in there]
        new = [line for name, line in lines.items() if name not in there]
        count = held.count(b"\n") + len(new)
        if count > LOG_LINES:
            raise WorkError(
                f"{store.name(path)} would have {count} lines", f"up to {LOG_LINES} lines"
            )
        return new

    store.append(path, make, limit)
    return Added(tuple(name for name in lines if name not in set(already)), tuple(already))


def _ids(held: bytes, wanted: Iterable[str]) -> set[str]:
    # Looking for the bytes first keeps the lock short: most lines are new.
    forms = {json.dumps(name, ensure_ascii=plain) for name in wanted for plain in (True, False)}
    if not any(form.encode() in held for form in forms):
        return set()
    return {str(row.get("id")) for _, row in read_text(held, file="").rows}
