"""What a re-run moved, as a picture: each piece is a dot about the hours that it took before.

Shorter lies to the left, longer to the right. A square stands for a piece that crosses a
limit, or the odds asked for. A wide picture has names in a column, a narrow one above the dots.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stallwise.joins import words
from stallwise.pictures import ink
from stallwise.pictures.charts import WIDE, Picture, drawn
from stallwise.pictures.labels import fitted, text_width
from stallwise.pictures.scene import SIZE, Scene, Span, step_for

__all__ = ["Moved", "moved_finding", "moved_picture", "moved_scene"]

#: Pieces in a picture; what moved less is in the table alone.
MOST = 40
_ROW, _TALL_ROW = 24, 38
_GAP, _EDGE, _SMALL = 9, 8, 11.5
_STEPS = (0.25, 0.5, 1, 2, 3, 4, 6, 12, 24)
#: From this width on names stand in a column of their own [px].
_BESIDE = 560
_LEAST_H = 0.25
#: Less than half of the five minutes that lengths are told to [h].
_HARDLY_H = 1 / 24


@dataclass(frozen=True)
class Moved:
    """One piece: what it is called, how much longer it takes [h], whether it crosses a limit."""

    name: str
    longer_h: float
    crosses: bool = False


def moved_picture(
    rows: Sequence[Moved],
    title: str,
    *,
    dark: bool | None = False,
    width: int = WIDE,
    prefix: str = "moved",
) -> Picture:
    """Draw how much longer or shorter each piece takes than before.

    Parameters
    ----------
    rows : sequence of Moved
        Pieces of a re-run.
    title : str
        What was changed.
    dark, width, prefix
        As in `charts.day_picture`.
    """
    said = moved_finding(rows)
    table = tuple((row.name, _words(row)) for row in rows)
    svg = drawn(moved_scene(rows, width), dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, (("piece", "than before"), table))


def moved_finding(rows: Sequence[Moved]) -> str:
    """Say how many pieces take longer and shorter, which most, and how many cross a limit."""
    shorter = [row for row in rows if row.longer_h <= -_HARDLY_H]
    longer = [row for row in rows if row.longer_h >= _HARDLY_H]
    said = [
        f"{_count(some)} {'take' if len(some) > 1 else 'takes'} {side}, "
        f"{'most of all ' if len(some) > 1 else ''}{worst.name}: {_words(worst)}."
        for some, side, worst in (
            (shorter, "less time", min(shorter, key=_length, default=None)),
            (longer, "more time", max(longer, key=_length, default=None)),
        )
        if worst is not None
    ]
    still = len(rows) - len(shorter) - len(longer)
    if still:
        said.append(f"About as before: {still}.")
    if crossing := sum(row.crosses for row in rows):
        verb = "cross" if crossing > 1 else "crosses"
        said.append(f"{crossing} of these pieces {verb} a limit or the odds asked for.")
    return " ".join(said) or "Nothing to show."


def moved_scene(rows: Sequence[Moved], width: int) -> Scene:
    """Lay out a row a piece, what became shortest on top.

    Parameters
    ----------
    rows : sequence of Moved
        Pieces; the `MOST` that moved most are drawn.
    width : int
        Width [px].
    """
    shown = sorted(sorted(rows, key=lambda row: -abs(row.longer_h))[:MOST], key=_length)
    beside = width >= _BESIDE
    column = min(max((text_width(row.name, SIZE) for row in shown), default=0), width * 0.42)
    start = 2 + column + 2 * _GAP if beside else _EDGE
    scene = Scene(width, 0.0, _span(shown, start, width - _EDGE))
    zero = scene.hours.px(0.0)
    scene.word(zero - _GAP, 10, "← less time", align="right", colour=ink.SOFT)
    scene.word(zero + _GAP, 10, "more time →", colour=ink.SOFT)
    top = y = 22.0
    for row in shown:
        middle = y + (_ROW / 2 if beside else 28)
        if beside:
            scene.word(2 + column, middle, fitted(row.name, SIZE, column), align="right")
        else:
            scene.word(2, y + 11, fitted(row.name, SIZE, width - 4))
        _dot(scene, row, middle)
        scene.rule((zero, middle - 10, zero, middle + 10), colour=ink.INK)
        y += _ROW if beside else _TALL_ROW
    y = _axis(scene, top, y)
    if any(row.crosses for row in shown):
        scene.mark(10, y + 8, "square", fill=ink.INK, stroke=ink.INK, size=40)
        said = "crosses a limit or the odds asked for"
        scene.word(22, y + 8, fitted(said, SIZE, width - 24), colour=ink.SOFT)
        y += 22
    scene.height = math.ceil(y)
    return scene


def _length(row: Moved) -> float:
    return row.longer_h


def _span(rows: Sequence[Moved], start: float, end: float) -> Span:
    """Scale with room for the words beyond the farthest dots."""
    lengths = [0.0, *(row.longer_h for row in rows)]
    low, high = min(lengths), max(lengths)
    far = max(-low, high, _LEAST_H)
    low, high = min(low, -far / 3), max(high, far / 3)
    left, right = (
        max((text_width(_words(row), SIZE) for row in side), default=0.0) + 2 * _GAP
        for side in (
            [row for row in rows if row.longer_h < 0],
            [row for row in rows if row.longer_h >= 0],
        )
    )
    # The words of the farthest dot hang outside of it.
    room = max(end - start - left - right, 80.0)
    per_px = (high - low) / room
    return Span(low - left * per_px, high + right * per_px, start, end)


def _dot(scene: Scene, row: Moved, y: float) -> None:
    px, zero = scene.hours.px(row.longer_h), scene.hours.px(0.0)
    scene.rule((zero, y, px, y), colour=ink.ACCENT, width=2)
    shape, colour = ("square", ink.INK) if row.crosses else ("circle", ink.ACCENT)
    scene.mark(px, y, shape, fill=colour, stroke=colour, size=40)
    side = -1 if row.longer_h < 0 else 1
    scene.word(px + side * _GAP, y, _words(row), align="left" if side > 0 else "right")


def _words(row: Moved) -> str:
    if abs(row.longer_h) < _HARDLY_H:
        return "about as before"
    return f"{words.hours(abs(row.longer_h))} {'longer' if row.longer_h > 0 else 'shorter'}"


def _axis(scene: Scene, top: float, y: float) -> float:
    room = scene.hours.end_px - scene.hours.start_px
    step = step_for(scene.hours.high - scene.hours.low, room, _STEPS, 62)
    for tick in range(math.ceil(scene.hours.low / step), math.floor(scene.hours.high / step) + 1):
        px = scene.hours.px(tick * step)
        if tick:
            scene.grid((px, top, px, y + 4))
        said = words.hours(abs(tick * step)) if tick else "as before"
        half = text_width(said, _SMALL) / 2
        if half <= px <= scene.width - half and px - half >= scene.hours.start_px - _EDGE:
            scene.word(px, y + 14, said, align="center", colour=ink.SOFT, size=_SMALL)
    return y + 26


def _count(rows: Sequence[Moved]) -> str:
    return f"{len(rows)} piece{'s' if len(rows) > 1 else ''}"
