"""The shared axis of a picture: elapsed hours since meat on, with the wall clock under each."""

from __future__ import annotations

import math

from stallwise.joins.result import Result
from stallwise.pictures import ink
from stallwise.pictures.findings import at_hour
from stallwise.pictures.scene import Scene, step_for

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
        scene.word(px, y + 10, f"{tick:g} h", align="center")
        when = at_hour(tick, result)
        scene.word(px, y + 26, f"{when:%H:%M}", align="center", colour=ink.SOFT, size=_SMALL)
        if over_night and when.date() != named:
            named = when.date()
            scene.word(px, y + 41, f"{when:%a}", align="center", colour=ink.SOFT, size=_SMALL)
        tick += step
    return y + (52 if over_night else 36)
