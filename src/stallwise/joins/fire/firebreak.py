"""What a mishap does to the plan: a pit whose fire is out cools until it is lit again, late guests eat later."""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins import timing
from stallwise.joins.fire.fuelling import day_of, has_fire, of_pit
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.instants import later
from stallwise.joins.log.vocabulary import DATA_NAMES, events, tokens
from stallwise.joins.parameters import resolve
from stallwise.models.fire import cooling_s
from stallwise.models.pitcurve import fire_out, sagging
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook
from stallwise.tables.parameters import parameter

__all__ = [
    "TROUBLES",
    "put_off",
    "said_of_plans",
    "steady_again",
    "tried_trouble",
    "warm_start_s",
    "with_fire_out",
]

#: Log words that say that something went wrong.
TROUBLES = ("fire_out", "rain", "guests_late", "out_of")


def tried_trouble(changes: Mapping[str, Any], as_of: dt.datetime) -> tuple[LogLine, ...]:
    """Take a trouble that is only tried (``--set trouble="fire out"``) for a line written now.

    Raises
    ------
    InputError
        It is no trouble that the log knows.
    """
    text = changes.get("trouble")
    if text is None:
        return ()
    found = [event for event in events(tokens(str(text))) if event.what in TROUBLES]
    if len(found) != 1:
        raise InputError(
            f"trouble = {text!r}", "fire out, rain, guests an hour late, out of foil",
            "Other words for it stand in `stallwise log --words`",
        )  # fmt: skip
    data = {DATA_NAMES.get(name, name): value for name, value in found[0].data.items()}
    return (LogLine("tried", as_of, found[0].what, made=as_of, data=data, source="what-if"),)


def put_off(cook: Cook, lines: Sequence[LogLine], zone: ZoneInfo) -> Cook:
    """Cook whose serving times are put off by as much as the guests are late."""
    late = [line for line in lines if line.what == "guests_late"]
    changes = {}
    for piece in cook.pieces:
        # The last word on each piece: one plate's guests are not late for another's.
        line = next((line for line in reversed(late) if timing.concerns(line, piece)), None)
        serve = timing.serve_at(cook, piece, zone)
        if serve is not None and line is not None:
            by = dt.timedelta(seconds=float(line.data.get("duration_s", 3600.0)))
            at = later(serve, by)
            whole = not line.piece and not piece.serve
            changes["serve" if whole else f"serve__{piece.letter}"] = f"{at:%Y-%m-%d %H:%M}"
    own = {name: value for name, value in changes.items() if name != "serve"}
    if "serve" in changes:
        cook = cook.model_copy(update={"serve": changes["serve"]})
    return resolve(cook, own) if own else cook


def steady_again(
    lines: Sequence[LogLine], out: LogLine, as_of: dt.datetime, start_s: float
) -> dt.datetime:
    """When a pit holds its heat again after its fire was out: as logged, else lit at `as_of`."""
    since = [line for line in lines if line.at > out.at]
    steady = min((line.at for line in since if line.what == "pit_steady"), default=None)
    if steady is not None:
        return steady
    lit = min((line.at for line in since if line.what == "fire_lit"), default=as_of)
    return max(lit, out.at) + dt.timedelta(seconds=max(start_s, 1.0))


def with_fire_out(
    pit: PitState,
    cook: Cook,
    lines: Sequence[LogLine],
    hour_zero: dt.datetime,
    as_of: dt.datetime,
    start_s: Mapping[str, float | None],
) -> PitState:
    """Pit with the curve of one whose fire went out, or that nobody watched, as logged.

    Parameters
    ----------
    pit : PitState
        As planned and set.
    cook, lines : Cook, sequence of LogLine
        The cook and what was logged.
    hour_zero, as_of : datetime
        First piece on, and now: a fire that nobody lit again is lit now.
    start_s : mapping of name to float or None
        From match to steady, from cold [s].
    """
    mine = of_pit(lines, cook, pit.letter)
    pit = _unwatched(pit, mine, hour_zero)
    outs = [line for line in mine if line.what == "fire_out"]
    if not outs or not has_fire(pit):
        return pit
    day, _ = day_of(cook, mine)
    cooling = cooling_s(pit.kind)
    points, spans = pit.points, []
    for out in outs:
        curve = curve_from(points, 0.0)
        at_s = (out.at - hour_zero).total_seconds()
        whole_s = start_s.get(pit.name) or 0.0
        again = steady_again(mine, out, as_of, warm_start_s(whole_s, as_of - out.at, cooling))
        until_s = (again - hour_zero).total_seconds()
        if until_s <= at_s:
            continue
        broken = fire_out(curve, at_s, until_s, ambient_c=day.ambient_c, cooling_s=cooling)
        points = tuple(zip(broken.time_s, broken.temperature_c, strict=True))
        spans.append((at_s, until_s))
    return dataclasses.replace(pit, points=points, out=tuple(spans))


def said_of_plans(
    warnings: Sequence[CookWarning], pits: Mapping[str, PitState]
) -> tuple[CookWarning, ...]:
    """Leave out that a pit is planned cold where its fire is out: nobody planned that."""
    out = any(pit.out for pit in pits.values())
    return tuple(each for each in warnings if not (out and each.key == "unusual-pit-low"))


def _unwatched(pit: PitState, lines: Sequence[LogLine], hour_zero: dt.datetime) -> PitState:
    """Pit that sagged in a straight line while somebody slept, down to what it read then."""
    points = pit.points
    for line in lines:
        if line.what != "overslept":
            continue
        read = [
            float(each.data["temperature_c"])
            for each in lines
            if each.what == "pit_reading" and abs(each.at - line.at) <= _BESIDE
        ]
        before = [each.at for each in lines if each.at < line.at - _BESIDE and each.what in _LOOKS]
        if not read or not before:
            continue
        curve = curve_from(points, 0.0)
        span = [(at - hour_zero).total_seconds() for at in (max(before), line.at)]
        by_k = float(curve.at(span[1], before=True)) - read[0]
        if by_k > 0.0:
            sagged = sagging(curve, span[0], span[1], by_k)
            points = tuple(zip(sagged.time_s, sagged.temperature_c, strict=True))
    return dataclasses.replace(pit, points=points)


#: What the pit read is written this near to the word that somebody slept.
_BESIDE = dt.timedelta(minutes=20)
#: Lines that somebody wrote who stood at the pit.
_LOOKS = frozenset(
    {"wood", "pit_reading", "pit_set", "pit_steady", "meat_on", "lid_open", "spritz"}
)


def warm_start_s(start_s: float, out_for: dt.timedelta, cooling: float) -> float:
    """Time from match to steady of a pit that is warm still [s]: the share that it has cooled."""
    gone = 1.0 - math.exp(-max(out_for.total_seconds(), 0.0) / cooling)
    return start_s * max(gone, parameter("fuel.relit_least").value)
