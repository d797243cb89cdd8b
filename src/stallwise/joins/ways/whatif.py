"""What would change it: one thing at a time, the same possible days cooked again with it.

The same seed draws the same days whatever is changed, so the difference is taken day by day
before its quantiles are: it is far surer than either forecast.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.errors import NotFoundError
from stallwise.joins import timing
from stallwise.joins.foresight import foresee, plan_pieces, question
from stallwise.joins.pieces import mirrored, spread
from stallwise.joins.plan import Planned
from stallwise.joins.result import Lever, Spread
from stallwise.joins.ways.levers import Pulled, Standing, pulled
from stallwise.joins.ways.samedays import LONG_STEP_S, SameDays
from stallwise.models.forecast import PieceForecast
from stallwise.models.plan import Knowledge, PiecePlan
from stallwise.record.cook import CookRecord

__all__ = ["LONG_STEP_S", "Lever", "shift", "what_if"]

_HOUR_S = 3600.0
#: A lever that moves no day by so much has nothing to say [s].
_STILL_S = 1.0


def what_if(
    record: CookRecord,
    *,
    made_at: dt.datetime,
    as_of: dt.datetime | None = None,
    changes: Mapping[str, Any] | None = None,
    knowledge: Knowledge | None = None,
    seed: int = 1,
    starts: Mapping[str, dt.datetime] | None = None,
    pieces: Collection[str] = (),
) -> tuple[Lever, ...]:
    """Try what would make each piece sooner or later, one thing at a time.

    Parameters
    ----------
    record : CookRecord
        The cook as read from its folder.
    made_at, as_of, changes, knowledge, seed
        As for `answer.answer`.
    starts : mapping of letter to datetime, optional
        When each piece goes on, as an answer has said already; foreseen when not given.
    pieces : collection of str, optional
        Letters of the pieces to look at; all of them when empty.

    Returns
    -------
    tuple of Lever
        By piece, in the order of ``data/levers.csv``; none for a piece that is tender or off.

    Raises
    ------
    InputError
        The plan asks for what cannot be, or there is no such piece.
    """
    asked = question(
        record, made_at=made_at, as_of=as_of, changes=changes, knowledge=knowledge, seed=seed
    )
    letters = [piece.letter for piece in asked.cook.pieces]
    for letter in pieces:
        if letter not in letters:
            raise NotFoundError("piece", letter, letters)
    on = foresee(asked).on if starts is None else starts
    planned, pits = plan_pieces(asked, on)
    plans = [one.plan for one in planned]
    found: list[Lever] = []
    for one in planned:
        if not pieces or one.piece.letter in pieces:
            standing = Standing(asked, one, on[one.piece.letter], min(on.values()), pits)
            found.extend(_levers(standing, plans))
    return tuple(found)


def _levers(standing: Standing, plans: Sequence[PiecePlan]) -> Iterator[Lever]:
    piece = standing.planned.piece
    if any(timing.ends(line, piece) for line in standing.asked.lines):
        return
    asked = standing.asked
    days = SameDays(
        standing.planned.plan,
        plans,
        seed=asked.seed,
        members=asked.members,
        knowledge=asked.knowledge,
    )
    base = days.cook(standing.planned.plan)
    serve = _Serve.of(standing)
    for one in pulled(standing):
        changed = days.cook(one.plan)
        if not _moves(base, changed):
            continue
        shift_h = shift(base, changed, days.horizon_s)
        yield _lever(standing.planned, one, shift_h, serve, base, changed)


def _lever(
    planned: Planned,
    one: Pulled,
    shift_h: Spread,
    serve: _Serve | None,
    base: PieceForecast,
    changed: PieceForecast,
) -> Lever:
    odds = None if serve is None else serve.odds(changed, base.weights)
    return Lever(
        piece=planned.piece.letter,
        key=one.key,
        words=one.words,
        changes=one.changes,
        shift_h=shift_h,
        odds_in_time=odds,
        odds_change=None
        if serve is None or odds is None
        else odds - serve.odds(base, base.weights),
        hold_change_h=None if serve is None else mirrored(shift_h),
        source=f"levers.{one.key}",
    )


@dataclass(frozen=True)
class _Serve:
    """How long after meat on a piece has to be tender, for serving to be on time [s]."""

    latest_s: float

    @classmethod
    def of(cls, standing: Standing) -> _Serve | None:
        planned = standing.planned
        at = timing.serve_at(standing.asked.cook, planned.piece, standing.asked.zone)
        if at is None:
            return None
        ahead_s = (at - standing.on_at).total_seconds()
        return cls(ahead_s - planned.rest_s - planned.carve_s - planned.table.after_s)

    def odds(self, forecast: PieceForecast, weights: NDArray[np.float64]) -> float:
        """Share of the days on which it is on time."""
        return float(np.clip(np.sum(weights * (forecast.stages["tender"] <= self.latest_s)), 0, 1))


def _moves(base: PieceForecast, changed: PieceForecast) -> bool:
    """Whether any day is moved."""
    was, now = base.stages["tender"], changed.stages["tender"]
    reached = np.isfinite(was) & np.isfinite(now)
    return bool(
        np.any(np.isfinite(was) != np.isfinite(now))
        or np.any(np.abs(now[reached] - was[reached]) > _STILL_S)
    )


def shift(base: PieceForecast, changed: PieceForecast, horizon_s: float) -> Spread:
    """How much later a piece is tender when something is changed, day by day.

    A day that gets there only when changed counts as sooner by what can be seen of it, at
    least; one that gets there neither way says nothing.

    Parameters
    ----------
    base, changed : PieceForecast
        Of the same possible days.
    horizon_s : float
        How far was looked [s].

    Returns
    -------
    Spread
        [h], negative sooner.
    """
    was, now = base.stages["tender"], changed.stages["tender"]
    tells = np.isfinite(was) | np.isfinite(now)
    share = float(np.sum(base.weights[tells]))
    if not share > 0.0:
        return Spread(None, None, None, None, None, None, None, reached=0.0)
    shift = now[tells] - np.minimum(was[tells], horizon_s)
    found = spread(shift, base.weights[tells], _HOUR_S)
    return dataclasses.replace(found, reached=found.reached * share)
