"""The day as one picture: forecast and readings over the hours, and below it what happened."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stallwise.joins import words
from stallwise.joins.result import Observation, PieceResult, Result, Trace
from stallwise.pictures import ink
from stallwise.pictures.axis import hours_axis
from stallwise.pictures.byhand import by_hand
from stallwise.pictures.findings import (
    hour_of,
    is_about,
    offset_h,
    traces,
)
from stallwise.pictures.labels import Box, Item, around, fitted, pack, text_width
from stallwise.pictures.scene import SIZE, Rows, Scene, Span, key_width
from stallwise.pictures.suggested import suggested
from stallwise.pictures.thinning import segments, thin
from stallwise.pictures.told import told
from stallwise.pictures.written import CAPTION, GUTTER, ON_CURVE, ROW, SMALL, written

__all__ = ["day_scene", "last_hour"]

_EDGE = 10
#: Half of a mark among the curves; room that names of lines take above them [px].
_MARK, _NAMES = 4.0, 27.0

#: May be logged a day before or after; they do not stretch the picture.
_ANY_TIME = frozenset(
    {"note", "weighed", "trimmed", "salted", "rub_on", "spritz_count", "left_over"}
)
#: What was done longer before meat on stands in the table, not in the picture [h].
_BEFORE_H = 2.0

#: Names of lines and marks. The pit's is what likely lies at the meat, not the number of the plan.
_PIT, _READ, _HAND, _CORE_READ = "pit, likely", "as read", "by hand", "core, as read"

_STAGES = ("bark_set", "stall_start", "wrapped", "stall_end", "tender", "rested")


@dataclass(frozen=True)
class _Panel:
    """One piece's place in the picture."""

    number: int
    piece: PieceResult
    top: float
    span: Span


def last_hour(result: Result) -> float:
    """Last hour that the picture shows: serving, the last event, or the latest likely time [h]."""
    ends = [1.0]
    for piece in result.pieces:
        if piece.serve_at:
            ends.append(hour_of(piece.serve_at, result))
        for key in ("tender", "rested"):
            stage = piece.stages.get(key)
            reached = stage and (stage.elapsed_h.p90 or stage.elapsed_h.p50)
            if reached and math.isfinite(reached):
                ends.append(reached + offset_h(piece, result))
    ends += [hour_of(event.at, result) for event in result.events if event.what not in _ANY_TIME]
    return max(ends)


def day_scene(result: Result, width: int) -> Scene:
    """Lay the day out.

    Parameters
    ----------
    result : Result
        Answer to the cook.
    width : int
        Width [px]; 344 for a phone, 720 for a page.
    """
    starts = [hour_of(event.at, result) for event in result.events]
    first = min([0.0, *(hour for hour in starts if hour > -_BEFORE_H)])
    last = last_hour(result)
    pad = (last - first) * 0.015
    scene = Scene(width, 0.0, Span(first - pad, last + pad * 2, GUTTER, width - _EDGE))
    y = 22.0 if len(result.pieces) == 1 else 4.0
    for number, piece in enumerate(result.pieces):
        y = _piece(scene, result, number, piece, y)
    scene.height = math.ceil(hours_axis(scene, result, y))
    return scene


def _piece(scene: Scene, result: Result, number: int, piece: PieceResult, y: float) -> float:
    many = len(result.pieces)
    if many > 1:
        name = fitted(words.piece_name(piece), SIZE, scene.width - GUTTER - 2)
        scene.word(GUTTER, y + 8, name, bold=True)
        # The serving time stands in the same line if it does not run into the name.
        wall = min(_walls(scene, result, piece), default=math.inf)
        clear = GUTTER + text_width(name, SIZE) + 12 < wall - text_width(_eat(piece, result), SIZE)
        y += 21 if clear else 38
    height = (250 if scene.width > 500 else 216) if many == 1 else 150 if many < 4 else 116
    room = _NAMES if number == 0 else 0.0
    span = Span(*_degrees(result, piece, room / (height - room)), y + height, y)
    panel = _Panel(number, piece, y, span)
    scene.panels.append(span)
    _grid(scene, result, span)
    _curves(scene, result, panel)
    bottom = _likely(scene, result, piece, y + height + 4)
    bottom = told(scene, piece, result, bottom)
    bottom = written(scene, piece, result, bottom, _walls(scene, result, piece))
    bottom = suggested(scene, piece, result, bottom, _walls(scene, result, piece))
    _column(scene, result, panel, bottom)
    names = _names(scene, panel, _walls(scene, result, piece))
    _hand_words(scene, result, panel, _walls(scene, result, piece), names)
    return bottom + (18 if number + 1 < many else 6)


