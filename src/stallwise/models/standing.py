"""State of a limit: what it is, what it lacks, and how an unsure time is judged."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from stallwise.models.limitcurve import Probe

__all__ = [
    "CHECK",
    "READINGS",
    "Moments",
    "Standing",
    "State",
    "span_state",
    "unchecked",
    "unless_unchecked",
    "worst_state",
]

State = Literal["running", "met", "missed", "unknown"]

#: Facts that a limit may lack; joins ask for them in words.
READINGS, CHECK = "readings", "probe_check"


@dataclass(frozen=True)
class Moments:
    """When things happened to a piece [s since hour zero]; None where it is not known.

    Attributes
    ----------
    now_s : float
        As far as anything is known.
    on_s, off_s, cut_s, chilled_s : float or None
        On the pit, off the heat, first cut or served, into the cold.
    ended : bool
        Nothing more will be written: what is still open then is not known.
    """

    now_s: float
    on_s: float | None = None
    off_s: float | None = None
    cut_s: float | None = None
    chilled_s: float | None = None
    ended: bool = False

    @property
    def open(self) -> bool:
        """Whether the piece is still being cooked, as far as is known."""
        return self.cut_s is None and not self.ended

    @property
    def until_s(self) -> float:
        """When it was cut, or now."""
        return self.now_s if self.cut_s is None else min(self.cut_s, self.now_s)


@dataclass(frozen=True)
class Standing:
    """State of one limit, keys of the facts it lacks, and the figures behind it."""

    state: State
    needs: tuple[str, ...] = ()
    seen: Mapping[str, float] = field(default_factory=dict)


def span_state(limit_s: float, worst_s: float, best_s: float) -> State:
    """Judge a longest time by the longest and the shortest that it can have been.

    Parameters
    ----------
    limit_s : float
        Longest time allowed [s].
    worst_s, best_s : float
        Longest and shortest possible [s]. Whole seconds are compared, so that no rounding of a
        clock decides.
    """
    if math.isfinite(worst_s) and round(worst_s) <= round(limit_s):
        return "met"
    if math.isfinite(best_s) and round(best_s) > round(limit_s):
        return "missed"
    return "unknown"


def worst_state(*states: State) -> State:
    """Pick the state that weighs most: missed, unknown, running, met."""
    order: tuple[State, ...] = ("missed", "unknown", "running", "met")
    return min(states, key=order.index)


def unchecked(probes: Sequence[Probe]) -> tuple[str, ...]:
    """Ask for a check where a probe had none."""
    return (CHECK,) if any(one.tolerance_k is None for one in probes) else ()


def unless_unchecked(one: Standing, missing: tuple[str, ...]) -> Standing:
    """Take a met limit back where a probe was never checked."""
    if not missing:
        return one
    state: State = "unknown" if one.state == "met" else one.state
    return Standing(state, (*one.needs, *missing), one.seen)
