"""Forecasts and what came of them: a row a piece, counted from the middle of what was told."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stallwise.joins import words
from stallwise.joins.learn.tally import PieceTally, TallyResult
from stallwise.joins.learn.tallywords import headline, pieces_table
from stallwise.pictures import ink
from stallwise.pictures.charts import WIDE, Picture, drawn
from stallwise.pictures.labels import text_width
from stallwise.pictures.scene import SIZE, Scene, Span, step_for

__all__ = ["MOST", "tallied_scene", "tally_picture"]

#: Pieces that one picture shows, the last ones.
MOST = 20
_ROW = 21.0
_SMALL = 11.5
_GUTTER, _EDGE, _TOP = 104.0, 14.0, 34.0
_STEPS = (0.5, 1, 2, 4, 8)


def tally_picture(
    result: TallyResult, *, dark: bool | None = False, width: int = WIDE, prefix: str = "tally"
) -> Picture:
    """Draw what was told of each of the last pieces, and what came of it.

    Parameters
    ----------
    result : TallyResult
        With pieces.
    dark, width, prefix
        As in `charts.day_picture`.
    """
    said, table = headline(result), pieces_table(result)
    title = "Windows as they were told, and when each piece had its finish"
    scene = tallied_scene(result.pieces, width)
    svg = drawn(scene, dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, (table.header, table.rows))


def tallied_scene(pieces: Sequence[PieceTally], width: int) -> Scene:
    """Lay out the last pieces, the newest on top.

    Parameters
    ----------
    pieces : sequence of PieceTally
        By date.
    width : int
        Width [px].
    """
    shown = [*reversed(pieces[-MOST:])]
    low, high = _reach(shown)
    scene = Scene(width, 0.0, Span(low, high, _GUTTER, width - _EDGE))
    bottom = _TOP + _ROW * len(shown)
    _axis(scene, bottom)
    for row, one in enumerate(shown):
        _piece(scene, one, _TOP + _ROW * (row + 0.5))
    scene.height = math.ceil(bottom + 26)
    return scene


def _reach(pieces: Sequence[PieceTally]) -> tuple[float, float]:
    """How far the picture reaches to both sides [h]."""
    ends = [-1.0, 1.0]
    for one in pieces:
        early, middle, late = one.window_h
        found = (early, late, one.low_h, one.high_h)
        ends += [end - middle for end in found if end is not None and math.isfinite(end)]
    pad = 0.04 * (max(ends) - min(ends))
    return min(ends) - pad, max(ends) + pad


def _axis(scene: Scene, bottom: float) -> None:
    hours = scene.hours
    half_px = min(hours.px(0.0) - hours.start_px, hours.end_px - hours.px(0.0))
    for text, at, align in (("← sooner", _GUTTER, "left"), ("later →", hours.end_px, "right")):
        if half_px > text_width("the middle told", SIZE) / 2 + text_width(text, SIZE) + 8:
            scene.word(at, 10, text, colour=ink.SOFT, align=align)
    scene.word(hours.px(0.0), 10, "the middle told", align="center", colour=ink.ACCENT)
    step = step_for(hours.high - hours.low, hours.end_px - hours.start_px, _STEPS, 46)
    tick = math.ceil(hours.low / step) * step
    while tick <= hours.high:
        px = hours.px(tick)
        scene.grid((px, _TOP - 8, px, bottom + 4))
        text = "0" if not tick else f"{'+' if tick > 0 else '−'}{words.hours(abs(tick))}"
        if px + text_width(text, _SMALL) / 2 <= scene.width:
            scene.word(px, bottom + 15, text, align="center", colour=ink.SOFT, size=_SMALL)
        tick += step
    zero = hours.px(0.0)
    scene.rule((zero, _TOP - 12, zero, bottom + 4), colour=ink.ACCENT, width=1.5)


def _piece(scene: Scene, one: PieceTally, y: float) -> None:
    hours = scene.hours
    early, middle, late = one.window_h
    end = late - middle if math.isfinite(late) else hours.high
    scene.bar((early - middle, min(end, hours.high)), (y - 5, y + 5), ink.BAND)
    name = f"{one.date.day} {one.date:%b %Y} {one.piece}"
    scene.word(_GUTTER - 8, y, name, align="right", colour=ink.SOFT, size=_SMALL)
    # Between the last look that said not yet and the first that said tender.
    first = hours.low if one.low_h is None else one.low_h - middle
    last = hours.high if one.high_h is None else one.high_h - middle
    scene.rule((hours.px(first), y, hours.px(last), y), colour=ink.INK, width=2)
    seen = last if one.high_h is not None else first
    fill = ink.INK if one.inside80 else ink.PAPER
    scene.mark(hours.px(seen), y, "circle", fill=fill, stroke=ink.INK, size=58)
