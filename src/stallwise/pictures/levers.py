"""What would change it, as a picture: each thing tried is a bar about the plan's own hour.

Sooner lies to the left, later to the right; a bar spans four days in five, its dot is the
middle. A wide picture names a bar on the side where it is not, a narrow one above it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stallwise.joins import words
from stallwise.joins.result import Lever, Result, Spread
from stallwise.pictures import ink
from stallwise.pictures.labels import fitted, text_width
from stallwise.pictures.scene import SIZE, Scene, Span, step_for

__all__ = ["lever_finding", "lever_scene"]

_ROW, _TALL_ROW = 27, 41
_BAR = 6.5
_EDGE = 8
_GAP = 9
_SMALL = 11.5
_STEPS = (0.25, 0.5, 1, 2, 3, 4, 6, 12)
#: From this width on a name stands beside its bar, else above it [px].
_BESIDE = 560
#: Hours that are shown at least, on the one side and in all.
_LEAST_H = 0.25
#: The scale gives way so far, at most, for words to have room.
_WIDENED = 1.7


def lever_finding(levers: Sequence[Lever], result: Result) -> str:
    """Say what moves each piece most, either way, and what hardly moves it."""
    many = len({lever.piece for lever in levers}) > 1
    said = []
    for piece in result.pieces:
        mine = [lever for lever in levers if lever.piece == piece.piece]
        if mine:
            said.append((f"{piece.piece}: " if many else "") + _piece_finding(mine))
    return " ".join(said) or "Nothing is left that would change it."


def _piece_finding(levers: Sequence[Lever]) -> str:
    ranked = sorted(levers, key=_middle)
    still = [lever.words for lever in ranked if words.shift(lever.shift_h, span=False) == _STILL]
    sooner, later = ranked[0], ranked[-1]
    said = []
    if sooner.words not in still and _middle(sooner) < 0:
        said.append(f"Soonest: {sooner.words}, {words.shift(sooner.shift_h)}.")
    if later.words not in still and _middle(later) > 0:
        said.append(f"Latest: {later.words}, {words.shift(later.shift_h)}.")
    if still:
        said.append(f"About the same: {words.joined(still)}.")
    return " ".join(said)


#: What a difference too small to name is called.
_STILL = words.shift(Spread(*[0.0] * 7))


def lever_scene(levers: Sequence[Lever], result: Result, width: int) -> Scene:
    """Lay out a row a lever, what makes it soonest on top, piece by piece on one scale.

    Parameters
    ----------
    levers : sequence of Lever
        From `whatif.what_if`.
    result : Result
        The answer that they change.
    width : int
        Width [px].
    """
    beside = width >= _BESIDE
    scene = Scene(width, 0.0, _span(levers, width, even=beside))
    if not levers:
        scene.word(2, 12, lever_finding(levers, result), colour=ink.SOFT)
        scene.height = 24
        return scene
    zero = scene.hours.px(0.0)
    scene.word(zero - _GAP, 10, "← sooner", align="right", colour=ink.SOFT)
    scene.word(zero + _GAP, 10, "later →", colour=ink.SOFT)
    y = 22.0
    named = len({lever.piece for lever in levers}) > 1
    for piece in result.pieces:
        mine = sorted((lever for lever in levers if lever.piece == piece.piece), key=_middle)
        if not mine:
            continue
        if named:
            scene.word(2, y + 10, fitted(words.piece_name(piece), SIZE, width - 4), bold=True)
            y += 22
        top = y
        for lever in mine:
            (_row_beside if beside else _row_below)(scene, lever, y)
            y += _ROW if beside else _TALL_ROW
            # Above a name the line would only cut the words.
            start = y - (_ROW if beside else _TALL_ROW / 2)
            scene.rule((zero, start, zero, y), colour=ink.INK, width=1)
        y = _axis(scene, top, y) + 8
    scene.height = math.ceil(y)
    return scene


def _middle(lever: Lever) -> float:
    return math.inf if lever.shift_h.p50 is None else lever.shift_h.p50


def _span(levers: Sequence[Lever], width: int, *, even: bool) -> Span:
    """Scale as far as the longest bar; where names stand beside, as far to either side."""
    ends = [
        value
        for lever in levers
        for value in (lever.shift_h.p10, lever.shift_h.p50, lever.shift_h.p90)
        if value is not None
    ]
    low, high = min([0.0, *ends]), max([0.0, *ends])
    far = max(-low, high, _LEAST_H)
    # The one side is never so short that its word and "as planned" have no room.
    low, high = min(low, -far / 3), max(high, far / 3)
    if even:
        high = min(max([far, *(_roomy(lever, width) for lever in levers)]), far * _WIDENED)
        low = -high
    return Span(low, high, _EDGE, width - _EDGE)


def _roomy(lever: Lever, width: int) -> float:
    """Hours to either side that leave a lever room for its words beyond its bar."""
    shift = lever.shift_h
    over = -(shift.p10 or 0.0) if _middle(lever) > 0 else shift.p90 or 0.0
    room = width / 2 - _GAP - 2 - text_width(_whole(lever), SIZE)
    return over * (width / 2 - _EDGE) / room if over > 0 and room > 0 else 0.0


def _row_beside(scene: Scene, lever: Lever, top: float) -> None:
    """One line: the bar, and its name on the side where the bar is not."""
    y = top + _ROW / 2
    left, right = _bar(scene, lever, y)
    room = (left if _middle(lever) > 0 else scene.width - right) - _GAP - 2
    said = _said(lever, room)
    if _middle(lever) > 0:
        scene.word(left - _GAP, y, said, align="right")
    else:
        scene.word(right + _GAP, y, said)


def _row_below(scene: Scene, lever: Lever, top: float) -> None:
    """Two lines: name and middle in words, the bar below."""
    scene.word(2, top + 11, _said(lever, scene.width - 4))
    _bar(scene, lever, top + 28)


def _bar(scene: Scene, lever: Lever, y: float) -> tuple[float, float]:
    """Draw bar, stem and dot; return how far they reach, zero included [px]."""
    shift = lever.shift_h
    low = scene.hours.low if shift.p10 is None else shift.p10
    # A bar without an end runs out of the picture.
    high = scene.hours.value(scene.width) if shift.p90 is None else shift.p90
    scene.bar((low, high), (y - _BAR, y + _BAR), ink.BAND)
    if shift.p50 is not None:
        px = scene.hours.px(shift.p50)
        scene.rule((scene.hours.px(0.0), y, px, y), colour=ink.ACCENT, width=2)
        scene.mark(px, y, "circle", fill=ink.ACCENT, stroke=ink.ACCENT, size=34)
    return scene.hours.px(min(low, 0.0)), scene.hours.px(max(high, 0.0))


def _said(lever: Lever, room: float) -> str:
    """Name and middle; with less room the name alone, with even less its last part."""
    for said in (_whole(lever), lever.words, lever.words.rpartition(": ")[2]):
        if text_width(said, SIZE) <= room:
            return said
    return fitted(lever.words, SIZE, room)


def _whole(lever: Lever) -> str:
    return f"{lever.words}: {words.shift(lever.shift_h, span=False)}"


def _axis(scene: Scene, top: float, y: float) -> float:
    """Hours sooner and later below the rows, their lines behind them."""
    room = scene.hours.end_px - scene.hours.start_px
    step = step_for(scene.hours.high - scene.hours.low, room, _STEPS, 52)
    zero, here = scene.hours.px(0.0), "as planned"
    first = math.ceil(scene.hours.low / step)
    for tick in range(first, math.floor(scene.hours.high / step) + 1):
        px = scene.hours.px(tick * step)
        if tick:
            scene.grid((px, top, px, y + 4))
        said = words.hours(abs(tick * step)) if tick else here
        half = text_width(said, _SMALL) / 2
        clear = abs(px - zero) > text_width(here, _SMALL) / 2 + half
        if not tick or (clear and half <= px <= scene.width - half):
            scene.word(px, y + 14, said, align="center", colour=ink.SOFT, size=_SMALL)
    return y + 24
