"""What one may change about a piece: one lever a row of ``data/levers.csv``, each another plan.

A lever is offered only where it makes sense for the piece and can still be pulled: nothing
of the past is changed, and what is on the pit keeps its size.
"""

from __future__ import annotations

import csv
import dataclasses
import datetime as dt
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from stallwise.ground import assets, units
from stallwise.ground.errors import InputError
from stallwise.ground.scales import INCH_M, POUND_KG
from stallwise.joins.fire.pitplan import PitState, curve_from, settle_s
from stallwise.joins.foresight import Asked
from stallwise.joins.parameters import resolve
from stallwise.joins.plan import Planned, plan_piece
from stallwise.models.plan import PiecePlan
from stallwise.tables.cut import Finish

__all__ = ["LeverRow", "Pulled", "Standing", "from_now", "lever_rows", "pulled", "setting_s"]


@dataclass(frozen=True)
class LeverRow:
    """A row of the table: words with gaps to fill, and how far it is pulled in each system.

    Attributes
    ----------
    key : str
        What is changed and which way: ``pit.hotter``.
    words : str
        In a cook's words, with gaps such as ``{step}``.
    kind : str
        Kind of quantity of the step; empty for none.
    steps : mapping of system to str
        The step as text with its unit.
    """

    key: str
    words: str
    kind: str
    steps: Mapping[str, str]

    def step(self, system: str) -> float:
        """How far it is pulled, in SI."""
        return units.parse(self.kind, self.steps[system], key=f"levers.{self.key}")


@dataclass(frozen=True)
class Pulled:
    """A lever pulled: in words, as settings where there are such, and the plan it makes."""

    key: str
    words: str
    changes: Mapping[str, str]
    plan: PiecePlan


@dataclass(frozen=True)
class Standing:
    """A piece as it stands: what was asked, its plan, and where and since when it is on."""

    asked: Asked
    planned: Planned
    on_at: dt.datetime
    hour_zero: dt.datetime
    pits: Mapping[str, PitState]

    @property
    def system(self) -> str:
        """Units of the cookbook."""
        return self.asked.record.book.units

    @property
    def now_s(self) -> float | None:
        """Now, in the piece's own seconds; None before it is on."""
        facts = self.planned.plan.facts
        return None if facts is None else facts.as_of_s

    def name(self, parameter: str) -> str:
        """Name of this piece's own parameter."""
        many = len(self.asked.cook.pieces) > 1
        return f"{parameter}__{self.planned.piece.letter}" if many else parameter

    def replan(
        self, changes: Mapping[str, str], pits: Mapping[str, PitState] | None = None
    ) -> PiecePlan:
        """Plan of this piece with settings changed; its start stays."""
        cook = resolve(self.asked.cook, changes)
        letter = self.planned.piece.letter
        made = plan_piece(
            self.asked.record,
            cook,
            next(piece for piece in cook.pieces if piece.letter == letter),
            pits=self.pits if pits is None else pits,
            lines=self.asked.lines,
            on_at=self.on_at,
            hour_zero=self.hour_zero,
            as_of=self.asked.as_of,
            zone=self.asked.zone,
        )
        return made.plan


@cache
def lever_rows() -> Mapping[str, LeverRow]:
    """Read every lever, by key, in the order in which they are shown."""
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "levers.csv")))
    return {
        row["key"]: LeverRow(
            row["key"], row["words"], row["kind"], {"us": row["us"], "metric": row["metric"]}
        )
        for row in rows
    }


def pulled(standing: Standing) -> Iterator[Pulled]:
    """Every lever that this piece has and that is still open, pulled.

    Parameters
    ----------
    standing : Standing
        The piece as it stands.

    Yields
    ------
    Pulled
        In the order of the table. A lever that would make an impossible piece is left out.
    """
    for key, row in lever_rows().items():
        what, _, way = key.partition(".")
        if what not in _MAKERS:
            continue  # of `remedies`
        try:
            made = _MAKERS[what](standing, row, way)
        except InputError:
            continue
        if made is not None and made.plan != standing.planned.plan:
            yield made


def _pit(standing: Standing, row: LeverRow, way: str) -> Pulled:
    step_k = row.step(standing.system) * (1.0 if way == "hotter" else -1.0)
    now_s = standing.now_s
    words = row.words.format(step=units.format_temperature_difference(abs(step_k), standing.system))
    if now_s is None:
        pits = {
            letter: dataclasses.replace(pit, points=tuple((at, c + step_k) for at, c in pit.points))
            for letter, pit in standing.pits.items()
        }
        return Pulled(row.key, words, _pit_changes(standing, step_k), standing.replan({}, pits))
    zero_s = (standing.on_at - standing.hour_zero).total_seconds()
    pits = {
        letter: dataclasses.replace(pit, points=from_now(pit, zero_s + now_s, step_k))
        for letter, pit in standing.pits.items()
    }
    return Pulled(row.key, f"{words} from now on", {}, standing.replan({}, pits))


def from_now(pit: PitState, now_s: float, step_k: float) -> tuple[tuple[float, float], ...]:
    """Points as they were until now; from then on moved by `step_k`, the fire taking its time."""
    curve = curve_from(pit.points, 0.0)
    there_s = now_s + settle_s()
    before = [point for point in pit.points if point[0] < now_s]
    after = [(at, temp + step_k) for at, temp in pit.points if at > there_s]
    turn = [(now_s, float(curve.at(now_s))), (there_s, float(curve.at(there_s)) + step_k)]
    return (*before, *turn, *after)