def _degrees(result: Result, piece: PieceResult, room: float) -> tuple[float, float]:
    """Lowest and highest temperature of a panel [°C], with room above the lines: a share of their span."""
    values = [0.0, *piece.core_c.p90, *piece.pit_c.p50]
    for letter in (piece.piece, piece.pit):
        for trace in traces(result, letter):
            values += [v for v in trace.p50 if math.isfinite(v)]
    values += [event.value_c for event in _on_curve(result, piece) if event.value_c is not None]
    high = max(values)
    return min(values), high + max(0.13, room) * (high - min(values))


def _grid(scene: Scene, result: Result, span: Span) -> None:
    us = result.units == "us"
    step = 50.0 if us else 25.0
    low, high = (span.low * 1.8 + 32, span.high * 1.8 + 32) if us else (span.low, span.high)
    if abs(span.end_px - span.start_px) / ((high - low) / step) < 26:
        step *= 2
    tick = math.ceil(low / step) * step
    while tick < high:
        at = (tick - 32) / 1.8 if us else tick
        y = span.px(at)
        scene.grid((GUTTER, y, scene.width - _EDGE, y))
        scene.word(GUTTER - 6, y, f"{tick:.0f}°", colour=ink.SOFT, align="right", size=SMALL)
        tick += step


def _curves(scene: Scene, result: Result, panel: _Panel) -> None:
    i, piece = panel.number, panel.piece
    shift = offset_h(piece, result)
    # Closer than this nobody sees a kink, and a page would hold twice as much.
    bucket_h = (scene.hours.high - scene.hours.low) / scene.width * 4
    scene.data[f"core_{i}"] = [
        {"h": hour + shift, "p10": low, "p50": middle, "p90": high, "part": 0}
        for hour, low, middle, high in _inside(scene, piece.core_c, shift, step_h=2 * bucket_h)
    ]
    scene.data[f"pit_{i}"] = [
        {"h": hour + shift, "p50": middle, "part": 0}
        for hour, _, middle, _ in _inside(scene, piece.pit_c, shift, step_h=0.0)
    ]
    scene.data[f"core_read_{i}"] = _read(scene, traces(result, piece.piece), bucket_h)
    scene.data[f"pit_read_{i}"] = _read(scene, traces(result, piece.pit), bucket_h)
    scene.data[f"hand_{i}"] = by_hand(scene, result, _on_curve(result, piece))


def _inside(
    scene: Scene, trace: Trace, shift: float, *, step_h: float
) -> Iterator[tuple[float, float, float, float]]:
    """Points of a forecast that are in the picture, no closer than is seen."""
    last = -math.inf
    for point in zip(trace.elapsed_h, trace.p10, trace.p50, trace.p90, strict=True):
        if point[0] + shift > scene.hours.high or not all(math.isfinite(v) for v in point):
            continue
        if point[0] - last >= step_h:
            last = point[0]
            yield point


def _read(scene: Scene, found: Sequence[Trace], bucket_h: float) -> Rows:
    rows: Rows = []
    for trace in found:
        for part in segments(trace.elapsed_h, trace.p50):
            number = rows[-1]["part"] + 1 if rows else 0
            rows += [
                {"h": hour, "p50": value, "part": number}
                for hour, value in thin(part, bucket_h)
                if scene.hours.low <= hour <= scene.hours.high
            ]
    return rows


def _on_curve(result: Result, piece: PieceResult) -> list[Observation]:
    return [event for event in result.events if event.what in ON_CURVE and is_about(event, piece)]


def _likely(scene: Scene, result: Result, piece: PieceResult, y: float) -> float:
    """Windows of the stages as bars, four days in five, with the middle day marked."""
    shift = offset_h(piece, result)
    shown = []
    for key in _STAGES:
        stage = piece.stages.get(key)
        if stage is None or stage.known or stage.elapsed_h.reached < 0.5:
            continue
        low, middle, high = stage.elapsed_h.p10, stage.elapsed_h.p50, stage.elapsed_h.p90
        if low is None or middle is None:
            continue
        ends = low + shift, middle + shift, min((high or math.inf) + shift, scene.hours.high)
        shown.append((key, ends, words.stage_name(key, piece.finish)))
    if not shown:
        return y
    scene.word(GUTTER, y + 9, "likely, four days in five", colour=ink.SOFT, size=SMALL)
    px = scene.hours.px
    items = []
    for key, ends, name in shown:
        text = f"{name} {words.window(piece.stages[key], result)}" if key == "tender" else name
        items.append(Item(px(ends[0]), px(ends[2]), text, SIZE, short=name))
    placed = pack(items, 2, scene.width, walls=_walls(scene, result, piece))
    for (key, ends, _), item in zip(shown, placed, strict=True):
        middle_y = y + CAPTION + ROW * item.row + 8
        main = key == "tender"
        half = 5.0 if main else 3.0
        scene.bar((ends[0], ends[2]), (middle_y - half, middle_y + half), ink.BAND)
        at = px(ends[1])
        scene.rule(
            (at, middle_y - 7, at, middle_y + 7), colour=ink.ACCENT, width=2.5 if main else 1.5
        )
        scene.word(item.text_x, middle_y, item.text, align=item.align, colour=ink.ACCENT, bold=main)
    return y + CAPTION + ROW * (1 + max(item.row for item in placed))


