"""Where each key of a TOML text stands: for error messages with lines, and for editing in place.

The text has been read by `tomllib` before, so that this scanner may take it as well-formed.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from dataclasses import dataclass, field

__all__ = ["Entry", "Header", "Layout", "Path", "scan"]

#: Keys, and positions inside lists.
Path = tuple[str | int, ...]

_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\r\n]*")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:""?)?' r"|'''.*?'''(?:''?)?" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'",
    re.DOTALL,
)


@dataclass(frozen=True)
class Entry:
    """One ``key = value``, or one value of a list.

    Attributes
    ----------
    start, value, end : int
        Offsets of the key, of the value and behind the value.
    table : Path
        Table in which the statement stands.
    inside : bool
        Within an inline table or a list, so not on a line of its own.
    """

    start: int
    value: int
    end: int
    table: Path
    inside: bool


@dataclass(frozen=True)
class Header:
    """One ``[table]`` or ``[[table]]`` line."""

    start: int
    end: int
    array: bool


@dataclass(frozen=True)
class Layout:
    """All places of a text, in its order."""

    text: str
    entries: dict[Path, Entry] = field(default_factory=dict)
    headers: dict[Path, Header] = field(default_factory=dict)
    #: Offsets of the brackets of inline tables and lists.
    brackets: dict[Path, tuple[int, int]] = field(default_factory=dict)

    def line(self, path: Path) -> int | None:
        """Line, from 1, of a path or of the nearest table above it that has one."""
        for length in range(len(path), 0, -1):
            for places in (self.entries, self.headers):
                found = places.get(path[:length])
                if found is not None:
                    return self.text.count("\n", 0, found.start) + 1
        return None


def scan(text: str) -> Layout:
    """Find every key and value of a well-formed TOML text; of one nested too deep, the first."""
    scanner = _Scanner(text)
    with contextlib.suppress(RecursionError):
        scanner.run()
    return scanner.layout


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.layout = Layout(text)
        self.counts: dict[Path, int] = {}

    def run(self) -> None:
        table: Path = ()
        while self._skip(_BLANK_LINES):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._statement(table, inside=False)

    def _skip(self, blank: re.Pattern[str]) -> bool:
        match = blank.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at < len(self.text)

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if not match:
            msg = f"no {pattern.pattern} at {self.at}"
            raise ValueError(msg)
        self.at = match.end()
        return match[0]

    def _key(self) -> list[str]:
        names: list[str] = []
        while True:
            self._skip(_BLANK)
            if self.text[self.at] in "\"'":
                names.append(tomllib.loads(f"x={self._take(_STRING)}")["x"])
            else:
                names.append(self._take(_BARE))
            self._skip(_BLANK)
            if self.text[self.at] != ".":
                return names
            self.at += 1

    def _header(self) -> Path:
        start, array = self.at, self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        names = self._key()
        self.at += 2 if array else 1
        path: Path = ()
        for depth, name in enumerate(names, 1):
            path = (*path, name)
            if array and depth == len(names):
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
        self.layout.headers[path] = Header(start, self.at, array)
        return path

    def _statement(self, table: Path, *, inside: bool) -> None:
        start = self.at
        path = (*table, *self._key())
        self.at += 1
        self._skip(_BLANK)
        self._value(path, start, table, inside=inside)

    def _value(self, path: Path, start: int, table: Path, *, inside: bool) -> None:
        value, first = self.at, self.text[self.at]
        if first in "\"'":
            self._take(_STRING)
        elif first in "[{":
            self._inside(path, "]" if first == "[" else "}")
        else:
            self.at = value + len(self._take(_SCALAR).rstrip())
        self.layout.entries[path] = Entry(start, value, self.at, table, inside)

    def _inside(self, path: Path, close: str) -> None:
        opened, count = self.at, 0
        self.at += 1
        while self._skip(_BLANK_LINES) and self.text[self.at] != close:
            if close == "}":
                self._statement(path, inside=True)
            else:
                self._value((*path, count), self.at, path, inside=True)
                count += 1
            self._skip(_BLANK_LINES)
            if self.text[self.at] == ",":
                self.at += 1
        self.layout.brackets[path] = (opened, self.at)
        self.at += 1
