"""What is wrong in a file of a cookbook: file, line, key, what came, what is allowed, all at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from stallwise.ground.errors import InputError
from stallwise.record.layout import Path

__all__ = ["Problem", "RecordError", "as_key", "of_validation"]

_SHOWN = 60


@dataclass(frozen=True)
class Problem:
    """One wrong thing in a file.

    Attributes
    ----------
    file : str
        File, as seen from the cookbook.
    line : int or None
        Line from 1, where it is known.
    key : str
        Key with dots; pieces and pits by their letter. Empty for the whole file.
    came, allowed, todo : str
        What stands there, what may stand there, what to do.
    """

    file: str
    line: int | None
    key: str
    came: str
    allowed: str
    todo: str = ""

    @property
    def where(self) -> str:
        """File, line and key in words."""
        line = f"line {self.line}" if self.line else ""
        return ", ".join(part for part in (self.file, line, self.key) if part)

    def __str__(self) -> str:
        return str(InputError(self.came, self.allowed, self.todo, where=self.where))


class RecordError(InputError):
    """A file of the cookbook is wrong; every problem of the file is told.

    Attributes
    ----------
    problems : tuple of Problem
        In the order of the file.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: problem.line or 0))
        first = self.problems[0]
        super().__init__(first.came, first.allowed, first.todo, where=first.where)
        if len(self.problems) > 1:
            self.args = ("\n".join(map(str, self.problems)),)


def as_key(path: Path, data: Any = None) -> str:
    """Name a path as a cook would: ``pieces.A.mass``, or ``pieces[2].mass`` without a letter."""
    said = ""
    for step in path:
        data = _inside(data, step)
        letter = data.get("letter") if isinstance(step, int) and isinstance(data, Mapping) else None
        if isinstance(step, int) and not isinstance(letter, str):
            said += f"[{step + 1}]"
        else:
            said += f".{letter or step}" if said else str(step)
    return said


def _inside(data: Any, step: str | int) -> Any:
    if isinstance(data, Mapping):
        return data.get(str(step))
    if isinstance(data, Sequence) and isinstance(step, int) and not isinstance(data, str):
        return data[step] if step < len(data) else None
    return None


def of_validation(error: ValidationError) -> list[tuple[Path, str, str, str]]:
    """Place, what came, what is allowed and what to do, for each error of pydantic."""
    return [
        (_place(found["loc"]), *_WORDS.get(found["type"], _other)(found))
        for found in error.errors(include_url=False)
    ]


def _place(loc: tuple[int | str, ...]) -> Path:
    # pydantic names the key of a dict that is itself wrong, and branches, in brackets.
    return tuple(step for step in loc if step != "[key]")


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "a table"
    text = repr(value)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"


def _own(found: ErrorDetails) -> tuple[str, str, str]:
    words = found["ctx"]
    return words["came"], words["allowed"], words["todo"]


def _missing(_: ErrorDetails) -> tuple[str, str, str]:
    return "this key is missing", "", "Add it"


def _of(allowed: str) -> Callable[[ErrorDetails], tuple[str, str, str]]:
    def words(found: ErrorDetails) -> tuple[str, str, str]:
        text = allowed.format(**found.get("ctx", {}))
        return f"{_shown(found['input'])} came", text, ""

    return words


def _other(found: ErrorDetails) -> tuple[str, str, str]:
    message = found["msg"].removeprefix("Input should be ").removeprefix("Value error, ")
    return f"{_shown(found['input'])} came", message, ""


_WORDS: Mapping[str, Callable[[ErrorDetails], tuple[str, str, str]]] = {
    "stallwise": _own,
    "missing": _missing,
    "literal_error": _of("{expected}"),
    "string_type": _of("text in quotes"),
    "string_too_long": _of("at most {max_length} characters"),
    "string_too_short": _of("text that is not empty"),
    "int_type": _of("a whole number without quotes"),
    "int_from_float": _of("a whole number without quotes"),
    "float_type": _of("a number without quotes"),
    "finite_number": _of("a number"),
    "bool_type": _of("true or false, without quotes"),
    "date_type": _of("a date, as in 2026-09-26"),
    "list_type": _of("a list in square brackets, or tables under [[…]]"),
    "dict_type": _of("a table"),
    "model_type": _of("a table"),
    "too_short": _of("at least {min_length}"),
    "greater_than": _of("more than {gt}"),
    "greater_than_equal": _of("{ge} or more"),
    "less_than_equal": _of("{le} or less"),
    "timezone_aware": _of("a time with its offset, as in 2026-09-26T10:00:00Z"),
}
