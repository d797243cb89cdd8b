"""The shared axis of a picture: elapsed hours since meat on, with the wall clock under each."""

from __future__ import annotations

import math

from stallwise.joins.result import Result
from stallwise.pictures import ink
from stallwise.pictures.findings import at_hour
from stallwise.pictures.labels import text_width
from stallwise.pictures.scene import SIZE, Scene, step_for

__all__ = ["hours_axis"]

_SMALL = 11.5


def hours_axis(scene: Scene, result: Result, y: float) -> float:
    """Write the axis: elapsed hours since meat on, the wall clock under each."""
    room = scene.hours.end_px - scene.hours.start_px
    span = scene.hours.high - scene.hours.low
    step = step_for(span, room, (0.5, 1, 2, 3, 4, 6, 12) if span < 3 else (1, 2, 3, 4, 6, 12), 43)
    day = at_hour(scene.hours.low, result).date()
    over_night = day != at_hour(scene.hours.high, result).date()
    named = None
    tick = math.ceil(scene.hours.low / step) * step
    while tick <= scene.hours.high:
        px = scene.hours.px(tick)
        for panel in scene.panels:
            scene.grid((px, panel.start_px, px, panel.end_px))
        scene.rule((px, y - 4, px, y + 1), colour=ink.SOFT)
        when = at_hour(tick, result)
        _label(scene, px, y + 10, f"{tick:g} h", colour=ink.INK, size=SIZE)
        _label(scene, px, y + 26, f"{when:%H:%M}")
        if over_night and when.date() != named:
            named = when.date()
            _label(scene, px, y + 41, f"{when:%a}")
        tick += step
    return y + (52 if over_night else 36)


def _label(
    scene: Scene, px: float, y: float, text: str, *, colour: str = ink.SOFT, size: float = _SMALL
) -> None:
    """Put a word under its tick, moved inwards where it would run over an edge."""
    half = text_width(text, size) / 2
    spot = min(max(px, half), scene.width - half)
    scene.word(spot, y, text, align="center", colour=colour, size=size)
