"""Base of every table in a cookbook's files: strict, frozen, unknown keys kept."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Table"]


class Table(BaseModel):
    """One table of a file."""

    # Built when first used: a command that opens no cook does not pay for its model.
    model_config = ConfigDict(extra="allow", strict=True, frozen=True, defer_build=True)