def _pit_changes(standing: Standing, step_k: float) -> dict[str, str]:
    """Name the settings that move each pit of the piece; none where a schedule is moved."""
    uses = {use.letter: use for use in standing.asked.cook.pits}
    piece = standing.planned.piece
    letters = [piece.pit or next(iter(standing.pits)), *(move.to for move in piece.moves)]
    found = {}
    for letter in dict.fromkeys(letters):
        use = uses.get(letter)
        if use and use.schedule:
            return {}
        suffix = f"__{letter}" if len(uses) > 1 else ""
        points = standing.pits[letter].points
        names = ["pit_start", *(["pit_climb_to"] if use and use.climb_to else [])]
        for name, (_, temp) in zip(names, (points[0], points[-1]), strict=False):
            found[name + suffix] = _temperature(temp + step_k, standing.system)
    return found


def _wrap(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    planned = standing.planned
    facts, kind = planned.plan.facts, planned.plan.wrap.kind
    if facts is not None and facts.was_wrapped:
        return None
    if way in {"earlier", "later"}:
        return _other_window(standing, row, way)
    # What is cooked to a core temperature for its skin or its colour is not for wrapping.
    if way == kind or (planned.plan.target.kind == "core" and kind == "none"):
        return None
    changes = {standing.name("wrap"): way}
    return Pulled(row.key, row.words, changes, standing.replan(changes))


def _other_window(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    window = standing.planned.wrap_window_s
    if window is None:
        return None
    step_s = row.step(standing.system)
    low, high = (at + (step_s if way == "later" else -step_s) for at in window)
    if low < (standing.now_s or 0.0):
        return None
    changes = {
        standing.name("wrap_from"): setting_s(low),
        standing.name("wrap_to"): setting_s(high),
    }
    words = row.words.format(step=units.format_duration(step_s))
    return Pulled(row.key, words, changes, standing.replan(changes))


def _thickness(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    planned = standing.planned
    if standing.now_s is not None or not planned.cut.ruler or way == "small":
        return None
    whole_m = 2.0 * planned.plan.body.half_thickness_m
    small = whole_m < lever_rows()["thickness.small"].step(standing.system)
    step_m = row.step(standing.system) * (0.5 if small else 1.0)
    changed_m = whole_m + (step_m if way == "thicker" else -step_m)
    changes = {standing.name("thickness"): _length(changed_m, standing.system)}
    plan = standing.replan(changes)
    # Its thickness is no surer for being tried: only what is changed may differ.
    body = dataclasses.replace(plan.body, measured=planned.plan.body.measured)
    words = row.words.format(step=units.format_length(step_m, standing.system))
    return Pulled(row.key, words, changes, dataclasses.replace(plan, body=body))


def _mass(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    if standing.now_s is not None:
        return None
    step = row.step(standing.system)
    changed_kg = standing.planned.mass_kg * (1.0 + (step if way == "heavier" else -step))
    changes = {standing.name("mass"): _mass_text(changed_kg, standing.system)}
    words = row.words.format(step=f"{round(100 * step)} %")
    return Pulled(row.key, words, changes, standing.replan(changes))


def _finish(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    other = _neighbour(standing.planned, -1 if way == "before" else 1)
    if other is None:
        return None
    changes = {standing.name("finish"): other.words}
    words = row.words.format(finish=other.words)
    return Pulled(row.key, words, changes, standing.replan(changes))


def _neighbour(planned: Planned, step: int) -> Finish | None:
    """Find the next finish that way whose target is another: crisp skin may be no later than soft."""
    finishes = planned.cut.finishes
    at = [finish.words for finish in finishes].index(planned.finish) + step
    while 0 <= at < len(finishes):
        if finishes[at].target != planned.plan.target:
            return finishes[at]
        at += step
    return None


def _spritz(standing: Standing, row: LeverRow, way: str) -> Pulled | None:
    plan, habit = standing.planned.plan, standing.planned.cut.spritz
    now_s = standing.now_s or 0.0
    if plan.facts is not None and plan.facts.wrapped_s is not None:
        return None
    if (way == "on") is any(not one.sticks for one in plan.spritz):
        return None
    if way == "off":
        done = [one for one in plan.spritz if one.time_s <= now_s and now_s > 0.0]
        words = "no more spritz" if any(not one.sticks for one in done) else row.words
        kept = tuple(one for one in plan.spritz if one in done or one.sticks)
        return Pulled(row.key, words, {}, dataclasses.replace(plan, spritz=kept))
    every = units.format_duration(habit.every_s)
    changes = {
        standing.name("spritz_from"): units.format_duration(habit.first_s),
        standing.name("spritz_every"): every,
    }
    made = standing.replan(changes)
    ahead = tuple(one for one in made.spritz if one.time_s > now_s)
    words = row.words.format(every=every)
    return Pulled(row.key, words, changes, dataclasses.replace(made, spritz=ahead))


_MAKERS: Mapping[str, Callable[[Standing, LeverRow, str], Pulled | None]] = {
    "pit": _pit,
    "wrap": _wrap,
    "thickness": _thickness,
    "mass": _mass,
    "finish": _finish,
    "spritz": _spritz,
}


def _temperature(value_c: float, system: str) -> str:
    return f"{value_c * 1.8 + 32.0:.4g} F" if system == "us" else f"{value_c:.4g} C"


def _length(value_m: float, system: str) -> str:
    return f"{value_m / INCH_M:.3f} in" if system == "us" else f"{value_m * 1e3:.1f} mm"


def _mass_text(value_kg: float, system: str) -> str:
    return f"{value_kg / POUND_KG:.3f} lb" if system == "us" else f"{value_kg:.3f} kg"


def setting_s(value_s: float) -> str:
    """Write a duration [s] as a setting takes it: ``6:00:00``."""
    minutes, seconds = divmod(round(value_s), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
