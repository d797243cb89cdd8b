"""Ways on when something went wrong: lit again, another oven, another wrap, held, put off.

Like `ways`: each says what it makes of plans, rest and serving times, or None where it is none.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping

import numpy as np

from stallwise.ground import units
from stallwise.joins import timing
from stallwise.joins.fire.firebreak import steady_again, warm_start_s
from stallwise.joins.fire.fuelling import of_pit
from stallwise.joins.fire.fuelwords import visit_words
from stallwise.joins.fire.pitplan import PitState, Where
from stallwise.joins.foresight import pit_start_s
from stallwise.joins.sheet.chilling import chill_s
from stallwise.joins.sheet.steptable import step_row
from stallwise.joins.ways.levers import LeverRow, Standing, lever_rows, setting_s
from stallwise.joins.ways.ways import Done, Now, in_pit, serve_later, wrap_kind, wrap_now, wrapped
from stallwise.joins.words import day_clock
from stallwise.models.fire import FIRE_KINDS, cooling_s
from stallwise.models.plan import PiecePlan
from stallwise.record.schema import Move
from stallwise.tables.limits import clock, minimum

__all__ = ["TROUBLE_WAYS"]


def _system(now: Now) -> str:
    return now.asked.record.book.units


def _relight(now: Now, row: LeverRow) -> Done | None:
    """Lit now: what the forecast counts with; the words say by when it is steady."""
    pit = now.seen.pits[now.pit(now.letter)]
    lines = of_pit(now.asked.lines, now.asked.cook, pit.letter)
    outs = [line for line in lines if line.what == "fire_out"]
    if not outs or pit.kind not in FIRE_KINDS:
        return None
    cooling = cooling_s(pit.kind)
    whole_s = pit_start_s(now.asked, now.seen.pits).get(pit.name) or 0.0
    warm_s = warm_start_s(whole_s, now.asked.as_of - outs[-1].at, cooling)
    again = steady_again(lines, outs[-1], now.asked.as_of, warm_s).astimezone(now.asked.zone)
    at = day_clock(again, again.date(), now.asked.as_of, mode="up")
    return Done(row.words.format(at=at))


def _relight_wrap(now: Now, row: LeverRow) -> Done | None:
    kind = wrap_kind(now)
    if kind is None or _relight(now, lever_rows()["fire_out.relight"]) is None:
        return None
    changes = wrapped(now.standing(), kind)
    plan = now.standing().replan(changes)
    return Done(row.words.format(kind=kind), changes, {now.letter: plan})


def _oven(now: Now, row: LeverRow) -> Done | None:
    """Everything that stands in the pit goes into an oven as hot as the pit is meant to be."""
    here = now.pit(now.letter)
    if now.seen.pits[here].kind not in FIRE_KINDS or not now.cooking:
        return None
    oven_c = min(_meant_c(now, here), lever_rows()["now.pit.most"].step(_system(now)))
    oven = PitState("", "kitchen oven", "oven", Where("oven"), ((0.0, oven_c),))
    letter = next(each for each in "OXYZWVU" if each not in now.seen.pits and each not in now.sheet)
    pits = {**now.seen.pits, letter: dataclasses.replace(oven, letter=letter)}
    hot_at = now.asked.as_of + dt.timedelta(seconds=step_row("switch_on").usual_s)
    at = f"{hot_at.astimezone(now.asked.zone):%Y-%m-%d %H:%M}"
    plans = {
        each: _moved(now.standing(each), Move(to=letter, at=at), pits)
        for each in now.sheet
        if now.pit(each) == here and _on_the_fire(now, each)
    }
    words = row.words.format(temperature=units.format_temperature(oven_c, _system(now)))
    return Done(words, {}, plans)


def _on_the_fire(now: Now, letter: str) -> bool:
    piece = now.sheet[letter].piece
    on = timing.logged_on(now.asked.lines, piece)
    return on is not None and not any(timing.ends(line, piece) for line in now.asked.lines)


def _moved(standing: Standing, move: Move, pits: Mapping[str, PitState]) -> PiecePlan:
    cook = standing.asked.cook
    pieces = [
        piece.model_copy(update={"moves": [*piece.moves, move]})
        if piece.letter == standing.planned.piece.letter
        else piece
        for piece in cook.pieces
    ]
    asked = dataclasses.replace(standing.asked, cook=cook.model_copy(update={"pieces": pieces}))
    return dataclasses.replace(standing, asked=asked).replan({}, pits)


def _meant_c(now: Now, letter: str) -> float:
    """Where the pit is meant to be when all is well again [°C]."""
    return now.seen.pits[letter].points[-1][1]


def _feed(now: Now, row: LeverRow) -> Done | None:
    fire = next((one for one in now.fuel if one.pit == now.pit(now.letter)), None)
    if fire is None:
        return None
    return Done(row.words.format(feed=visit_words(fire)))


def _cooler(now: Now, row: LeverRow) -> Done | None:
    if not now.cooking:
        return None
    step_k = row.step(_system(now))
    here = now.seen.pits[now.pit(now.letter)]
    if _meant_c(now, here.letter) - step_k < lever_rows()["trouble.least"].step(_system(now)):
        return None
    words = row.words.format(step=units.format_temperature_difference(step_k, _system(now)))
    return Done(words, {}, in_pit(now, -step_k, {}))


def _hold(place: str) -> Callable[[Now, LeverRow], Done | None]:
    def hold(now: Now, row: LeverRow) -> Done | None:
        standing = now.standing()
        changes = {standing.name("hold"): place}
        words = row.words
        if place == "oven":
            at = units.format_temperature(row.step(_system(now)), _system(now))
            changes[standing.name("hold_at")] = at.replace("°", "")
            words = words.format(temperature=at)
        if now.own.piece.hold == place:
            return None
        return Done(words, changes, {now.letter: standing.replan(changes)}, holds=True)

    return hold


def _wrap_in(kind: str) -> Callable[[Now, LeverRow], Done | None]:
    def wrap(now: Now, row: LeverRow) -> Done | None:
        standing = now.standing()
        plan = standing.planned.plan
        facts = plan.facts
        there = facts is not None and facts.was_wrapped
        if not now.cooking or plan.wrap.kind in {kind, "none"} or there:
            return None
        changes = {standing.name("wrap"): kind}
        return Done(row.words, changes, {now.letter: standing.replan(changes)})

    return wrap


def _chill(now: Now, row: LeverRow) -> Done | None:
    """Chilled after its rest and reheated, where there is time for that."""
    standing = now.standing()
    again_s = row.step(_system(now))
    piece = now.own.piece.model_copy(update={"reheat": setting_s(again_s)})
    need_s = float(np.median(now.own.need_s[np.isfinite(now.own.need_s)])) + chill_s(piece)
    if now.own.piece.reheat or now.own.serve_at is None or need_s > now.own.ahead_s:
        return None
    words = row.words.format(step=units.format_duration(again_s))
    return Done(words, {standing.name("reheat"): setting_s(again_s)}, note=_chill_note(now))


def _chill_note(now: Now) -> str:
    first, whole = clock("cool-first"), clock("cool-total")
    system = _system(now)
    ends = [
        f"{units.format_temperature(one.to_c or 0.0, system)} within "
        f"{units.format_duration(one.limit_s)}"
        for one in (first, whole)
    ]
    hot = units.format_temperature(minimum("leftovers").temperature_c, system)
    return f"{ends[0]}, {ends[1]} in all; back to {hot} (Food Code)"


#: By row of ``data/levers.csv``: trouble, then way.
TROUBLE_WAYS: Mapping[str, Mapping[str, Callable[[Now, LeverRow], Done | None]]] = {
    "fire_out": {
        "relight": _relight,
        "relight_wrap": _relight_wrap,
        "oven": _oven,
        "later": serve_later,
    },
    "rain": {"feed": _feed, "sag": _cooler, "wrap": wrap_now, "oven": _oven},
    "guests_late": {
        "cooler": _cooler,
        "box": _hold("box"),
        "oven": _hold("oven"),
        "bare": _wrap_in("none"),
    },
    "out_of": {
        "paper": _wrap_in("paper"),
        "pan": _wrap_in("pan"),
        "foil": _wrap_in("foil"),
        "bare": _wrap_in("none"),
    },
    "early": {
        "cooler": _cooler,
        "box": _hold("box"),
        "chill": _chill,
        "oven": _hold("oven"),
        "bare": _wrap_in("none"),
    },
}
