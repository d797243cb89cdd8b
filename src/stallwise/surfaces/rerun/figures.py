"""Figures of a re-run: a file of their own beside the result that was kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stallwise.ground.errors import WorkError
from stallwise.record.cookfolder import CookFolder
from stallwise.record.schema import SCHEMA
from stallwise.record.store import ANY

__all__ = ["BYTES", "read_figures", "write_figures"]

#: Largest file of figures.
BYTES = 50_000_000


def write_figures(folder: CookFolder, path: Path, result: Mapping[str, Any]) -> None:
    """Write a plain Result to a file in the cook's folder, whole or not at all.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    path : Path
        The file; refused when it leads out of the cookbook.
    result : mapping
        Plain data.
    """
    text = json.dumps({"schema": SCHEMA, **result}, ensure_ascii=False, indent=1, allow_nan=False)
    folder.store.replace(path, f"{text}\n", expected=ANY, limit=BYTES)


def read_figures(folder: CookFolder, path: Path) -> dict[str, Any]:
    """Read what `write_figures` wrote."""
    try:
        found: dict[str, Any] = json.loads(folder.store.read(path, BYTES))
    except ValueError:
        raise WorkError(f"{path.name} holds no figures", "", "Run it again") from None
    return found
