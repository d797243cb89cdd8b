"""A cook's notebook for live-fire barbecue: plan, forecast, scale, record, test, publish.

Importing this loads nothing else: a name is fetched from its module when it is first used, so
that the command line starts at once.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

#: Public name: the module that holds it.
_HOMES: dict[str, str] = {
    "Cookbook": "stallwise.record.folder",
    "Result": "stallwise.joins.result",
    "answer": "stallwise.joins.answer",
    "ask": "stallwise.joins.ask",
    "explain": "stallwise.joins.explain",
    "find_cookbook": "stallwise.record.folder",
}

__all__ = ["__version__", *_HOMES]  # noqa: PLE0604 - the homes are plain strings


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        msg = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(msg)
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOMES})