def _walls(scene: Scene, result: Result, piece: PieceResult) -> list[float]:
    """Upright lines that words keep clear of [px]: serving first, then the forecast's moment."""
    hours = [hour_of(piece.serve_at, result)] if piece.serve_at else []
    if _shows_as_of(scene, result):
        hours.append(hour_of(result.as_of, result))
    return [scene.hours.px(hour) for hour in hours]


def _shows_as_of(scene: Scene, result: Result) -> bool:
    """Whether the forecast's own moment is in the picture, of a cook that is under way."""
    return result.state == "running" and 0 < hour_of(result.as_of, result) < scene.hours.high


def _column(scene: Scene, result: Result, panel: _Panel, bottom: float) -> None:
    """Shade the tender window behind the curves; mark serving and the forecast's moment."""
    piece, top = panel.piece, panel.top
    shift = offset_h(piece, result)
    stage = piece.stages.get("tender")
    if stage and not stage.known and stage.elapsed_h.p10 is not None:
        high = min((stage.elapsed_h.p90 or math.inf) + shift, scene.hours.high)
        scene.rows("shades").append(
            {
                "h": stage.elapsed_h.p10 + shift,
                "h2": high,
                "y": top,
                "y2": bottom,
                "colour": ink.SHADE,
            }
        )
    taken = (math.inf, math.inf)
    if piece.serve_at:
        eat = _eat(piece, result)
        taken = _line(scene, hour_of(piece.serve_at, result), (top, bottom), eat, "")
    if _shows_as_of(scene, result):
        said = f"as of {words.clock(result.as_of)}"
        hour = hour_of(result.as_of, result)
        _line(scene, hour, (top, bottom), said, "_dots", taken=taken)


def _eat(piece: PieceResult, result: Result) -> str:
    return f"eat {words.day_clock(piece.serve_at, result.date)}" if piece.serve_at else ""


def _line(
    scene: Scene,
    hour: float,
    y: tuple[float, float],
    text: str,
    dash: str,
    *,
    taken: tuple[float, float] = (math.inf, math.inf),
) -> tuple[float, float]:
    """Draw a moment as a line with its word on top, left of what is `taken`; its extent [px]."""
    px = scene.hours.px(hour)
    scene.rule((px, y[0] - 4, px, y[1]), colour=ink.INK, width=1.5, dash=dash)
    half = text_width(text, SIZE) / 2 + 4
    spot = min(max(px, half), scene.width - half)
    if spot + half > taken[0] and spot - half < taken[1]:
        spot = taken[0] - half
    scene.word(spot, y[0] - 13, text, align="center", bold=not dash)
    return spot - half, spot + half


def _hand_words(
    scene: Scene, result: Result, panel: _Panel, walls: Sequence[float], names: Sequence[Box]
) -> None:
    """Write the value beside each reading taken by hand, unless there are many or there is no room."""
    rows = scene.data[f"hand_{panel.number}"]
    spots = [(scene.hours.px(row["h"]), panel.span.px(row["p50"])) for row in rows]
    taken = [Box(x - _MARK, y - _MARK, x + _MARK, y + _MARK) for x, y in spots]
    taken += names
    taken += [Box(wall - 1, -math.inf, wall + 1, math.inf) for wall in walls]
    # Nothing runs over the edge.
    taken += [
        Box(-math.inf, -math.inf, 0, math.inf),
        Box(scene.width, -math.inf, math.inf, math.inf),
    ]
    shown = list(zip(rows, spots, strict=True))
    for row, spot in shown if len(rows) <= 4 else shown[-1:]:
        text = words.temperature(row["p50"], result.units)
        # The pit's stand below their mark: above it runs the name of the pit's line.
        box = around(spot, text, SMALL, taken, above=row["of"] == "core")
        if box is not None:
            taken.append(box)
            middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
            scene.word(*middle, text, align="center", size=SMALL)


