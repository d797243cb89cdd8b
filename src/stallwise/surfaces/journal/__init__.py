"""The journal: one static page a cook, rendered from its Result and the public view of its record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stallwise.surfaces.journal.press import Report, publish

__all__ = ["Report", "publish"]


def __getattr__(name: str) -> Any:
    """Import the press when it is asked for: the darkroom's own process has no use for it."""
    if name in __all__:
        from stallwise.surfaces.journal import press

        return getattr(press, name)
    raise AttributeError(name)
