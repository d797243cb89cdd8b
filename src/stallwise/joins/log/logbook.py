"""The log as a list: every line with the number by which it is taken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.record.log import LogLine, effective, is_withdrawal

__all__ = ["Numbered", "find_line", "numbered"]


@dataclass(frozen=True)
class Numbered:
    """One line of a log.

    Attributes
    ----------
    number : int
        From 1, in the order of writing; it stays, since lines are only added.
    line : LogLine
        The line.
    state : str
        ``holds``, ``taken back`` or ``corrected``.
    """

    number: int
    line: LogLine
    state: str


def numbered(log: Iterable[LogLine]) -> tuple[Numbered, ...]:
    """List the lines of a log by time, each with the number that it has by its place in the file.

    Parameters
    ----------
    log : iterable of LogLine
        All lines, withdrawals too.
    """
    lines = tuple(log)
    holds = {line.id for line in effective(lines)}
    gone = {line.corrects for line in lines if is_withdrawal(line)}
    said = [line for line in lines if not is_withdrawal(line)]
    found = (
        Numbered(
            number, line,
            "holds" if line.id in holds else "taken back" if line.id in gone else "corrected",
        )
        for number, line in enumerate(said, start=1)
    )  # fmt: skip
    return tuple(sorted(found, key=lambda each: each.line.at))


def find_line(log: Iterable[LogLine], name: str) -> Numbered:
    """Find a line by its number or its id.

    Raises
    ------
    InputError
        There is no such line.
    """
    lines = numbered(log)
    for each in lines:
        if name.strip() in {str(each.number), each.line.id}:
            return each
    many = f"a number from 1 to {len(lines)}, or an id" if lines else "nothing is logged yet"
    raise InputError(f"no line {name!r} in this log", many, "'stallwise log COOK' lists the lines")
