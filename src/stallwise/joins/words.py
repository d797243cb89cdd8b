"""Words and rounding for people, the same on every surface.

A Result is unrounded; a forecast hours away is shown to a quarter of an hour, one under
two hours to five minutes, one inside the last 45 minutes to the minute. What was logged
is shown as logged.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence

from stallwise.ground import units
from stallwise.ground.scales import INCH_M
from stallwise.joins.instants import apart, wall
from stallwise.joins.result import PieceResult, Result, ServingResult, Spread, StageResult

__all__ = [
    "ODDS",
    "area",
    "clock",
    "day_clock",
    "finish_seen",
    "headline",
    "hold_place",
    "hours",
    "odds_text",
    "precision",
    "ready_text",
    "round_clock",
    "rule_text",
    "rules_said",
    "shift",
    "shift_range",
    "stage_name",
    "widening_words",
    "window",
]

#: Odds in words, the chance that it is ready by serving.
ODDS = {"coin flip": 0.50, "usual": 0.80, "guests coming": 0.90, "cannot be late": 0.95}

_STAGES = {
    "bark_set": "bark set",
    "stall_start": "stall begins",
    "wrapped": "wrapped",
    "stall_end": "stall ends",
    "glazed": "glaze set",
    "tender": "tender",
    "rested": "rested",
}

_PLACES = {"counter": "on the counter", "box": "in a box with towels"}

_ROUND: dict[str, Callable[[float], int]] = {
    "near": round,
    "down": math.floor,
    "up": math.ceil,
}

#: A wait shorter than this needs no plan [h].
_SHORT_HOLD_H = 0.25

#: Lead time [s] from which a forecast is rounded to so many minutes.
_PRECISION = ((2 * 3600, 15), (45 * 60, 5), (0, 1))


def stage_name(stage: str, finish: str = "") -> str:
    """Name of a stage on screens; `tender` is called by the wanted finish."""
    if stage == "tender" and finish:
        return finish
    return _STAGES[stage]


def round_clock(when: dt.datetime, as_of: dt.datetime, *, mode: str = "near") -> dt.datetime:
    """Round an instant to the precision that its distance from `as_of` bears.

    Parameters
    ----------
    when, as_of : datetime
        Aware instants.
    mode : {"near", "down", "up"}
        A window's ends are rounded outwards, so that rounding never claims more.
    """
    step = precision(apart(when, as_of)).total_seconds()
    local = when.replace(tzinfo=None)
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    count = (local - midnight).total_seconds() / step
    whole = _ROUND[mode](count)
    # On the instant, not on the wall clock: a clock change in the night moves nothing.
    moved = when.astimezone(dt.UTC) + dt.timedelta(seconds=(whole - count) * step)
    return moved.astimezone(when.tzinfo)


def precision(lead: dt.timedelta) -> dt.timedelta:
    """How fine a forecast is shown that is so far away."""
    away = abs(lead.total_seconds())
    return dt.timedelta(minutes=next(minutes for limit, minutes in _PRECISION if away >= limit))


def clock(when: dt.datetime | None, as_of: dt.datetime | None = None, *, mode: str = "near") -> str:
    """Clock time ``14:15``; rounded as a forecast when `as_of` is given."""
    if when is None:
        return "later than was tried"
    shown = when if as_of is None else round_clock(when, as_of, mode=mode)
    return wall(shown)


def day_clock(
    when: dt.datetime | None, day: dt.date, as_of: dt.datetime | None = None, *, mode: str = "near"
) -> str:
    """Clock time with its weekday when it is not on `day`."""
    if when is None:
        return clock(None)
    shown = when if as_of is None else round_clock(when, as_of, mode=mode)
    text = wall(shown)
    return text if shown.date() == day else f"{shown:%a} {text}"


def hours(value_h: float | None, *, minutes: int = 5) -> str:
    """Length of time ``4 h 50``; rounded to so many minutes."""
    if value_h is None or math.isinf(value_h):
        return "longer than was tried"
    total = round(value_h * 60 / minutes) * minutes
    sign = "-" if total < 0 else ""
    whole, rest = divmod(abs(total), 60)
    if not whole:
        return f"{sign}{rest} min"
    return f"{sign}{whole} h {rest:02d}" if rest else f"{sign}{whole} h"


#: Differences from so many minutes on are rounded to a quarter of an hour.
_LONG_MIN, _SHORT_STEP_MIN, _LONG_STEP_MIN = 120, 5, 15


def shift(later: Spread, *, span: bool = True) -> str:
    """How much sooner or later: ``40 min sooner (25 to 55)``.

    Parameters
    ----------
    later : Spread
        Difference in time [h], negative sooner.
    span : bool, default True
        With the range of four days in five.
    """
    if later.p50 is None:
        return "later than was tried"
    step = _shift_step(later.p50)
    minutes = round(later.p50 * 60 / step) * step
    said = _one_way(minutes, later=minutes > 0) if minutes else "about the same"
    ends = _ends(later, "") if span else ""
    return f"{said} ({ends})" if ends else said


def shift_range(later: Spread) -> str:
    """Four days in five of a difference, its ends rounded outwards; the side is said if it has two.

    Empty where the ends are as good as nothing, or where nothing is known.
    """
    return _ends(later, " min")


def _ends(later: Spread, unit: str) -> str:
    if later.p50 is None or later.p10 is None:
        return ""
    step = _shift_step(later.p50)
    low = math.floor(later.p10 * 60 / step + _EDGE) * step
    high = None if later.p90 is None else math.ceil(later.p90 * 60 / step - _EDGE) * step
    if high is None:
        start = _one_way(low, later=False) if low < 0 else hours(low / 60)
        return f"{start} to {hours(None)}"
    if max(abs(later.p10), abs(later.p90 or 0.0)) * 60 < step / 2:
        return ""
    if low < 0 < high:
        return f"{_one_way(low, later=False)} to {_one_way(high, later=True)}"
    near, far = sorted((abs(low), abs(high)))
    if far < 60:
        return f"{near} to {far}{unit}"
    return f"{hours(near / 60) if near else '0'} to {hours(far / 60)}"


#: A tenth of a minute over is no reason to round outwards.
_EDGE = 0.02


def _shift_step(middle_h: float) -> int:
    return _LONG_STEP_MIN if abs(middle_h) * 60 >= _LONG_MIN else _SHORT_STEP_MIN


def _one_way(minutes: int, *, later: bool) -> str:
    return f"{hours(abs(minutes) / 60)} {'later' if later else 'sooner'}"


def odds_text(probability: float | None) -> str:
    """Odds as times in ten or twenty, in words a cook uses; the same at both ends."""
    if probability is None:
        return "no serving time is set"
    if probability >= 0.975:
        return "nearly always"
    if probability <= 0.025:
        return "hardly ever"
    if probability >= 0.925:
        return "19 times in 20"
    if probability < 0.075:
        return "1 time in 20"
    tenths = round(probability * 10)
    return f"{tenths} time{'s' * (tenths != 1)} in 10"


def window(stage: StageResult, result: Result) -> str:
    """Two-sided 80 % window of a stage in clock times, ends rounded outwards."""
    low, high = stage.clock["p10"], stage.clock["p90"]
    if stage.known:
        return f"at {day_clock(stage.clock['p50'], result.date)}"
    if low is None:
        return "not within the hours tried"
    start = day_clock(low, result.date, result.as_of, mode="down")
    if high is None:
        return f"from {start}, perhaps much later"
    return f"{start} to {day_clock(high, result.date, result.as_of, mode='up')}"


def percent(fraction: float | None) -> str:
    """Whole percent."""
    return "–" if fraction is None else f"{round(fraction * 100)} %"


def spread_percent(spread: Spread) -> str:
    """Write a share as a range in percent."""
    return f"{percent(spread.p10)} to {percent(spread.p90)}".replace(" % to", " to")


def temperature(value_c: float, system: str) -> str:
    """Temperature in the cookbook's units."""
    return units.format_temperature(value_c, system)


