"""Running old cooks again: their notebooks by papermill, or the figures alone.

Imports nothing by itself: a worker process starts here too.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOMES = {
    "rerun": "request",
    "Report": "request",
    "compare": "compare",
    "page_path": "page",
    "write_page": "page",
}

__all__ = ["Report", "compare", "page_path", "rerun", "write_page"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        msg = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(msg)
    value = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    globals()[name] = value
    return value
