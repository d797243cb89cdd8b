"""One number of the cook's own choice, with its name."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stallwise.record.fields import Real
from stallwise.record.table import Table

__all__ = ["Number"]


class Number(Table):
    """One number of the cook's own choice, with its name."""

    name: str
    value: Real
    out_of: Annotated[Real, Field(gt=0)] | None = None
