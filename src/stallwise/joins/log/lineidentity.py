"""Which line is which: the same line typed again gets the same id, one taken back a new one."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from stallwise.ground.errors import InputError
from stallwise.joins.log.vocabulary import phrase_of
from stallwise.record.log import LogLine, effective, is_withdrawal, line_id

__all__ = ["Identities", "identity_words", "known_lines", "withdrawn_ids"]

#: Minute, letter, words and ordinal of a line.
Key = tuple[str, str, str, int]


def known_lines(lines: Iterable[LogLine]) -> dict[Key, str]:
    """Minute, letter, words and ordinal of log lines, to their ids."""
    found: dict[Key, str] = {}
    for line in lines:
        try:
            words = identity_words(line)
        except InputError:
            continue
        minute = line.at.replace(second=0, microsecond=0).isoformat()
        ordinal = 1
        while (minute, line.piece or line.pit, words, ordinal) in found:
            ordinal += 1
        found[minute, line.piece or line.pit, words, ordinal] = line.id
    return found


def identity_words(line: LogLine) -> str:
    """Say a line in the one way that its id counts, whatever words it was typed in."""
    said = "note" if line.what == "note" else phrase_of(line.what, line.data, "metric")
    return f"{said} - {line.note}" if line.note else said


def withdrawn_ids(log: Iterable[LogLine]) -> frozenset[str]:
    """Ids of all lines of a log that were taken back."""
    lines = tuple(log)
    gone = {line.corrects for line in lines if is_withdrawal(line)}
    there = {line.id for line in effective(lines)}
    return frozenset(name for name in gone if name and name not in there)


@dataclass
class Identities:
    """Ids for the lines of one block.

    Attributes
    ----------
    known : mapping
        Of the lines that are logged.
    withdrawn : collection of str
        Ids of lines that were taken back; they are never given again, for the log keeps
        every id once.
    """

    known: Mapping[Key, str]
    withdrawn: Collection[str] = ()
    _seen: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    _given: set[str] = field(default_factory=set)

    def give(self, line: LogLine) -> LogLine:
        """Give the id that the same line had before, whatever words it was in."""
        minute = line.at.replace(second=0, microsecond=0).isoformat()
        letter, words = line.piece or line.pit, identity_words(line)
        self._seen[minute, letter, words] += 1
        ordinal = self._seen[minute, letter, words]
        name = self.known.get((minute, letter, words, ordinal)) or self._new(line, words, ordinal)
        self._given.add(name)
        return dataclasses.replace(line, id=name)

    def _new(self, line: LogLine, words: str, ordinal: int) -> str:
        taken = self._given | set(self.withdrawn) | set(self.known.values())
        while (name := line_id(line.at, line.piece or line.pit, words, ordinal)) in taken:
            ordinal += 1
        return name

    def came_again(self, line: LogLine) -> bool:
        """Whether a line with this time and these words was taken back before."""
        letter, words = line.piece or line.pit, identity_words(line)
        first = line_id(line.at, letter, words)
        return first in self.withdrawn and line.id not in set(self.known.values())
