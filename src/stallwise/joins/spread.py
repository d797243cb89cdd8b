"""What a Result tells as a spread over possible days: a quantity, a stage, a temperature over time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["PROBABILITIES", "Spread", "StageResult", "Trace"]

#: Quantiles kept of every stage.
PROBABILITIES = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)


@dataclass(frozen=True)
class Spread:
    """Quantiles of one quantity; `None` where the quantile is not reached."""

    p05: float | None
    p10: float | None
    p25: float | None
    p50: float | None
    p75: float | None
    p90: float | None
    p95: float | None
    reached: float = 1.0


@dataclass(frozen=True)
class StageResult:
    """When one stage comes: elapsed hours since this piece went on, and clock times."""

    stage: str
    elapsed_h: Spread
    clock: Mapping[str, dt.datetime | None]
    known: bool = False


@dataclass(frozen=True)
class Trace:
    """A temperature over time as a band over the possible days."""

    elapsed_h: tuple[float, ...]
    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]
