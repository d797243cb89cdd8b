"""Forecasts as they were kept, one a piece, read back from a cook's ``forecasts.jsonl``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.record.cook import CookRecord

__all__ = ["KeptForecast", "kept_forecasts"]

#: Names of quantiles in a kept line; older lines have fewer.
_LEVELS = {"p05": 0.05, "p10": 0.1, "p25": 0.25, "p50": 0.5, "p75": 0.75, "p90": 0.9, "p95": 0.95}
_NEEDED = ("p10", "p50", "p90")


@dataclass(frozen=True)
class KeptForecast:
    """When one piece was expected to be tender, as it stood.

    Attributes
    ----------
    piece, cut, finish, wrap : str
        Letter, and what it was then; empty where the line does not say.
    made_at, as_of : datetime
        When it was made, and what it knew.
    probabilities : tuple of float
        Ascending [-]; 0.1, 0.5 and 0.9 are always there.
    hours : tuple of float
        Quantiles [h since meat on]; infinite where one was not reached.
    widening : float
        Factor that the windows were drawn out by when it was made, 1 for none.
    model_version : str
        Version that made it; empty where the line does not say.
    """

    piece: str
    cut: str
    finish: str
    wrap: str
    made_at: dt.datetime
    as_of: dt.datetime
    probabilities: tuple[float, ...]
    hours: tuple[float, ...]
    widening: float = 1.0
    model_version: str = ""

    @property
    def window_h(self) -> tuple[float, float, float]:
        """Early end, middle and late end of four days in five [h]."""
        early, middle, late = (self.hours[self.probabilities.index(p)] for p in (0.1, 0.5, 0.9))
        return early, middle, late


def kept_forecasts(record: CookRecord) -> tuple[tuple[KeptForecast, ...], int]:
    """Read the forecasts of a cook.

    Parameters
    ----------
    record : CookRecord
        With its forecasts as plain data.

    Returns
    -------
    (tuple of KeptForecast, int)
        In the order of the file, a line's pieces one by one; and how many could not be used: not of
        the right shape, or with a middle beyond what was tried.
    """
    found: list[KeptForecast] = []
    unusable = 0
    for row in record.forecasts:
        pieces = row.get("pieces")
        if not isinstance(pieces, Mapping):
            unusable += 1
            continue
        for letter, piece in pieces.items():
            one = _read(row, str(letter), piece)
            if one is None:
                unusable += 1
            else:
                found.append(one)
    return tuple(found), unusable


def _read(row: Mapping[str, Any], letter: str, piece: Any) -> KeptForecast | None:
    try:
        tender = piece.get("stages", piece)["tender"]
        hours = {
            level: float("inf") if tender[name] is None else float(tender[name])
            for name, level in _LEVELS.items()
            if name in tender
        }
        one = KeptForecast(
            piece=letter,
            cut=str(piece.get("cut", "")),
            finish=str(piece.get("finish", "")),
            wrap=str(piece.get("wrap", "")),
            made_at=_instant(row["made_at"]),
            as_of=_instant(row["as_of"]),
            probabilities=tuple(hours),
            hours=tuple(hours.values()),
            widening=1.0 if row.get("widening") is None else float(row["widening"]),
            model_version=str(row.get("model_version") or ""),
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        # A line may have been edited by hand, or come from an early release.
        return None
    return one if _usable(one) else None


def _usable(one: KeptForecast) -> bool:
    if not {_LEVELS[name] for name in _NEEDED} <= set(one.probabilities):
        return False
    if not 0.0 < one.widening < float("inf"):
        return False
    ascending = all(a <= b for a, b in zip(one.hours, one.hours[1:], strict=False))
    return ascending and one.hours[0] >= 0.0 and one.window_h[1] != float("inf")


def _instant(text: Any) -> dt.datetime:
    moment = dt.datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(text)
    return moment