def mass(value_kg: float, system: str) -> str:
    """Mass in the cookbook's units."""
    return units.format_mass(value_kg, system)


def area(area_m2: float, system: str) -> str:
    """Area in the cookbook's units."""
    if system == "us":
        return f"{area_m2 / INCH_M**2:.0f} square inches"
    return f"{area_m2 * 1e4:.0f} cm2"


def piece_name(piece: PieceResult) -> str:
    """Letter, count and name of a piece: ``A · 2 × trimmed spare ribs``."""
    many = f"{piece.count} × " if piece.count > 1 else ""
    return f"{piece.piece} · {many}{piece.name}"


def piece_headline(piece: PieceResult, result: Result) -> str:
    """One sentence: the window, the odds, the hold to plan."""
    stage = piece.stages["tender"]
    if stage.known:
        return f"{piece.finish.capitalize()}: {window(stage, result)} as logged."
    span = window(stage, result).replace(" to ", " and ")
    verb = f"{piece.finish.capitalize()}: {'between ' if ' and ' in span else ''}{span}"
    return f"{verb}, four times in five{_hold_text(piece)}."


def finish_seen(piece: PieceResult, result: Result) -> str:
    """Say when it was seen to have its finish; empty where nobody saw."""
    seen = piece.finish_seen
    if seen is None:
        return ""
    at = day_clock(seen.at, result.date)
    if seen.core_c is None:
        return f"it was tender at {at}"
    return f"its core reached {temperature(seen.core_c, result.units)} at {at}"


