"""Numbers behind the tally: how many cooks conclude something, how far windows may be widened."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets

__all__ = ["TallyRules", "tally_rules"]


@dataclass(frozen=True)
class TallyRules:
    """Rows of ``data/tally.csv``.

    Attributes
    ----------
    window : float
        Share of outcomes that a window claims to hold [-].
    recent : int
        Pieces that the one sentence tells of.
    conclude_cooks, widening_cooks : int
        Fewer cooks conclude, or widen, nothing.
    widest : float
        Largest widening factor [-].
    """

    window: float
    recent: int
    conclude_cooks: int
    widening_cooks: int
    widest: float


@cache
def tally_rules() -> TallyRules:
    """Read the rules."""
    rows = csv.DictReader(assets.read_text("data", "tally.csv").splitlines())
    value = {row["key"]: float(row["value"]) for row in rows}
    return TallyRules(
        window=value["window"],
        recent=int(value["recent"]),
        conclude_cooks=int(value["conclude.cooks"]),
        widening_cooks=int(value["widening.cooks"]),
        widest=value["widening.widest"],
    )