def _to_be_seen(scene: Scene, read: Rows) -> bool:
    """Whether a line of readings is long enough to need a name."""
    hours = scene.hours
    return bool(read) and read[-1]["h"] - read[0]["h"] > (hours.high - hours.low) / 50


def _names(scene: Scene, panel: _Panel, walls: Sequence[float]) -> list[Box]:
    """Name the lines where they run, in the first panel only: the others look the same.

    What the names take up is given back.
    """
    taken: list[Box] = []
    if panel.number:
        return taken
    i, span = panel.number, panel.span
    start = scene.hours.px(0) + 6
    pit = [scene.data[f"pit_{i}"], scene.data[f"pit_read_{i}"]]
    hand = scene.data[f"hand_{i}"]
    named = [_PIT, *([_READ] if _to_be_seen(scene, pit[1]) else []), *([_HAND] if hand else [])]
    reach = scene.hours.value(start + sum(key_width(name) + 8 for name in named))
    rows = [*pit[0], *pit[1], *(row for row in hand if row["of"] == "pit")]
    near = [row["p50"] for row in rows if row["h"] <= reach] or [span.high]
    marked = [row["p50"] for row in hand if row["h"] <= reach]
    y = min(span.px(max(near)) - 11, span.px(max(marked, default=span.low)) - 16)
    if y - SIZE / 2 < span.end_px:
        # A line near the top leaves no room above it: the title stands there.
        y = max(span.px(min(near)) + 11, span.px(min(marked, default=span.high)) + 16)
    end = scene.key(start, y, _PIT, dash="_dots", colour=ink.SOFT, width=1.5)
    if _to_be_seen(scene, pit[1]):
        end = scene.key(end + 8, y, _READ, dash="", colour=ink.SOFT, width=1)
    if hand and end + 8 + key_width(_HAND) <= min(
        [scene.width, *(wall for wall in walls if wall > end)]
    ):
        scene.mark(end + 22, y, "diamond", fill=ink.PAPER)
        scene.word(end + 33, y, _HAND, colour=ink.SOFT)
        end += 8 + key_width(_HAND)
    taken.append(Box(start, y - SIZE / 2, end, y + SIZE / 2))
    core = scene.data[f"core_{i}"]
    if not core:
        return taken
    read = scene.data[f"core_read_{i}"]
    read = read if _to_be_seen(scene, read) else []
    curves = [*((row["h"], row["p10"]) for row in core), *((row["h"], row["p50"]) for row in read)]
    curves += [(row["h"], row["p50"]) for row in hand if row["of"] == "core"]
    bottom = span.start_px - 10 - (18 if read else 0)
    # Further right the curves stand higher: the first place with room below them.
    places = [_below(scene, panel, walls, curves, share) for share in (0.4, 0.55, 0.7)]
    left, y, first = next((place for place in places if place[1] <= bottom), places[-1])
    y = min(y, bottom)
    lines = [(first, "_dashes", ink.ACCENT, 2.0)]
    lines += [(_CORE_READ, "", ink.INK, 2.0)] if read else []
    for name, dash, colour, width in lines:
        scene.key(left, y, name, dash=dash, colour=colour, width=width)
        taken.append(Box(left, y - SIZE / 2, left + key_width(name), y + SIZE / 2))
        y += 18
    return taken


def _below(
    scene: Scene,
    panel: _Panel,
    walls: Sequence[float],
    curves: Sequence[tuple[float, float]],
    share: float,
) -> tuple[float, float, str]:
    """Where the core's names would stand below its curves, and what the first would say."""
    left = scene.hours.px(scene.hours.high * share)
    full = "core, four days in five"
    crossed = any(left < wall < left + key_width(full) + 4 for wall in walls)
    name = "core, likely" if crossed else full
    wide = max(key_width(name), key_width(_CORE_READ))
    left = min(left, scene.width - _EDGE - wide)
    for wall in walls:
        # Not across an upright line: to its left, where there is room.
        if left - 4 < wall < left + wide + 4 and wall - wide - 10 > GUTTER:
            left = wall - wide - 10
    edge = (scene.hours.value(left - 4), scene.hours.value(left + wide))
    low = [at for hour, at in curves if edge[0] <= hour <= edge[1]]
    return left, panel.span.px(min(low, default=panel.span.low)) + 16, name
