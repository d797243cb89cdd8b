"""What was given out of a cook and is out of reach: the sheet on paper, the calendar on a phone.

Each is kept beside the results, so that the next one can say what is new in it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

from stallwise.ground.errors import CookWarning, InputError
from stallwise.record.schema import SCHEMA
from stallwise.record.store import ANY

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["HANDOUTS", "Kind", "handout", "handout_or_warning", "keep_handout"]

Kind = Literal["printed", "calendar"]
HANDOUTS: tuple[Kind, ...] = ("printed", "calendar")

_BYTES = 5_000_000


def handout(folder: CookFolder, kind: Kind) -> dict[str, Any]:
    """Read what was kept of the last one; empty where none was given out.

    Raises
    ------
    InputError
        The file is spoilt.
    """
    path = folder.path / "results" / f"{kind}.json"
    found = folder.home.read_json(path, "sheet", _BYTES) or {}
    given = found.get("given", {})
    if not isinstance(given, dict):
        name = folder.store.name(path)
        raise InputError(f"{name} cannot be read", "what was given out", f"Take {name} away")
    return given


def handout_or_warning(
    folder: CookFolder, kind: Kind
) -> tuple[dict[str, Any], tuple[CookWarning, ...]]:
    """Read what was kept, or say why it cannot be: no forecast waits for it."""
    try:
        return handout(folder, kind), ()
    except InputError as error:
        said = CookWarning(f"{kind}-spoilt", f"What was last given out is not known: {error}")
        return {}, (said,)


def keep_handout(folder: CookFolder, kind: Kind, given: Mapping[str, Any]) -> None:
    """Keep what was given out, in place of the one before."""
    text = json.dumps(
        {"schema": SCHEMA, "given": given}, ensure_ascii=False, indent=1, allow_nan=False
    )
    path = folder.path / "results" / f"{kind}.json"
    folder.store.replace(path, f"{text}\n", expected=ANY, limit=_BYTES)