def _hold_text(piece: PieceResult) -> str:
    """Say what being on time costs: the long end of the wait before serving."""
    if piece.hold_h is None or piece.hold_h.p90 is None or piece.hold_h.p90 < _SHORT_HOLD_H:
        return ""
    return f"; plan a hold of up to {hours(piece.hold_h.p90, minutes=15)}"


def ready_text(piece: PieceResult, result: Result) -> str:
    """Say how likely it is on the table in time, and how late where it is likely late."""
    if piece.serve_at is None or piece.stages["tender"].known:
        return ""
    eat = day_clock(piece.serve_at, result.date)
    said = f"Ready to eat by {eat}: {odds_text(piece.odds_in_time)}"
    late_h = None if piece.hold_h is None or piece.hold_h.p50 is None else -piece.hold_h.p50
    if late_h is not None and late_h > _SHORT_HOLD_H:
        said += f"; most likely {hours(late_h, minutes=15)} late"
    return f"{said}."


def rule_text(piece: PieceResult, result: Result) -> str:
    """Say what hours per pound would, beside the forecast; nothing where there is no such rule."""
    rule = piece.rule
    if rule is None or piece.stages["tender"].known:
        return ""
    on = piece.on_at.astimezone(dt.UTC)
    early, late = (
        (on + dt.timedelta(hours=end)).astimezone(piece.on_at.tzinfo)
        for end in (rule.low_h, rule.high_h)
    )
    start = day_clock(early, result.date, result.as_of, mode="down")
    end = day_clock(late, result.date, result.as_of, mode="up")
    grade = "" if rule.grade == "published" else f" ({rule.grade})"
    by = "Hours per pound" if rule.by_mass else "Hours per rack"
    return f"{by} would say between {start} and {end}{grade}."


def rules_said(result: Result) -> tuple[str, ...]:
    """Say it of every piece that has such a rule, a sentence a piece."""
    many = len(result.pieces) > 1
    said = ((piece.piece, rule_text(piece, result)) for piece in result.pieces)
    return tuple(f"{letter}. {text}" if many else text for letter, text in said if text)


def hold_place(held: ServingResult, system: str) -> str:
    """Say where it rests and is held: ``in an oven at 150 °F``."""
    if held.place == "oven":
        return f"in an oven at {temperature(held.place_c, system)}"
    return _PLACES[held.place]


def headline(result: Result) -> str:
    """Say the forecast in words, a sentence or two a piece."""
    many = len(result.pieces) > 1
    return " ".join(
        (f"{piece.piece}. " if many else "")
        + f"{piece_headline(piece, result)} {ready_text(piece, result)}".strip()
        for piece in result.pieces
    )


def joined(items: Sequence[str], last: str = "and") -> str:
    """Write ``a, b and c``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def widening_words(result: Result) -> str:
    """Say that past misses have drawn the windows out; nothing where they have not."""
    if result.widening == 1.0:
        return ""
    return (
        f"Windows are drawn out {result.widening:.1f} times, for too few of "
        f"{result.widening_cooks} earlier cooks ended inside theirs."
    )


def as_of_text(result: Result) -> str:
    """Which moment the forecast stands at, in words."""
    at = day_clock(result.as_of, result.date)
    day = f"{result.date.day} {result.date:%B %Y}"
    if result.state == "planned":
        return f"planned for {day}"
    if result.as_of <= result.hour_zero:
        return f"as it stood before meat on ({day})"
    return f"with what was logged until {at} ({day})"
