"""Plain data kept in the user's own cache folder: what can be made again, only slower.

JSON and nothing else, so that no file that is read there can run. What is odd counts as not there, and
a disk that does not let us costs the time that was to be saved, and no more.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from typing import Any

import platformdirs

__all__ = ["hold", "log_file", "recall"]


def recall(kind: str, name: str) -> Any:
    """Read what was kept, or None.

    Parameters
    ----------
    kind, name : str
        Folder and plain name; the name tells all that it was made of.
    """
    try:
        return json.loads(_place(kind, name).read_bytes())
    except (OSError, ValueError, RecursionError):
        return None


def hold(kind: str, name: str, data: Any) -> None:
    """Keep plain data, whole or not at all."""
    place = _place(kind, name)
    with contextlib.suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True)
        new = place.with_name(f"{place.name}.{os.getpid()}")
        new.write_text(json.dumps(data, separators=(",", ":")), encoding="utf-8")
        new.replace(place)


def log_file(name: str) -> Path:
    """Where a log of our own mistakes is written, on this user's computer."""
    return platformdirs.user_log_path("stallwise") / f"{name}.log"


def _place(kind: str, name: str) -> Path:
    return platformdirs.user_cache_path("stallwise") / kind / f"{name}.json"
