"""The freezing table for trichinae in pork, row by row as it was printed: history, since removed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from stallwise.tables.limits import at_least, si
from stallwise.tables.rows import rows

__all__ = ["Freezing", "freezing_rows", "freezing_time_s"]


@dataclass(frozen=True)
class Freezing:
    """Held at `temperature_c` [°C] or colder for `hold_s` [s]; up to a thickness [m], or inside."""

    key: str
    rule: str
    temperature_c: float
    thickness_m: float | None
    hold_s: float
    note: str


@cache
def freezing_rows() -> tuple[Freezing, ...]:
    """Read the freezing table for trichinae; history, of pork only."""
    return tuple(
        Freezing(
            row["key"],
            row["rule"],
            si(row["value"], row["unit"]),
            si(row["thickness"], row["thickness_unit"]) if row["thickness"] else None,
            si(row["hold"], row["hold_unit"]),
            row["note"],
        )
        for row in rows("limits_freeze.csv").values()
    )


def freezing_time_s(temperature_c: float, thickness_m: float | None = None) -> float | None:
    """How long the freezing table asks for [s]; a temperature counts as the next warmer row.

    Parameters
    ----------
    temperature_c : float
        Of the freezer, or inside the meat where no thickness is given [°C].
    thickness_m : float, optional
        Thickness of the piece [m].

    Returns
    -------
    float or None
        None where it is warmer or thicker than any row.

    References
    ----------
    [cfr-9-318]_
    """
    fits = [
        one
        for one in freezing_rows()
        if at_least(one.temperature_c, temperature_c)
        and (one.thickness_m is None) == (thickness_m is None)
        and (one.thickness_m is None or thickness_m is None or thickness_m <= one.thickness_m)
    ]
    # The coldest row that was reached; of those the one for thin pieces, where it is thin.
    best = min(fits, key=lambda one: (one.temperature_c, one.thickness_m or 0.0), default=None)
    return None if best is None else best.hold_s
