"""What can be done now for a piece under way: wrap it, bring the pit up, both, rest or serve otherwise.

A way says what it makes of plans, rest and serving times, or None where it is no way any more.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece, odds_in_time
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.fire.pitplan import PitState
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.ways.levers import LeverRow, Standing, from_now, lever_rows, setting_s
from stallwise.joins.words import ODDS, day_clock
from stallwise.models.plan import PiecePlan

__all__ = ["WAYS", "Done", "Now", "in_pit", "serve_later", "wrap_kind", "wrap_now", "wrapped"]

#: Wraps that hold the steam in: others save little.
_TIGHT = frozenset({"foil", "pan"})
_HALF = 0.5
_TINY = 1e-9


@dataclass(frozen=True)
class Done:
    """One thing done now: in words, and what it makes of plans, rest and serving times."""

    words: str
    changes: Mapping[str, str] = field(default_factory=dict)
    plans: Mapping[str, PiecePlan] = field(default_factory=dict)
    rest_s: float | None = None
    serve: Mapping[str, dt.datetime] = field(default_factory=dict)
    note: str = ""
    #: Where it is held is what is changed: how long it stays hot there is told.
    holds: bool = False


@dataclass(frozen=True)
class Now:
    """A cook under way, seen from one of its pieces."""

    asked: Asked
    seen: Foreseen
    sheet: Mapping[str, SheetPiece]
    letter: str
    fuel: Sequence[FuelResult] = ()

    def standing(self, letter: str = "") -> Standing:
        """Take a piece as it stands, this one by default."""
        letter = letter or self.letter
        planned = next(one for one in self.seen.planned if one.piece.letter == letter)
        on = self.seen.on
        return Standing(self.asked, planned, on[letter], min(on.values()), self.seen.pits)

    @property
    def own(self) -> SheetPiece:
        """What the sheet needs of the piece."""
        return self.sheet[self.letter]

    @property
    def cooking(self) -> bool:
        """It is neither tender nor off yet."""
        return not any(timing.ends(line, self.own.piece) for line in self.asked.lines)

    def pit(self, letter: str) -> str:
        """Letter of the pit in which a piece stands now."""
        piece, asked, pits = self.sheet[letter].piece, self.asked, self.seen.pits
        moves = timing.moves(asked.cook, piece, asked.lines, asked.zone, pits)
        been = [to for at, to, _ in moves if at <= asked.as_of and to in pits]
        return been[-1] if been else piece.pit or next(iter(self.seen.pits))


def wrap_now(now: Now, row: LeverRow) -> Done | None:
    """Wrap it now, where that is a way still."""
    kind = wrap_kind(now)
    if kind is None:
        return None
    standing = now.standing()
    words = row.words.format(kind=kind)
    changes = wrapped(standing, kind)
    return Done(words, changes, {now.letter: standing.replan(changes)}, note=_wrap_note(now))


def wrap_kind(now: Now) -> str | None:
    """Say in what it can be wrapped now; None where it is, was, or is not for wrapping."""
    plan = now.standing().planned.plan
    facts, kind = plan.facts, plan.wrap.kind
    if facts is None or not now.cooking:
        return None
    if facts.was_wrapped:
        return None
    # What is cooked to a core temperature for its skin or its colour is not for wrapping.
    if kind == "none" and plan.target.kind == "core":
        return None
    return kind if kind in _TIGHT else "foil"


def wrapped(standing: Standing, kind: str) -> dict[str, str]:
    """Name the settings that wrap a piece now."""
    now_s = standing.now_s or 0.0
    at = setting_s(now_s)
    return {
        standing.name("wrap"): kind,
        standing.name("wrap_from"): at,
        standing.name("wrap_to"): at,
    }


def _wrap_note(now: Now) -> str:
    """Say what speaks against wrapping now: another wrap was meant, or the bark is not set yet."""
    standing = now.standing()
    planned = standing.planned.plan.wrap.kind
    said = [f"you planned {planned}"] if planned not in {*_TIGHT, "none"} else []
    later = now.own.bark_s > (standing.now_s or 0.0)
    if np.sum(now.own.weights[later]) > _HALF * np.sum(now.own.weights):
        said.append("bark most likely not set yet: look first")
    return "; ".join(said)


def _pit(now: Now, row: LeverRow) -> Done | None:
    step_k = _pit_step(now)
    if step_k is None:
        return None
    words = row.words.format(step=units.format_temperature_difference(step_k, _system(now)))
    return Done(words, {}, in_pit(now, step_k, {}))


def _pit_step(now: Now) -> float | None:
    """By how much the pit may still be brought up [K]; None for hardly at all."""
    if not now.cooking:
        return None
    rows = lever_rows()
    whole_k = rows["now.pit"].step(_system(now))
    zero_s = (now.asked.as_of - min(now.seen.on.values())).total_seconds()
    points = now.seen.pits[now.pit(now.letter)].points
    ahead = [temp for at, temp in points if at > zero_s] or [points[-1][1]]
    room_k = rows["now.pit.most"].step(_system(now)) - max(ahead)
    step_k = min(whole_k, room_k)
    return step_k if step_k >= whole_k / 2.0 else None


def in_pit(now: Now, step_k: float, changes: Mapping[str, str]) -> dict[str, PiecePlan]:
    """Plan all pieces anew that a hotter or cooler pit moves; this one with more changed."""
    pit = now.pit(now.letter)
    zero_s = (now.asked.as_of - min(now.seen.on.values())).total_seconds()
    state = now.seen.pits[pit]
    pits: dict[str, PitState] = {
        **now.seen.pits,
        pit: dataclasses.replace(state, points=from_now(state, zero_s, step_k)),
    }
    found = {}
    for letter in now.sheet:
        standing = now.standing(letter)
        plan = standing.replan(changes if letter == now.letter else {}, pits)
        over = any(timing.ends(line, standing.planned.piece) for line in now.asked.lines)
        if plan != standing.planned.plan and not over:
            found[letter] = plan
    return found


def _wrap_and_pit(now: Now, row: LeverRow) -> Done | None:
    kind, step_k = wrap_kind(now), _pit_step(now)
    if kind is None or step_k is None:
        return None
    step = units.format_temperature_difference(step_k, _system(now))
    changes = wrapped(now.standing(), kind)
    words = row.words.format(kind=kind, step=step)
    # No setting brings a pit up from now on, so what is set would be half of it.
    return Done(words, {}, in_pit(now, step_k, changes), note=_wrap_note(now))


def _rest(now: Now, row: LeverRow) -> Done | None:
    rows = lever_rows()
    long_s = now.own.rest_s
    least_s = rows["now.rest.least"].step(_system(now))
    short_s = max(long_s * (1.0 - row.step(_system(now))), least_s)
    if long_s - short_s < rows["now.least"].step(_system(now)):
        return None
    short = units.format_duration(short_s)
    words = row.words.format(short=short, long=units.format_duration(long_s))
    return Done(words, {now.standing().name("rest"): setting_s(short_s)}, rest_s=short_s)


def _planned_wrap(now: Now, row: LeverRow) -> Done | None:
    """Plan foil for a piece that is not on yet, where it is planned bare or in paper."""
    plan = now.standing().planned.plan
    if plan.facts is not None or plan.target.kind == "core" or plan.wrap.kind in _TIGHT:
        return None
    changes = {now.standing().name("wrap"): "foil"}
    return Done(row.words, changes, {now.letter: now.standing().replan(changes)})


def serve_later(now: Now, row: LeverRow) -> Done | None:
    """Put serving off until the odds are met, of all that is on the table at that time."""
    piece, was = now.own.piece, now.own.serve_at
    if was is None:
        return None
    together = [
        one
        for one in now.sheet.values()
        if one.letter == now.letter
        or (not piece.serve and not one.piece.serve and one.serve_at == was)
    ]
    step_s = row.step(_system(now))
    for count in range(1, round(lever_rows()["now.serve.most"].step(_system(now)) / step_s) + 1):
        later = (was.astimezone(dt.UTC) + dt.timedelta(seconds=count * step_s)).astimezone(
            was.tzinfo
        )
        odds = odds_in_time([dataclasses.replace(one, serve_at=later) for one in together])
        if odds is not None and odds >= ODDS[now.asked.cook.odds] - _TINY:
            day = now.asked.cook.date
            at, before = day_clock(later, day), day_clock(was, day)
            name = now.standing().name("serve") if piece.serve else "serve"
            return Done(
                row.words.format(at=at, was=before),
                {name: f"{later:%Y-%m-%d %H:%M}"},
                serve={one.letter: later for one in together},
            )
    return None


def _system(now: Now) -> str:
    return now.asked.record.book.units


#: By row of ``data/levers.csv``, in the order in which they are offered.
WAYS: Mapping[str, Callable[[Now, LeverRow], Done | None]] = {
    "now.wrap": wrap_now,
    "wrap.foil": _planned_wrap,
    "now.pit": _pit,
    "now.wrap_pit": _wrap_and_pit,
    "now.rest": _rest,
    "now.serve": serve_later,
}
