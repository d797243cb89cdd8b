"""Cooks over each other on hours since their own meat on: cores as read, and a lane for each.

A curve is told from the others by its number at its end, not by its pen alone; the lanes below
carry the same numbers. In a lane the pale bar is the forecast from before meat on, four days in
five, and the dark one what happened: from the last look that said not yet to the first that said
tender.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stallwise.joins.past.comparewords import foreseen_table
from stallwise.joins.past.comparison import Compared, Comparison
from stallwise.pictures import ink
from stallwise.pictures.charts import WIDE, Picture, drawn
from stallwise.pictures.labels import Box, fitted, text_width
from stallwise.pictures.scene import SIZE, Rows, Scene, Span, key_width, step_for
from stallwise.pictures.thinning import segments, thin

__all__ = ["beside_finding", "beside_picture", "beside_scene"]

_GUTTER, _EDGE = 40, 14
_HIGH, _LOW_HIGH = 230, 190
_LANE = 40
_SMALL = 11.5
_STEPS = (0.5, 1, 2, 3, 4, 6, 12)
#: Pens of a panel in the order in which they are given out: dark, dashed, thin, dotted.
_PENS = ("core_read", "core", "pit_read", "pit")


def beside_picture(
    found: Comparison, *, dark: bool | None = False, width: int = WIDE, prefix: str = "beside"
) -> Picture:
    """Draw cooks over each other on hours since their own meat on.

    Parameters
    ----------
    found : Comparison
        From `comparison.compare_cooks`.
    dark, width, prefix
        As in `charts.day_picture`.
    """
    said, table = beside_finding(found), foreseen_table(found)
    title = "Cooks over each other, by hours since meat on"
    svg = drawn(beside_scene(found, width), dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, (table.header, table.rows))


def beside_finding(found: Comparison) -> str:
    """Say of each piece what was foreseen and what happened."""
    held = {"yes": ", inside", "no": ", outside", "": ""}
    said = (
        f"{number} {row[0]}: forecast {row[1]} after meat on; happened: {row[3]}{held[row[4]]}."
        for number, row in enumerate(foreseen_table(found).rows, start=1)
    )
    return " ".join(said) or "Nothing is known yet of how these came out."


def beside_scene(found: Comparison, width: int) -> Scene:
    """Lay out the curves, then a lane a piece, then the hours.

    Parameters
    ----------
    found : Comparison
    width : int
        Width [px].
    """
    last = max([1.0, *(_last_h(one) for one in found.pieces)])
    scene = Scene(width, 0.0, Span(0.0, last * 1.02, _GUTTER, width - _EDGE))
    y = _curves(scene, found) if any(map(_stretches, found.pieces)) else 4.0
    top = y
    for number, one in enumerate(found.pieces, start=1):
        y = _lane(scene, number, one, y)
    y = _hours(scene, top, y)
    scene.height = math.ceil(_legend(scene, found, y))
    return scene


def _stretches(one: Compared) -> list[list[tuple[float, float]]]:
    """Stretches of a core as read until it came off."""
    if one.core_c is None:
        return []
    until = math.inf if one.off_h is None else one.off_h
    pairs = [
        (hour, value)
        for hour, value in zip(one.core_c.elapsed_h, one.core_c.p50, strict=True)
        if 0.0 <= hour <= until
    ]
    return segments([hour for hour, _ in pairs], [value for _, value in pairs])


def _last_h(one: Compared) -> float:
    out = one.came_out
    ends = [out.low_h, out.high_h, one.off_h, one.wrapped_h]
    if out.foreseen is not None:
        ends += [out.foreseen.low_h, out.foreseen.middle_h, out.foreseen.high_h]
    ends += [part[-1][0] for part in _stretches(one)]
    return max((end for end in ends if end is not None), default=1.0)


def _curves(scene: Scene, found: Comparison) -> float:
    """Draw the cores over each other, numbered where they end."""
    high = _HIGH if scene.width > 500 else _LOW_HIGH
    top, bottom = 6.0, 6.0 + high
    parts_of = {number: _stretches(one) for number, one in enumerate(found.pieces, start=1)}
    values = [value for parts in parts_of.values() for part in parts for _, value in part]
    low, most = min(values), max(values)
    span = Span(low, most + 0.12 * (most - low), bottom, top)
    _degrees(scene, span, found.units)
    bucket_h = (scene.hours.high - scene.hours.low) / scene.width * 3
    taken: list[Box] = []
    for place, (number, parts) in enumerate((n, p) for n, p in parts_of.items() if p):
        panel, pen = divmod(place, len(_PENS))
        if panel == len(scene.panels):
            scene.panels.append(span)
        scene.data[f"{_PENS[pen]}_{panel}"] = _rows(parts, bucket_h)
        _number(scene, number, parts[-1][-1], span, taken)
    return bottom + 14


def _rows(parts: Sequence[Sequence[tuple[float, float]]], bucket_h: float) -> Rows:
    return [
        {"h": hour, "p10": value, "p50": value, "p90": value, "part": number}
        for number, part in enumerate(parts)
        for hour, value in thin(part, bucket_h)
    ]


def _number(
    scene: Scene, number: int, end: tuple[float, float], span: Span, taken: list[Box]
) -> None:
    """Put a curve's number beside its end, clear of the other numbers."""
    px, y = scene.hours.px(end[0]), span.px(end[1])
    for step in (0.0, -15.0, 15.0, -30.0, 30.0):
        box = Box(px + 3, y + step - 7, px + 15, y + step + 7)
        if not any(box.covers(each) for each in taken) and y + step > 8:
            taken.append(box)
            scene.word(px + 6, y + step, str(number), bold=True)
            return


