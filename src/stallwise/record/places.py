"""Places in a pit, in the cook's words: next to the firebox, the upper shelf; and their test."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from stallwise.record.letters import Place

__all__ = ["place_faults", "place_key"]

#: Words that two ways of writing one place differ in.
_LOOSE = frozenset({"a", "the", "on", "at"})
_TESTS = ("temperature", "toast")
_ONE_TEST = "temperature for a thermometer's, or toast for a shade from 1 (pale) to 5 (dark)"


def place_key(text: str | None) -> str:
    """Name of a place however it is written: ``"Next to the firebox"`` is ``"next to firebox"``.

    Parameters
    ----------
    text : str or None
        In the cook's words.

    Returns
    -------
    str
        Small letters, figures and single spaces; empty for nothing.
    """
    words = re.findall(r"[^\W_]+", (text or "").casefold())
    return " ".join([word for word in words if word not in _LOOSE] or words)


def place_faults(pit: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """List what does not fit together in the places of a pit, as read.

    Parameters
    ----------
    pit : mapping
        Raw data of ``pits/<name>.toml``; whatever has a wrong type is left to the models.

    Returns
    -------
    list of (where in the file, what came, what is allowed)
    """
    rows = pit.get("places")
    rows = rows if isinstance(rows, Sequence) and not isinstance(rows, str) else []
    places = [(at, row) for at, row in enumerate(rows) if isinstance(row, Mapping)]
    if not places:
        return _number_alone(pit)
    found = _each(places)
    keys = [place_key(str(row.get("name", ""))) for _, row in places]
    if len(places) < 2 and "tested_at" not in pit:
        said = "one place and nothing to compare it with"
        found.append((("places", 0), said, "two places or more, or tested_at beside it"))
    by = pit.get("number_by")
    if isinstance(by, str) and place_key(by) not in keys:
        names = ", ".join(str(row.get("name")) for _, row in places)
        found.append((("number_by",), f"{by!r} is not among the places", names))
    if "tested_at" in pit and any("toast" in row for _, row in places):
        said = "tested_at beside shades of toast"
        found.append((("tested_at",), said, "with temperatures only: take it out"))
    return found


def _number_alone(pit: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    if pit.get("tested_at") is None or pit.get("places"):
        return []
    return [(("tested_at",), "tested_at without places", "[[places]] with their temperatures")]


def _each(
    places: Sequence[tuple[int, Mapping[str, Any]]],
) -> list[tuple[Place, str, str]]:
    found: list[tuple[Place, str, str]] = []
    first = next((test for _, row in places for test in _TESTS if test in row), "")
    seen: set[str] = set()
    for at, row in places:
        name, key = row.get("name"), place_key(str(row.get("name", "")))
        tests = [test for test in _TESTS if test in row]
        if len(tests) != 1:
            said = f"{name!r} has " + ("both tests" if tests else "no test")
            found.append((("places", at), said, f"one of them: {_ONE_TEST}"))
        elif tests[0] != first:
            said = f"{name!r} has {tests[0]} where others have {first}"
            found.append((("places", at, tests[0]), said, "one kind of test for all places"))
        if isinstance(name, str) and not key:
            found.append((("places", at, "name"), f"{name!r} is no name", "words for a place"))
        if key and key in seen:
            found.append((("places", at, "name"), f"{name!r} comes twice", "each place once"))
        seen.add(key)
    return found
