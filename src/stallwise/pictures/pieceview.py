"""A piece from above and from the side, to scale, with the three sizes that a ruler gives."""

from __future__ import annotations

import math
from html import escape

from stallwise.ground import units
from stallwise.pictures.charts import Picture

__all__ = ["piece_view"]

#: Room for the longest side, and for the width seen from above [px].
_LONG, _WIDE = 190.0, 112.0
_LEFT, _TOP, _SIZE = 14.0, 22.0, 12.5
_WIDTH = 344
#: Outline as a share of the half sizes, walked round: rounder than a brick, flatter than an egg.
_POWER, _STEPS = 3.2, 72


def piece_view(name: str, half_m: tuple[float, float, float], system: str) -> Picture:
    """Draw a piece to scale, with what is meant by its length, width and thickness.

    Parameters
    ----------
    name : str
        Of the cut.
    half_m : tuple of three floats
        Half thickness, width and length [m].
    system : {"us", "metric"}
        Units of the words.
    """
    thick, wide, long = (2.0 * half for half in half_m)
    scale = min(_LONG / long, _WIDE / wide)
    length, width, thickness = long * scale, wide * scale, max(thick * scale, 3.0)
    said = [units.format_length(size, system) for size in (long, wide, thick)]
    middle = _LEFT + _LONG / 2
    above, side = _TOP + width / 2, _TOP + width + 68.0 + thickness / 2
    grate = side + thickness / 2 + 3.0
    left, right = middle - length / 2, middle + length / 2
    parts = [
        _words(_LEFT, 12, "from above", soft=True),
        _outline(middle, above, length, width),
        _across(left, right, above + width / 2 + 12),
        _words(middle, above + width / 2 + 27, f"length {said[0]}", anchor="middle"),
        _down(right + 12, above - width / 2, above + width / 2),
        _words(right + 20, above + 4, f"width {said[1]}"),
        _words(_LEFT, side - thickness / 2 - 12, "from the side", soft=True),
        _outline(middle, side, length, thickness),
        _grate(left - 8, right + 8, grate),
        _down(right + 12, side - thickness / 2, side + thickness / 2),
        _words(right + 20, side + 1, f"thickness {said[2]}"),
        _words(right + 20, side + 16, "at its thickest", soft=True),
    ]
    height = math.ceil(max(grate, side + 20) + 8)
    finding = (
        f"{name}, to scale. From above: length {said[0]}, width {said[1]}. From the side, as it "
        f"lies on the grate: thickness {said[2]} where it is thickest."
    )
    svg = (
        f'<svg viewBox="0 0 {_WIDTH} {height}" role="img" aria-label="{escape(finding)}" '
        f'font-size="{_SIZE}">{"".join(parts)}</svg>'
    )
    table = (
        ("size", "as planned"),
        tuple(zip(("length", "width", "thickness"), said, strict=True)),
    )
    return Picture(svg, finding, table)


def _outline(x: float, y: float, width: float, height: float) -> str:
    points = []
    for step in range(_STEPS):
        angle = 2.0 * math.pi * step / _STEPS
        across, down = math.cos(angle), math.sin(angle)
        # One end is fuller than the other, as meat is.
        full = 1.0 - 0.22 * (1.0 - across) / 2.0
        points.append(
            f"{x + width / 2 * math.copysign(abs(across) ** (2 / _POWER), across):.1f} "
            f"{y + height / 2 * full * math.copysign(abs(down) ** (2 / _POWER), down):.1f}"
        )
    return f'<path d="M{"L".join(points)}Z" fill="var(--band)" stroke="var(--ring)"/>'


def _grate(start: float, end: float, y: float) -> str:
    line = f"M{start:.1f} {y:.1f}H{end:.1f}"
    return f'<path d="{line}" stroke="var(--soft)" stroke-width="2" stroke-dasharray="5 4"/>'


def _across(start: float, end: float, y: float) -> str:
    ends = "".join(f"M{x:.1f} {y - 4:.1f}v8" for x in (start, end))
    return f'<path d="M{start:.1f} {y:.1f}H{end:.1f}{ends}" stroke="var(--ink)" fill="none"/>'


def _down(x: float, start: float, end: float) -> str:
    ends = "".join(f"M{x - 4:.1f} {y:.1f}h8" for y in (start, end))
    return f'<path d="M{x:.1f} {start:.1f}V{end:.1f}{ends}" stroke="var(--ink)" fill="none"/>'


def _words(x: float, y: float, text: str, *, anchor: str = "start", soft: bool = False) -> str:
    colour = "var(--soft)" if soft else "var(--ink)"
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}">'
        f"{escape(text)}</text>"
    )