def _degrees(scene: Scene, span: Span, system: str) -> None:
    us = system == "us"
    step = 50.0 if us else 25.0
    low, high = (span.low * 1.8 + 32, span.high * 1.8 + 32) if us else (span.low, span.high)
    tick = math.ceil(low / step) * step
    while tick < high:
        y = span.px((tick - 32) / 1.8 if us else tick)
        scene.grid((_GUTTER, y, scene.width - _EDGE, y))
        scene.word(_GUTTER - 6, y, f"{tick:.0f}°", colour=ink.SOFT, align="right", size=_SMALL)
        tick += step


def _lane(scene: Scene, number: int, one: Compared, y: float) -> float:
    """Draw one piece: its name, then the forecast, what happened and the wrap on one line."""
    room = scene.width - _GUTTER - _EDGE
    scene.word(_GUTTER - 14, y + 8, str(number), align="right", bold=True)
    probe = "" if one.core_c is not None else ", no probe"
    scene.word(_GUTTER, y + 8, fitted(f"{one.label}{probe}", SIZE, room))
    middle = y + 25
    out = one.came_out
    seen = out.foreseen
    if seen is not None and seen.low_h is not None:
        high = scene.hours.high if seen.high_h is None else seen.high_h
        scene.bar((seen.low_h, high), (middle - 7, middle + 7), ink.BAND)
        if seen.middle_h is not None:
            px = scene.hours.px(seen.middle_h)
            scene.rule((px, middle - 7, px, middle + 7), colour=ink.ACCENT, width=2)
    if out.high_h is not None:
        low = out.high_h if out.low_h is None else out.low_h
        scene.rule(
            (scene.hours.px(low), middle, scene.hours.px(out.high_h), middle),
            colour=ink.INK,
            width=4,
        )
        scene.mark(scene.hours.px(out.high_h), middle, "circle", fill=ink.INK, size=44)
    if one.wrapped_h is not None:
        scene.mark(scene.hours.px(one.wrapped_h), middle, "square", fill=ink.PAPER, size=52)
    return y + _LANE


def _hours(scene: Scene, top: float, y: float) -> float:
    room = scene.hours.end_px - scene.hours.start_px
    step = step_for(scene.hours.high, room, _STEPS, 43)
    for n in range(math.floor(scene.hours.high / step) + 1):
        px = scene.hours.px(n * step)
        for panel in scene.panels[:1]:
            scene.grid((px, panel.start_px, px, panel.end_px))
        scene.grid((px, top, px, y))
        scene.rule((px, y, px, y + 5), colour=ink.SOFT)
        said = f"{n * step:g} h" if n else "meat on"
        half = text_width(said, _SMALL) / 2
        spot = min(max(px, half + 2), scene.width - half)
        scene.word(spot, y + 14, said, align="center", colour=ink.SOFT, size=_SMALL)
    return y + 36


def _legend(scene: Scene, found: Comparison, y: float) -> float:
    """Say what the marks of the lanes mean, as many on a line as have room."""
    entries = []
    if any(one.came_out.foreseen for one in found.pieces):
        entries.append(("band", "forecast before meat on"))
    if any(one.came_out.high_h for one in found.pieces):
        entries.append(("seen", "not yet … tender, as seen"))
    if any(one.wrapped_h for one in found.pieces):
        entries.append(("wrap", "wrapped"))
    px = float(_GUTTER)
    for kind, text in entries:
        if px > _GUTTER and px + key_width(text) > scene.width - 4:
            px, y = float(_GUTTER), y + 18
        if kind == "band":
            scene.bar((scene.hours.value(px), scene.hours.value(px + 20)), (y - 5, y + 5), ink.BAND)
        elif kind == "seen":
            scene.rule((px, y, px + 20, y), colour=ink.INK, width=4)
            scene.mark(px + 20, y, "circle", fill=ink.INK, size=44)
        else:
            scene.mark(px + 12, y, "square", fill=ink.PAPER, size=52)
        scene.word(px + 29, y, text, colour=ink.SOFT)
        px += key_width(text) + 22
    return y + 12
