"""What can still be done for a piece that is likely late, planned or under way, and what each way does.

Each way is the same possible days, moved by the readings so far, cooked on from now with one
thing done: wrapped, the pit brought up, both; a shorter rest; a later serving. Nothing is
offered that was done already, that no longer helps, or once serving time has come.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterator, Sequence

from stallwise.ground.errors import InputError
from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece, odds_in_time
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.pieces import stage_result
from stallwise.joins.ways.levers import lever_rows
from stallwise.joins.ways.remedy import Remedy, Touched
from stallwise.joins.ways.ways import WAYS, Done, Now
from stallwise.joins.ways.whatif import LONG_STEP_S, shift
from stallwise.joins.words import ODDS, odds_text
from stallwise.models.conformal import widen_stages
from stallwise.models.forecast import PieceForecast, days_of, simulate
from stallwise.models.plan import PiecePlan
from stallwise.tables.parameters import parameter

__all__ = ["at_risk", "cooked_on", "moved", "remedies", "touched"]

_HOUR_S = 3600.0


def at_risk(asked: Asked, sheet: Sequence[SheetPiece]) -> tuple[str, ...]:
    """Tell which pieces are less likely in time than was asked for, by a cook's words.

    Parameters
    ----------
    asked : Asked
        What is asked.
    sheet : sequence of SheetPiece
        Its pieces.

    Returns
    -------
    tuple of str
        Letters. Where each alone is likely enough and all of them together are not, the least
        likely one.
    """
    wanted = ODDS[asked.cook.odds]
    together = odds_in_time(sheet)
    if not _less(together, wanted):
        return ()
    odds = {one.letter: odds_in_time([one]) or 0.0 for one in sheet if _open(asked, one)}
    late = tuple(letter for letter, each in odds.items() if _less(each, wanted))
    return late or tuple(sorted(odds, key=lambda letter: odds[letter])[:1])


def _less(odds: float | None, wanted: float) -> bool:
    """Whether it is less so that it is said otherwise; two hundred days tell no finer."""
    return odds is not None and odds < wanted and odds_text(odds) != odds_text(wanted)


def _open(asked: Asked, one: SheetPiece) -> bool:
    """Whether its serving time is still to come, and it is under way or planned."""
    on = timing.logged_on(asked.lines, one.piece)
    if one.serve_at is None or not asked.as_of < one.serve_at or on == asked.as_of:
        return False
    return timing.came_off(asked.lines, one.piece) is None


def remedies(
    asked: Asked, seen: Foreseen, sheet: Sequence[SheetPiece], letters: Collection[str]
) -> tuple[Remedy, ...]:
    """Try what can still be done for the pieces that are likely late.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        What is asked, and its forecast.
    sheet : sequence of SheetPiece
        Its pieces.
    letters : collection of str
        Which of them are likely late: `at_risk`.

    Returns
    -------
    tuple of Remedy
        By piece, in the order of ``data/levers.csv``.
    """
    by_letter = {one.letter: one for one in sheet}
    tried: dict[PiecePlan, PieceForecast] = {}
    return tuple(
        one for letter in letters for one in _remedies(Now(asked, seen, by_letter, letter), tried)
    )


def _remedies(now: Now, tried: dict[PiecePlan, PieceForecast]) -> Iterator[Remedy]:
    rows = lever_rows()
    for key, make in WAYS.items():
        try:
            done = make(now, rows[key])
        except InputError:
            continue  # a plan that cannot be
        if done is None:
            continue
        each = {letter: touched(now, done, letter, tried) for letter in moved(now, done)}
        own = each.pop(now.letter)
        if _helps(now, done, own):
            yield Remedy(
                key,
                done.words,
                done.note,
                done.changes,
                own,
                tuple(each.values()),
                f"levers.{key}",
            )


def moved(now: Now, done: Done) -> list[str]:
    """Letters of the pieces that a way moves, this one among them."""
    return [
        letter
        for letter in now.sheet
        if letter in done.plans or letter in done.serve or letter == now.letter
    ]


def _helps(now: Now, done: Done, own: Touched) -> bool:
    """Whether it makes the piece sooner by what is worth doing, or the odds better without that."""
    if not done.plans:
        return (own.odds_in_time or 0.0) > (odds_in_time([now.own]) or 0.0)
    least_h = lever_rows()["now.least"].step("us") / _HOUR_S
    return own.shift_h.p50 is not None and own.shift_h.p50 <= -least_h


def touched(now: Now, done: Done, letter: str, tried: dict[PiecePlan, PieceForecast]) -> Touched:
    """Tell what becomes of a piece when something is done now; `tried` keeps what was marched."""
    was, before = now.sheet[letter], now.seen.forecast.pieces[letter]
    plan = done.plans.get(letter)
    made = before if plan is None else cooked_on(now, plan, tried)
    one = dataclasses.replace(
        was,
        tender_s=made.stages["tender"],
        weights=made.weights,
        serve_at=done.serve.get(letter, was.serve_at),
        rest_s=was.rest_s if done.rest_s is None or letter != now.letter else done.rest_s,
    )
    facts = now.standing(letter).planned.plan.facts
    zone = now.asked.zone
    return Touched(
        letter,
        stage_result(
            "tender",
            one.tender_s,
            one.weights,
            one.on_at,
            zone,
            known=facts is not None and facts.tender_s is not None,
        ),
        shift(before, made, parameter("forecast.horizon").value * _HOUR_S),
        odds_in_time([one]),
        one.serve_at.astimezone(zone) if one.serve_at else None,
    )


def cooked_on(now: Now, plan: PiecePlan, tried: dict[PiecePlan, PieceForecast]) -> PieceForecast:
    """Forecast another plan on the same days, its windows drawn out as those of the answer."""
    if plan in tried:
        return tried[plan]
    asked = now.asked
    days = days_of(
        plan,
        among=[one.plan for one in now.seen.planned],
        seed=asked.seed,
        members=asked.members,
        knowledge=asked.knowledge,
    )
    horizon_s = parameter("forecast.horizon").value * _HOUR_S
    made = simulate(plan, days, horizon_s=horizon_s, step_s=LONG_STEP_S)
    now_s = 0.0 if plan.facts is None else plan.facts.as_of_s
    stages = widen_stages(made.stages, now_s, asked.knowledge.widening, made.weights)
    return tried.setdefault(plan, dataclasses.replace(made, stages=stages))
