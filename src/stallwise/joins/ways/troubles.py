"""What went wrong with a cook under way, or comes far too early, each with two or three ways on."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece, odds_in_time
from stallwise.joins.fire.firebreak import TROUBLES
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.foresight import Asked, Foreseen
from stallwise.joins.serving import serving
from stallwise.joins.sheet.steptable import caution
from stallwise.joins.ways.levers import lever_rows
from stallwise.joins.ways.remedies import cooked_on, moved, touched
from stallwise.joins.ways.remedy import Remedy, Touched, Trouble
from stallwise.joins.ways.troubleways import TROUBLE_WAYS
from stallwise.joins.ways.ways import Done, Now
from stallwise.joins.words import ODDS, day_clock, hours
from stallwise.models.forecast import PieceForecast
from stallwise.models.plan import PiecePlan
from stallwise.record.log import LogLine

__all__ = ["in_trouble", "troubles"]

_HOUR_S = 3600.0
#: More ways than this are no help to somebody in a hurry.
_MOST = 3
#: Two hundred days, marched in longer steps, tell odds no nearer.
_NEAR = 0.02
#: Here the piece has to wait, so that time may be lost on purpose.
_WAITING = frozenset({"guests_late", "early"})
_CUT = frozenset({"served", "sliced", "pulled"})


def troubles(
    asked: Asked, seen: Foreseen, sheet: Sequence[SheetPiece], fuel: Sequence[FuelResult]
) -> tuple[Trouble, ...]:
    """Find what is wrong now and try what can be done.

    Parameters
    ----------
    asked, seen : Asked, Foreseen
        What is asked, and its forecast.
    sheet : sequence of SheetPiece
        Its pieces.
    fuel : sequence of FuelResult
        Its fires.
    """
    by_letter = {one.letter: one for one in sheet}
    there = [one.letter for one in sheet if _under_way(asked, one)]
    if not there:
        return ()
    now = Now(asked, seen, by_letter, there[0], fuel)
    # The last word on each trouble of the same pieces: two fires out are two troubles.
    latest: dict[tuple[str, tuple[str, ...]], str] = {}
    for line in asked.lines:
        letters = tuple(_concerned(now, line, there))
        if line.what in TROUBLES and letters and _open(now, line, letters):
            latest[line.what, letters] = _words(now, line, letters[0])
    early = tuple(letter for letter in there if _early_h(now, letter) is not None)
    if early and not any(key == "guests_late" for key, _ in latest):
        latest["early", early] = _early_words(now, early[0])
    tried: dict[PiecePlan, PieceForecast] = {}
    made = (_trouble(now, key, words, letters, tried) for (key, letters), words in latest.items())
    return tuple(one for one in made if one.ways)


def in_trouble(found: Sequence[Trouble]) -> list[CookWarning]:
    """Say what is wrong, and the ways on."""
    return [
        CookWarning(
            f"trouble-{one.key}",
            f"{one.words} Ways on: {'; '.join(way.words for way in one.ways)}."
            + (f" {one.caution}" if one.caution else ""),
            one.pieces[0] if len(one.pieces) == 1 else "",
        )
        for one in found
    ]


def _under_way(asked: Asked, one: SheetPiece) -> bool:
    on = timing.logged_on(asked.lines, one.piece)
    if on is None or asked.as_of < on or (one.serve_at is not None and asked.as_of >= one.serve_at):
        return False
    return not any(line.what in _CUT and timing.concerns(line, one.piece) for line in asked.lines)


def _concerned(now: Now, line: LogLine, there: Sequence[str]) -> list[str]:
    """Letters of the pieces under way that a line bears on."""
    if line.what in {"fire_out", "rain"}:
        first = next(iter(now.seen.pits))
        return [
            letter
            for letter in there
            if now.pit(letter) == (line.pit or first) and _cooking(now, letter)
        ]
    return [letter for letter in there if timing.concerns(line, now.sheet[letter].piece)]


def _cooking(now: Now, letter: str) -> bool:
    return dataclasses.replace(now, letter=letter).cooking


def _open(now: Now, line: LogLine, letters: Sequence[str]) -> bool:
    """Whether a trouble is not over: a fire out and steady again is."""
    later = [each for each in now.asked.lines if each.at > line.at]
    if line.what == "fire_out":
        return not any(each.what == "pit_steady" for each in later)
    if line.what == "rain":
        return not any(each.what == "rain_over" for each in later)
    if line.what == "out_of":
        kind = str(line.data.get("kind", ""))
        plans = [now.standing(letter).planned.plan for letter in letters]
        return any(
            plan.wrap.kind == kind and not (plan.facts and plan.facts.was_wrapped) for plan in plans
        )
    return True


def _words(now: Now, line: LogLine, letter: str) -> str:
    zone = now.asked.zone
    at = day_clock(line.at.astimezone(zone), now.asked.cook.date)
    if line.what == "fire_out":
        return f"The fire is out since {at}."
    if line.what == "rain":
        return f"It rains on the pit since {at}."
    if line.what == "guests_late":
        by = units.format_duration(float(line.data.get("duration_s", _HOUR_S)))
        serve = now.sheet[letter].serve_at
        until = "" if serve is None else f": serving at {day_clock(serve, now.asked.cook.date)}"
        return f"Guests come {by} late{until}."
    return f"There is no {line.data.get('kind', 'wrap')} left."


def _early_h(now: Now, letter: str) -> float | None:
    """How long a piece most likely waits beyond its rest [h]; None where that is about as meant."""
    one = now.sheet[letter]
    if one.serve_at is None:
        return None
    planned = now.standing(letter).planned
    made = now.seen.forecast.pieces[letter]
    held = serving(planned, made, on_at=one.on_at, serve_at=one.serve_at, zone=now.asked.zone)
    if held is None or held.wait_h.p50 is None:
        return None
    over_h = held.wait_h.p50 - one.rest_s / _HOUR_S
    least_h = lever_rows()["early.least"].step("us") / _HOUR_S
    # The wait that the asked odds cost anyway is meant.
    meant_h = next((c.hold_p50_h or 0.0 for c in now.seen.chances.get(letter, ()) if c.chosen), 0.0)
    return over_h if over_h >= least_h + meant_h else None


def _early_words(now: Now, letter: str) -> str:
    over_h = _early_h(now, letter)
    serve = now.sheet[letter].serve_at
    at = "" if serve is None else f" before {day_clock(serve, now.asked.cook.date)}"
    return f"{letter} is likely ready some {hours(over_h, minutes=30)}{at}."


def _trouble(
    now: Now,
    key: str,
    words: str,
    letters: tuple[str, ...],
    tried: dict[PiecePlan, PieceForecast],
) -> Trouble:
    now = dataclasses.replace(now, letter=letters[0])
    ways = tuple(_ways(now, key, tried))[:_MOST]
    care = caution("weak_fire").full if key == "fire_out" else ""
    return Trouble(key, words, letters, ways, care)


def _ways(now: Now, key: str, tried: dict[PiecePlan, PieceForecast]) -> Iterator[Remedy]:
    rows = lever_rows()
    for way, make in TROUBLE_WAYS[key].items():
        row = rows[f"{key}.{way}"]
        try:
            done = make(now, row)
        except InputError:
            continue  # a plan that cannot be
        if done is None or (done.plans and _same(now, done)):
            continue
        each = {letter: touched(now, done, letter, tried) for letter in moved(now, done)}
        own = each.pop(now.letter)
        if key in _WAITING and not done.holds and _too_late(now, own):
            continue  # who has time to spare may lose some, and no more than that
        note = "; ".join(filter(None, [done.note, _waits(now, done, tried)]))
        yield Remedy(
            f"{key}.{way}", done.words, note, done.changes, own, tuple(each.values()),
            f"levers.{key}.{way}",
        )  # fmt: skip


def _too_late(now: Now, own: Touched) -> bool:
    before = odds_in_time([now.own])
    if own.odds_in_time is None or before is None:
        return False
    return own.odds_in_time < min(before, ODDS[now.asked.cook.odds]) - _NEAR


def _same(now: Now, done: Done) -> bool:
    return all(plan == now.standing(letter).planned.plan for letter, plan in done.plans.items())


def _waits(now: Now, done: Done, tried: dict[PiecePlan, PieceForecast]) -> str:
    """How long it stays hot where it is held, for a way that changes that."""
    if not done.holds:
        return ""
    plan = done.plans[now.letter]
    planned = dataclasses.replace(now.standing().planned, plan=plan)
    held = serving(
        planned,
        cooked_on(now, plan, tried),
        on_at=now.own.on_at,
        serve_at=now.own.serve_at,
        zone=now.asked.zone,
    )
    if held is None:
        return ""
    line = units.format_temperature(held.line_c, now.asked.record.book.units)
    if held.below_line_h.p10 is None:
        return f"waits {hours(held.wait_h.p50, minutes=15)}, above {line} as long as was tried"
    return (
        f"waits {hours(held.wait_h.p50, minutes=15)}, above {line} for "
        f"{hours(held.below_line_h.p10, minutes=15)} at least"
    )
