"""A tasting as a picture: each taster's own answer as a dot, and below what all say together."""

from __future__ import annotations

import math
from collections import Counter

from stallwise.joins.taste.tastefound import plural
from stallwise.joins.taste.trialresult import DotRow, Dots, TrialResult
from stallwise.pictures import ink
from stallwise.pictures.labels import fitted, text_width
from stallwise.pictures.scene import SIZE, Scene, Span, step_for

__all__ = ["tasted_scene", "tasted_table"]

_ROW = 21
_BAR = 6.5
_EDGE = 12
_SMALL = 11.5
#: Dots on top of each other, and how far apart [px].
_HIGH, _STEP = 6, 11.0
#: More tasters than this are stacked in one row, without their names.
_NAMED = 14
_GUTTER = 34
_STEPS = (1, 2, 4, 8)
_EVEN = {"votes": "even", "points": "the same", "places": "", "right": "guessing"}


def tasted_scene(result: TrialResult, width: int) -> Scene:
    """Lay out the dots of a trial that has some.

    Parameters
    ----------
    result : TrialResult
        With `dots`.
    width : int
        Width [px].
    """
    dots = result.dots
    if dots is None:
        scene = Scene(width, 24.0, Span(0.0, 1.0, _EDGE, width - _EDGE))
        scene.word(2, 12, "Nothing to draw yet.", colour=ink.SOFT)
        return scene
    named = len(dots.rows) == 1 and len(dots.rows[0].dots) <= _NAMED
    left = _GUTTER if named else _EDGE
    pad = (dots.high - dots.low) * 0.03
    scene = Scene(width, 0.0, Span(dots.low - pad, dots.high + pad, left, width - _EDGE))
    y = _ends(scene, dots, width)
    top = y
    for row in dots.rows:
        y = (_by_taster if named else _stacked)(scene, dots, row, y)
        y = _together(scene, row, y)
    scene.height = math.ceil(_axis(scene, dots, top, y))
    return scene


def _ends(scene: Scene, dots: Dots, width: int) -> float:
    """Say what the two ends mean, on one line where there is room, else on two."""
    left, right = f"← {dots.left}", f"{dots.right} →"
    room = width - 2 * 4
    one_line = text_width(left, SIZE) + text_width(right, SIZE) + 16 <= room
    scene.word(4, 10, fitted(left, SIZE, room), colour=ink.SOFT)
    scene.word(
        width - 4, 10 if one_line else 26, fitted(right, SIZE, room), align="right", colour=ink.SOFT
    )
    return 24.0 if one_line else 40.0


def _by_taster(scene: Scene, dots: Dots, row: DotRow, top: float) -> float:
    y = top
    even = scene.hours.px(dots.even)
    for taster, value in row.dots:
        middle = y + _ROW / 2
        px = scene.hours.px(value)
        scene.word(_GUTTER - 10, middle, taster, align="right", colour=ink.SOFT, size=_SMALL)
        scene.rule((min(even, px), middle, max(even, px), middle), colour=ink.RULE, width=2)
        scene.mark(px, middle, "circle", fill=ink.INK, stroke=ink.INK, size=58)
        y += _ROW
    return y + 4


def _stacked(scene: Scene, dots: Dots, row: DotRow, top: float) -> float:
    y = top
    if row.label:
        scene.word(4, y + 9, fitted(row.label, SIZE, scene.width - 8), bold=True)
        y += 18
    piles = Counter(value for _, value in row.dots)
    high = min(_HIGH, max(piles.values(), default=1))
    base = y + high * _STEP + 2
    middle = (dots.low + dots.high) / 2
    for value, count in piles.items():
        # A high pile grows sideways, towards the middle where there is room.
        inwards = 1 if value <= middle else -1
        for n in range(count):
            px = scene.hours.px(value) + inwards * (n // _HIGH) * _STEP
            place = base - (n % _HIGH + 0.5) * _STEP
            scene.mark(px, place, "circle", fill=ink.INK, stroke=ink.PAPER, size=64)
    return base + 6


def _together(scene: Scene, row: DotRow, top: float) -> float:
    """Draw the middle of all, and the span of what still fits where there is one."""
    if row.middle is None:
        return top
    y = top + 10
    low, high = scene.hours.low, scene.hours.high
    if row.low is not None and row.high is not None:
        ends = (min(max(row.low, low), high), min(max(row.high, low), high))
        scene.bar(ends, (y - _BAR, y + _BAR), ink.BAND)
    scene.mark(
        scene.hours.px(row.middle), y, "diamond", fill=ink.ACCENT, stroke=ink.ACCENT, size=90
    )
    if not row.label:
        scene.word(_GUTTER - 10, y, "all", align="right", colour=ink.ACCENT, size=_SMALL)
    return y + 14


def _axis(scene: Scene, dots: Dots, top: float, y: float) -> float:
    even = scene.hours.px(dots.even)
    name = _EVEN[dots.unit]
    if name:
        scene.rule((even, top, even, y + 2), colour=ink.INK, width=1)
        half = text_width(name, _SMALL) / 2
        spot = min(max(even, half + 2), scene.width - half - 2)
        scene.word(spot, y + 12, name, align="center", colour=ink.SOFT, size=_SMALL)
    if dots.unit in {"points", "places"}:
        room = scene.hours.end_px - scene.hours.start_px
        step = int(step_for(dots.high - dots.low, room, _STEPS, 34))
        first = math.ceil(dots.low / step)
        for tick in range(first, math.floor(dots.high / step) + 1):
            value = tick * step
            px = scene.hours.px(value)
            if abs(px - even) > 1 or not name:
                scene.grid((px, top, px, y + 2))
            clear = text_width(name, _SMALL) / 2 + 12
            if not name or abs(px - even) > clear:
                text = f"{abs(value)}"
                scene.word(px, y + 12, text, align="center", colour=ink.SOFT, size=_SMALL)
    return y + 24


def tasted_table(result: TrialResult) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Tell the same as rows: taster, and what each said."""
    dots = result.dots
    if dots is None:
        return ("taster", "answer"), ()
    if len(dots.rows) == 1:
        rows = tuple((taster, _said(dots, value)) for taster, value in dots.rows[0].dots)
        return ("taster", _HEAD[dots.unit]), rows
    by_taster: dict[str, list[str]] = {}
    for row in dots.rows:
        for taster, value in row.dots:
            by_taster.setdefault(taster, []).append(f"{value:g}")
    header = ("taster", *(row.label for row in dots.rows))
    return header, tuple((taster, *values) for taster, values in by_taster.items())


_HEAD = {"votes": "went for", "points": "gave more to", "right": "right", "places": "place"}


def _said(dots: Dots, value: float) -> str:
    if dots.unit == "votes":
        if value in {0.0, 1.0}:
            return dots.right if value else dots.left
        return f"{dots.right} {value:.0%}"
    if dots.unit == "right":
        return f"{value:.0%}"
    if value == 0.0:
        return "neither"
    arm = (dots.right if value > 0 else dots.left).removesuffix(" more")
    return f"{arm}, {plural(round(abs(value), 2), 'point')}"
