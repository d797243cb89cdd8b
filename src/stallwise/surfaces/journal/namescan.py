"""Names of students are looked for in all that is about to be published; one that is found stops its page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from stallwise.ground.errors import InputError
from stallwise.record.schema import Cook

__all__ = ["refuse_names"]

#: Letters of a name around which nothing else may be a letter: Ann is not found in "annual".
_WORD = r"(?<![^\W\d_]){}(?![^\W\d_])"
#: How much stands around a name that is told.
_AROUND = 24


def refuse_names(cook: Cook, files: Mapping[str, str]) -> None:
    """Refuse to publish what names somebody of a class.

    Parameters
    ----------
    cook : Cook
        With the names that its teams have.
    files : mapping of str to str
        All that would be published of it, by file.

    Raises
    ------
    InputError
        A name stands in it, or a part of one; where, and in what words.
    """
    names = _names(cook)
    found = [
        f"{file}: “… {around} …”" for name in names for file, text in files.items()
        for around in _where(name, text)
    ]  # fmt: skip
    if found:
        raise InputError(
            f"somebody of the class is named in {'; '.join(dict.fromkeys(found[:3]))}",
            "no name of a student on a page",
            'Take it out of the cook, or keep that part back with private = ["notes", "log", …]',
        )


def _names(cook: Cook) -> list[str]:
    """Names of all teams, whole and each part that is long enough to be one."""
    whole = [name for team in (cook.lesson.teams if cook.lesson else []) for name in team.names]
    parts = [part for name in whole for part in name.split() if len(part) > 2]
    return list(dict.fromkeys([*whole, *parts]))


def _where(name: str, text: str) -> Iterable[str]:
    for match in re.finditer(_WORD.format(re.escape(name)), text, re.IGNORECASE):
        start = max(match.start() - _AROUND, 0)
        yield " ".join(text[start : match.end() + _AROUND].split())
