"""The serving window as a small picture: the chance that it is tender, rising by the clock."""

from __future__ import annotations

import datetime as dt
import math

from stallwise.joins import words
from stallwise.joins.result import PROBABILITIES, PieceResult, Result, StageResult
from stallwise.pictures import ink
from stallwise.pictures.findings import at_hour, hour_of, offset_h
from stallwise.pictures.labels import fitted, text_width
from stallwise.pictures.scene import SIZE, Scene, Span

__all__ = ["window_scene", "window_table"]

_GUTTER = 54
_EDGE = 8
_HIGH = 84
_SMALL = 11.5
_LINES = ((0.1, "1 in 10"), (0.5, "5 in 10"), (0.9, "9 in 10"))


def _points(stage: StageResult, shift: float) -> list[tuple[float, float]]:
    """Elapsed hour and chance at each kept quantile that is reached."""
    names = (f"p{round(p * 100):02d}" for p in PROBABILITIES)
    found = [
        (getattr(stage.elapsed_h, name), p) for name, p in zip(names, PROBABILITIES, strict=True)
    ]
    return [(hour + shift, p) for hour, p in found if hour is not None and math.isfinite(hour)]


def _latest(piece: PieceResult) -> dt.datetime | None:
    """When it has to be tender, to be rested and carved by serving."""
    if piece.serve_at is None:
        return None
    latest = piece.serve_at.astimezone(dt.UTC) - dt.timedelta(hours=piece.rest_h + piece.carve_h)
    return latest.astimezone(piece.serve_at.tzinfo)


def window_scene(result: Result, width: int) -> Scene:
    """Lay out one rising curve a piece over a shared clock.

    Parameters
    ----------
    result : Result
        Answer to the cook.
    width : int
        Width [px].
    """
    curves = [
        (piece, _points(piece.stages["tender"], offset_h(piece, result)))
        for piece in result.pieces
        if "tender" in piece.stages
    ]
    hours = [hour for _, points in curves for hour, _ in points]
    hours += [hour_of(p.serve_at, result) for p, _ in curves if p.serve_at]
    first, last = (min(hours), max(hours)) if hours else (0.0, 1.0)
    pad = max((last - first) * 0.06, 0.1)
    scene = Scene(width, 0.0, Span(first - pad, last + pad, _GUTTER, width - _EDGE))
    y = 0.0
    for number, (piece, points) in enumerate(curves):
        if len(curves) > 1:
            scene.word(2, y + 9, fitted(words.piece_name(piece), SIZE, width - 4), bold=True)
            y += 18
        y = _curve(scene, result, number, piece, points, y + 38)
    scene.height = math.ceil(y)
    return scene


def _curve(
    scene: Scene,
    result: Result,
    number: int,
    piece: PieceResult,
    points: list[tuple[float, float]],
    top: float,
) -> float:
    span = Span(0.0, 1.0, top + _HIGH, top)
    scene.panels.append(span)
    for chance, name in _LINES:
        y = span.px(chance)
        scene.grid((_GUTTER, y, scene.width - _EDGE, y))
        scene.word(_GUTTER - 6, y, name, colour=ink.SOFT, align="right", size=_SMALL)
    scene.grid((_GUTTER, span.start_px, scene.width - _EDGE, span.start_px))
    rows = [{"h": hour, "p10": 0.0, "p50": p, "p90": p, "part": 0} for hour, p in points]
    if rows:
        # Nearly sure by then and not surer later: the curve runs on level to the edge.
        rows.append({**rows[-1], "h": scene.hours.high})
    scene.data[f"core_{number}"] = rows
    _clock_labels(scene, result, piece, points, span)
    if piece.serve_at:
        _serving(scene, result, piece, span)
    return span.start_px + 30


def _clock_labels(
    scene: Scene, result: Result, piece: PieceResult, points: list[tuple[float, float]], span: Span
) -> None:
    """Drop the clock time of each labelled chance to the axis, where there is room."""
    taken = -math.inf
    shown = dict(_LINES)
    for hour, chance in points:
        px = scene.hours.px(hour)
        if chance not in shown or px - taken < 42:
            continue
        taken = px
        scene.rule((px, span.px(chance), px, span.start_px + 4), colour=ink.ACCENT, width=1)
        scene.mark(px, span.px(chance), "circle", fill=ink.PAPER, stroke=ink.ACCENT, size=34)
        as_of = None if piece.stages["tender"].known else result.as_of
        mode = {0.1: "down", 0.5: "near", 0.9: "up"}[chance]
        text = words.day_clock(at_hour(hour, result), result.date, as_of, mode=mode)
        scene.word(px, span.start_px + 15, text, align="center", colour=ink.ACCENT)


def _serving(scene: Scene, result: Result, piece: PieceResult, span: Span) -> None:
    """Mark when it is eaten, and before that the hour by which it has to be tender."""
    latest = _latest(piece)
    lines = [(piece.serve_at, "eat", "", 11.0)]
    lines += [(latest, "tender by", "_dots", 27.0)] if latest != piece.serve_at else []
    for when, name, dash, rise in lines:
        if when is None or not scene.hours.low <= hour_of(when, result) <= scene.hours.high:
            continue
        px = scene.hours.px(hour_of(when, result))
        # Serving is a promise and said to the minute; the other is rounded to the earlier side.
        as_of = result.as_of if dash else None
        text = f"{name} {words.day_clock(when, result.date, as_of, mode='down')}"
        scene.rule(
            (px, span.end_px - rise + 8, px, span.start_px), colour=ink.INK, width=1.5, dash=dash
        )
        half = text_width(text, SIZE) / 2 + 4
        spot = min(max(px, half), scene.width - half)
        scene.word(spot, span.end_px - rise, text, align="center", bold=not dash)


def window_table(result: Result) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Tell the same chances as rows."""
    header = ("piece", "chance that it is tender", "by", "after meat on")
    rows = []
    for piece in result.pieces:
        stage = piece.stages.get("tender")
        if stage is None:
            continue
        shift = offset_h(piece, result)
        for hour, chance in _points(stage, shift):
            as_of = None if stage.known else result.as_of
            clock = words.day_clock(at_hour(hour, result), result.date, as_of)
            rows.append((piece.piece, words.percent(chance), clock, words.hours(hour - shift)))
    return header, tuple(rows)
