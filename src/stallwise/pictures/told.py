"""The window as it was told from time to time, under the curves: it draws in, or it moves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stallwise.joins import words
from stallwise.joins.result import KeptWindow, PieceResult, Result
from stallwise.pictures import ink
from stallwise.pictures.findings import hour_of, offset_h
from stallwise.pictures.labels import text_width
from stallwise.pictures.scene import Scene
from stallwise.pictures.written import CAPTION, GUTTER, SMALL

__all__ = ["told"]

#: Rows at most, and the height of one [px].
_MOST = 6
_ROW = 16.0
_GAP = 7.0


def told(scene: Scene, piece: PieceResult, result: Result, y: float) -> float:
    """Draw each kept window as a thin bar, from the moment at which it was told.

    Parameters
    ----------
    scene : Scene
        The picture so far.
    piece, result : PieceResult, Result
        Whose windows.
    y : float
        Where the rows begin [px].

    Returns
    -------
    float
        Where the rows end [px]; `y` where nothing was told twice.
    """
    mine = [one for one in result.kept if one.piece == piece.piece]
    if len(mine) < 2:
        return y
    shown = _chosen(mine)
    caption = "as it was told, time after time"
    scene.word(GUTTER, y + 9, caption, colour=ink.SOFT, size=SMALL)
    top = y + CAPTION
    bottom = top + _ROW * len(shown)
    if piece.finish_seen is not None:
        at = scene.hours.px(hour_of(piece.finish_seen.at, result))
        scene.rule((at, top, at, bottom), colour=ink.INK, width=1.5)
    for row, one in enumerate(shown):
        _window(scene, one, offset_h(piece, result), top + _ROW * (row + 0.5))
    return bottom


def _chosen(mine: Sequence[KeptWindow]) -> list[KeptWindow]:
    """First and last, and of many between them those that stand evenly apart."""
    if len(mine) <= _MOST:
        return list(mine)
    return [mine[round(i * (len(mine) - 1) / (_MOST - 1))] for i in range(_MOST)]


def _window(scene: Scene, one: KeptWindow, shift: float, y: float) -> None:
    hours, px = scene.hours, scene.hours.px
    early, middle, late = one.elapsed_h
    start = min(max(early + shift, hours.low), hours.high)
    end = min((math.inf if late is None else late) + shift, hours.high)
    scene.bar((start, end), (y - 2.5, y + 2.5), ink.BAND)
    if middle + shift <= hours.high:
        at = px(middle + shift)
        scene.rule((at, y - 5, at, y + 5), colour=ink.ACCENT, width=1.5)
    before = one.as_of_h <= 0.0
    text = "before meat on" if before else f"{words.clock(one.as_of)}"
    from_px = px(start)
    if not before:
        from_px = px(one.as_of_h)
        if from_px < px(start) - 6:
            scene.rule((from_px, y, px(start), y), colour=ink.SOFT, dash="_dots")
        scene.mark(from_px, y, "circle", fill=ink.PAPER, stroke=ink.ACCENT, size=24)
    wide = text_width(text, SMALL)
    if from_px - _GAP - wide >= GUTTER:
        scene.word(from_px - _GAP, y, text, align="right", colour=ink.SOFT, size=SMALL)
    elif px(end) + _GAP + wide <= scene.width:
        scene.word(px(end) + _GAP, y, text, colour=ink.SOFT, size=SMALL)
    else:
        scene.word(from_px + _GAP, y, text, colour=ink.SOFT, size=SMALL)
