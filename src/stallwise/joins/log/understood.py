"""Short lines as they were understood, and how that is shown."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.record.log import LogLine

__all__ = ["Block", "Understood", "as_words"]


@dataclass(frozen=True)
class Understood:
    """One line of a block, and what became of it.

    Attributes
    ----------
    number : int
        From 1, in the block.
    raw : str
        As typed.
    state : str
        ``clear``, ``asked`` or ``skipped``.
    entries : tuple of LogLine
        Log lines of a clear line.
    question : str
        What is asked, and how to answer it.
    as_text : str
        What was understood: ``13:10 all pieces: wrapped in foil``.
    known : bool
        All of it is in the log already.
    doubts : tuple of str
        What is odd about it; said, and no reason not to write it.
    """

    number: int
    raw: str
    state: str
    entries: tuple[LogLine, ...] = ()
    question: str = ""
    as_text: str = ""
    known: bool = False
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Block:
    """A block of short lines as read."""

    lines: tuple[Understood, ...]

    @property
    def entries(self) -> tuple[LogLine, ...]:
        """Log lines of all clear lines."""
        return tuple(entry for line in self.lines for entry in line.entries)

    @property
    def asked(self) -> tuple[Understood, ...]:
        """Lines with a question."""
        return tuple(line for line in self.lines if line.state == "asked")


def as_words(line: Understood) -> str:
    """Say what to show beside a typed line."""
    if line.state == "asked":
        return f"? {line.question}"
    return line.as_text + (" (in the log already)" if line.known and line.entries else "")
