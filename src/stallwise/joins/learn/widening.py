"""Widening: what past misses ask of the windows, learned from earlier cooks and applied once.

A cook's misses are kept in its entry of ``learned.json``, so that an old cook is answered with
the factor that was known before it, and one left out leaves no trace.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.joins.learn.scoredcook import ScoredForecast, score_cook
from stallwise.models.conformal import Widening, widen_stages, widening, widening_of_shares
from stallwise.models.forecast import Forecast
from stallwise.models.plan import PiecePlan
from stallwise.record.cook import CookRecord
from stallwise.tables.tallying import tally_rules

__all__ = [
    "Missed",
    "Misses",
    "drawn_out",
    "missed",
    "missed_plain",
    "widening_before",
    "widening_learned",
    "widening_of",
    "widening_plain",
]


@dataclass(frozen=True)
class Missed:
    """By how much the forecasts of one cook missed.

    Attributes
    ----------
    known_at : datetime
        When the last of the outcomes was known.
    misses : tuple of float
        In half widths of the window before any widening; infinite for one that no width holds.
    """

    known_at: dt.datetime
    misses: tuple[float, ...]


def missed(record: CookRecord, rows: Sequence[ScoredForecast]) -> Missed | None:
    """Take the misses of a cook that may widen the windows of others.

    Parameters
    ----------
    record : CookRecord
        The cook.
    rows : sequence of ScoredForecast
        Its forecasts made before the outcome was known.

    Returns
    -------
    Missed or None
        None for a cook that is not finished, is kept from teaching, or has no such forecast.
    """
    if not rows or record.state != "finished" or not record.cook.teaches:
        return None
    known_at = max(row.happened.seen_at for row in rows)
    return Missed(known_at, tuple(miss for row in rows for miss in row.scored.misses))


def missed_plain(record: CookRecord) -> dict[str, Any] | None:
    """Misses of a cook as ``learned.json`` holds them; one that no width holds is null."""
    found = missed(record, score_cook(record).forecasts)
    if found is None:
        return None
    known_on = found.known_at.astimezone(record.zone).date()
    return {
        "known_on": known_on.isoformat(),
        "half_widths": [miss if math.isfinite(miss) else None for miss in found.misses],
    }


@dataclass(frozen=True, eq=False)
class Misses:
    """All misses of a ``learned.json``, smallest first, ready for many cooks to ask.

    Attributes
    ----------
    known_on : tuple of str
        Of each entry, when its misses were known; empty for one that has none.
    entry, score, weight : array
        Of each miss: the place of its entry, half widths, its share of its cook.
    """

    known_on: tuple[str, ...]
    entry: NDArray[np.intp]
    score: NDArray[np.float64]
    weight: NDArray[np.float64]

    @classmethod
    def of(cls, entries: Iterable[Mapping[str, Any]]) -> Misses:
        """Gather them from entries of ``learned.json``."""
        those = [entry.get("missed") or {} for entry in entries]
        rows = [
            np.array([math.inf if miss is None else miss for miss in one.get("half_widths", ())])
            for one in those
        ]
        counts = [len(row) for row in rows]
        score = np.concatenate([np.zeros(0), *rows])
        order = np.argsort(score, kind="stable")
        weight = np.repeat([1.0 / max(count, 1) for count in counts], counts)
        return cls(
            tuple(
                one["known_on"] if count else "" for one, count in zip(those, counts, strict=True)
            ),
            np.repeat(np.arange(len(rows)), counts)[order],
            score[order],
            weight[order],
        )

    def before(self, date: dt.date, among: Iterable[bool] | None = None) -> Widening:
        """Learn the factor from the cooks whose outcome was known before a day.

        Parameters
        ----------
        date : date
            Of the cook that is asked of.
        among : iterable of bool, optional
            Of each entry, whether it counts.
        """
        day = date.isoformat()
        known = np.array([bool(on) and on < day for on in self.known_on], dtype=bool)
        if among is not None:
            known &= np.fromiter(among, dtype=bool, count=len(known))
        those = known[self.entry]
        rules = tally_rules()
        return widening_of_shares(
            self.score[those],
            self.weight[those],
            int(known.sum()),
            level=rules.window,
            least=rules.widening_cooks,
            widest=rules.widest,
        )


def widening_before(entries: Iterable[Mapping[str, Any]], date: dt.date) -> Widening:
    """Learn the factor from the cooks of ``learned.json`` whose outcome was known before a day."""
    return Misses.of(entries).before(date)


def widening_learned(learned: Mapping[str, Any] | None) -> Widening:
    """Tell the factor that a cook to come is answered with."""
    return widening_before((learned or {}).get("cooks", ()), dt.date.max)


def widening_plain(learned: Mapping[str, Any] | None) -> dict[str, Any]:
    """Say what the next cook is answered with as JSON holds it."""
    found = widening_learned(learned)
    asked = found.asked if found.asked is not None and math.isfinite(found.asked) else None
    return {"factor": found.factor, "asked": asked, "cooks": found.cooks, "enough": found.enough}


def widening_of(misses: Iterable[Sequence[float]]) -> Widening:
    """Learn the factor from the misses of each cook, by the rules of ``data/tally.csv``."""
    rules = tally_rules()
    return widening(
        list(misses), level=rules.window, least=rules.widening_cooks, widest=rules.widest
    )


def drawn_out(forecast: Forecast, plans: Sequence[PiecePlan], *, factor: float) -> Forecast:
    """Draw the windows of a forecast out; its curves stay as they are.

    Parameters
    ----------
    forecast : Forecast
        As the possible days give it.
    plans : sequence of PiecePlan
        Of its pieces: they say until when each was seen.
    factor : float
        From 1 on; 1 gives the very same forecast.

    Returns
    -------
    Forecast
    """
    if factor == 1.0:
        return forecast
    as_of_s = {plan.key: 0.0 if plan.facts is None else plan.facts.as_of_s for plan in plans}
    pieces = {
        letter: replace(
            piece, stages=widen_stages(piece.stages, as_of_s[letter], factor, piece.weights)
        )
        for letter, piece in forecast.pieces.items()
    }
    return replace(forecast, pieces=pieces)
