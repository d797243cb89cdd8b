"""How much of the time between two pieces the forecast puts down to each thing that was different.

The first piece's own possible days are cooked again with one part after another done as it was done
with the second; the difference is taken day by day. It is what the model thinks, and no proof.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import quantiles
from stallwise.joins.past.cooked import Cooked
from stallwise.joins.past.differing import Difference
from stallwise.joins.result import Spread
from stallwise.joins.ways.samedays import SameDays
from stallwise.joins.ways.whatif import shift
from stallwise.models.forecast import PieceForecast
from stallwise.models.plan import PiecePlan
from stallwise.tables.comparing import nearness

__all__ = ["PARTS", "Credit", "Credits", "credit"]

_HOUR_S = 3600.0


@dataclass(frozen=True)
class Credit:
    """One part done as with the other piece.

    Attributes
    ----------
    part, words : str
        Key of `PARTS`, and what it is called.
    shift_h : Spread
        How much later that makes it tender [h], negative sooner, day by day.
    """

    part: str
    words: str
    shift_h: Spread


@dataclass(frozen=True)
class Credits:
    """Two pieces, and what the forecast makes of the time between them.

    Attributes
    ----------
    first, other : str
        What they are called.
    seen_h : (float, float) or None
        How much later the other was tender, at the least and at the most [h]; None where one of
        them was not watched.
    credits : tuple of Credit
        What moves it most first; what moves it by nothing is left out.
    still : tuple of str
        Words of what was different and moves no day.
    together : Spread
        All of it at once [h].
    alike_h : float
        Two pieces alike in everything are no further apart than this [h], four times in five: on
        one day side by side if these are of one cook, else on different days.
    one_day : bool
        They are of one cook.
    """

    first: str
    other: str
    seen_h: tuple[float, float] | None
    credits: tuple[Credit, ...]
    still: tuple[str, ...]
    together: Spread
    alike_h: float
    one_day: bool

    @property
    def left_h(self) -> float | None:
        """What all that was different leaves of the time between them [h], from middle to middle."""
        if self.seen_h is None or self.together.p50 is None:
            return None
        return sum(self.seen_h) / 2.0 - self.together.p50

    @property
    def by_chance(self) -> bool | None:
        """Whether two pieces alike in everything lie as far apart as these did."""
        if self.seen_h is None:
            return None
        return max(abs(end) for end in self.seen_h) <= self.alike_h

    @property
    def accounted(self) -> bool | None:
        """Whether what is left lies within that spread too."""
        left_h = self.left_h
        return None if left_h is None else abs(left_h) <= self.alike_h


def _body(mine: PiecePlan, theirs: PiecePlan) -> PiecePlan:
    """Weight and sizes of the other piece, still of the first one's meat."""
    body = dataclasses.replace(
        theirs.body,
        composition=mine.body.composition,
        surface=mine.body.surface,
        tissue=mine.body.tissue,
    )
    return dataclasses.replace(mine, body=body)


def _cut(mine: PiecePlan, theirs: PiecePlan) -> PiecePlan:
    """Take the other cut whole: a finish is one of its cut, and its sizes are its own."""
    return dataclasses.replace(mine, cut=theirs.cut, body=theirs.body, target=theirs.target)


def _fields(*names: str) -> Callable[[PiecePlan, PiecePlan], PiecePlan]:
    def take(mine: PiecePlan, theirs: PiecePlan) -> PiecePlan:
        return dataclasses.replace(mine, **{name: getattr(theirs, name) for name in names})

    return take


#: Parts of a forecast: what each is called, and how it is taken over from another piece.
PARTS: Mapping[str, tuple[str, Callable[[PiecePlan, PiecePlan], PiecePlan]]] = {
    "cut": ("cut, with its weight and finish", _cut),
    "size": ("weight and size", _body),
    "start": ("core as it went on", _fields("start_core_c")),
    "finish": ("wanted finish", _fields("target")),
    "pit": (
        "the pit as it ran, and the place in it",
        _fields("pit", "pit_name", "pit_kind", "number_place", "place", "pit_changes"),
    ),
    "wrap": ("the wrap", _fields("wrap")),
    "spritz": ("spritzes and looks", _fields("spritz", "openings_s")),
    "air": ("weather and damp", _fields("ambient_c", "pressure_pa", "humidity_factor")),
}
#: Taken over with the cut.
_OF_CUT = frozenset({"size", "finish"})


def credit(
    first: Cooked,
    other: Cooked,
    seen_h: tuple[float, float] | None,
    found: tuple[Difference, ...],
) -> Credits:
    """Cook the first piece's days again with one part after another done as with the other.

    Parameters
    ----------
    first, other : Cooked
        The two pieces.
    seen_h : (float, float) or None
        How much later the other was tender [h].
    found : tuple of Difference
        Between these two: only what differs is tried.
    """
    mine, theirs = first.done, other.done
    days = _days(first, mine)
    base = days.cook(mine)
    parts = {one.part for one in found if one.differs and one.part}
    if mine.cut != theirs.cut:
        parts = (parts | {"cut"}) - _OF_CUT
    moving, still, whole = [], [], mine
    for part, (words, take) in PARTS.items():
        changed = take(mine, theirs)
        if part not in parts or changed == mine:
            continue
        whole = take(whole, theirs)
        moved = shift(base, days.cook(changed), days.horizon_s)
        if _still(moved):
            still.append(words)
        else:
            moving.append(Credit(part, words, moved))
    one_day = first.record.name == other.record.name
    together = shift(base, days.cook(whole), days.horizon_s)
    moving.sort(key=lambda one: -abs(one.shift_h.p50 or np.inf))
    return Credits(
        first.label,
        other.label,
        seen_h,
        tuple(moving),
        tuple(still),
        together,
        _beside(first, other, mine, base) if one_day else _apart(base, days.horizon_s),
        one_day,
    )


def _days(one: Cooked, plan: PiecePlan) -> SameDays:
    asked = one.asked
    return SameDays(plan, [plan], seed=asked.seed, members=asked.members, knowledge=asked.knowledge)


def _still(moved: Spread) -> bool:
    """Whether hardly a day is moved by a minute."""
    ends = (moved.p10, moved.p90)
    return all(end is not None and abs(end) * 60.0 < 1.0 for end in ends)


def _apart(base: PieceForecast, horizon_s: float) -> float:
    """How far two independent days of one plan lie apart [h]."""
    tender = np.minimum(base.stages["tender"], horizon_s)
    gaps = np.abs(tender[:, None] - tender[None, :])
    weights = base.weights[:, None] * base.weights[None, :]
    return _spread(gaps.ravel(), weights.ravel())


def _beside(first: Cooked, other: Cooked, plan: PiecePlan, base: PieceForecast) -> float:
    """How far two pieces of one plan lie apart that share a pit and a day [h]."""
    twin = dataclasses.replace(plan, key=other.letter)
    days = _days(first, twin)
    gaps = np.abs(
        np.minimum(base.stages["tender"], days.horizon_s)
        - np.minimum(days.cook(twin).stages["tender"], days.horizon_s)
    )
    return _spread(gaps, base.weights)


def _spread(gaps: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    return float(quantiles(gaps, (nearness("alike"),), weights)[0]) / _HOUR_S
