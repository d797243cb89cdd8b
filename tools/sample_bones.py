"""The sample's picture of the glaze trial: two plates with their codes, one taster's pair of bones."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, dome, light, mix, run, soften
from sample_slices import table_top

__all__ = ["two_plates"]

Array = np.ndarray
Colour = tuple[float, float, float]
Pen = list[tuple[float, float]]

#: How a pencil goes to write a digit, in a box of one by one.
_DIGITS: dict[str, list[Pen]] = {
    "0": [[(0.5, 0.0), (0.1, 0.2), (0.0, 0.55), (0.2, 0.95), (0.55, 1.0), (0.9, 0.75), (0.95, 0.4), (0.75, 0.05), (0.45, 0.0)]],
    "1": [[(0.2, 0.25), (0.55, 0.0), (0.52, 0.5), (0.5, 1.0)]],
    "3": [[(0.1, 0.1), (0.5, 0.0), (0.85, 0.2), (0.7, 0.42), (0.4, 0.47)], [(0.4, 0.47), (0.8, 0.55), (0.9, 0.8), (0.5, 1.0), (0.05, 0.92)]],
    "5": [[(0.2, 0.02), (0.15, 0.25), (0.1, 0.45)], [(0.1, 0.45), (0.5, 0.36), (0.9, 0.6), (0.75, 0.93), (0.4, 1.0), (0.05, 0.9)], [(0.2, 0.02), (0.5, 0.03), (0.88, 0.0)]],
    "7": [[(0.05, 0.03), (0.5, 0.02), (0.92, 0.0)], [(0.92, 0.0), (0.6, 0.45), (0.4, 1.0)], [(0.3, 0.5), (0.5, 0.49), (0.8, 0.48)]],
    "9": [[(0.88, 0.25), (0.6, 0.0), (0.2, 0.1), (0.1, 0.38), (0.45, 0.55), (0.8, 0.4), (0.88, 0.2)], [(0.88, 0.2), (0.85, 0.6), (0.72, 1.0)]],
}  # fmt: skip


def two_plates() -> Image.Image:
    """Draw two plates with a bone each, the slips beside them with three digits each."""
    s = Sheet(1200, 900, 161)
    s.pixels[:] = table_top(s)
    for x, dark, pale, way in (
        (325, (0.30, 0.12, 0.04), (0.70, 0.36, 0.11), -0.22),
        (875, (0.17, 0.045, 0.03), (0.46, 0.13, 0.05), 0.16),
    ):
        _plate(s, x, 362)
        _bone(s, x, 362, way, dark, pale)
    _slip(s, 325, 730, "175")
    _slip(s, 875, 730, "390")
    _pencil(s)
    return s.finish(0.42)


def _plate(s: Sheet, x: float, y: float) -> None:
    plate = s.disc(x, y, 250, 240)
    s.shade(plate, 16, 24, 18, 0.7)
    glaze = mix((0.80, 0.78, 0.73), (0.94, 0.93, 0.89), s.noise(90, 1, 3))
    s.paint(plate, light(glaze, 36 * dome(plate, 20), relief=0.5, gloss=0.3, sharp=40))
    rim = soften(s.disc(x, y, 182, 173) - s.disc(x + 5, y + 7, 176, 167), 4)
    s.pixels *= (1 - 0.4 * np.clip(rim, 0, 1))[..., None]
    line = s.disc(x, y, 240, 230) - s.disc(x, y, 235, 225)
    s.paint(line, (0.30, 0.38, 0.45), 0.7)


def _bone(s: Sheet, x: float, y: float, lean: float, dark: Colour, pale: Colour) -> None:
    """Draw one cut rib: the bone's two ends, glazed meat between them."""
    c, n = math.cos(lean), math.sin(lean)

    def at(u: float, v: float) -> tuple[float, float]:
        return x + v * c - u * n, y + v * n + u * c

    ends = s.strokes([(run([at(-200, 26), at(0, -2), at(196, 26)]), 36, 42)])
    s.shade(ends, 12, 16, 9, 0.6)
    white = mix((0.56, 0.40, 0.27), (0.90, 0.80, 0.65), s.noise(16, 1, 3))
    s.paint(ends, light(white, 24 * dome(ends, 9), relief=0.8, gloss=0.12))
    wave = [at(u, 56 + 5 * math.sin(u / 29) + u * u / 1500) for u in range(-152, 158, 8)]
    back = [at(u, -62 + 6 * math.sin(u / 23 + 1) + u * u / 1100) for u in range(150, -158, -8)]
    meat = soften(s.area([*wave, *back]), 7)
    meat = np.clip((meat - 0.4) * 5, 0, 1)
    s.shade(meat, 16, 24, 14, 0.75)
    tone = 0.6 * s.noise(42, 1.2, 4) + 0.4 * s.noise(11, 1, 3)
    colours = blend(
        mix(dark, pale, tone),
        (0.08, 0.03, 0.02),
        0.7 * np.clip((s.noise(30, 1, 4) - 0.6) * 3, 0, 1),
    )
    height = (
        84 * dome(meat, 40) + 30 * dome(meat, 14) + 16 * s.noise(44, 1, 3) + 2.5 * s.noise(9, 1, 3)
    )
    s.paint(meat, light(colours, height, relief=0.6, gloss=0.48, sharp=26))
    inside = np.clip(soften(meat, 6) * 2 - 1, 0, 1)
    s.paint(s.specks(inside, 150, (1.2, 3.0), 0.7), (0.06, 0.03, 0.03), 0.8)
    wet = np.clip((s.noise(12, 1.5, 3) - 0.70) * 6, 0, 1) * inside
    s.glow(wet, (1.0, 0.84, 0.62), 0.2)


def _slip(s: Sheet, x: float, y: float, code: str) -> None:
    slip = s.area([(x - 92, y - 62), (x + 88, y - 68), (x + 94, y + 58), (x - 86, y + 64)])
    s.shade(slip, 8, 11, 8, 0.55)
    paper = mix((0.84, 0.80, 0.70), (0.95, 0.92, 0.84), s.noise(120, 1, 3))
    s.paint(slip, light(paper, 0.12 * s.folds(4) + 0.5 * s.noise(4, 1, 2), relief=0.7))
    marks = [
        ([(x - 52 + 40 * n + 30 * u, y - 31 - 2 * n + 64 * v) for u, v in run(pen)], 6.5, 5.5)
        for n, digit in enumerate(code)
        for pen in _DIGITS[digit]
    ]
    line = s.strokes(marks) * (0.6 + 0.4 * s.noise(3, 1, 2))
    s.paint(line, (0.16, 0.16, 0.19), 0.9)


def _pencil(s: Sheet) -> None:
    wood = s.strokes([([(520, 782), (690, 702)], 20, 20)])
    s.shade(wood, 7, 10, 6, 0.6)
    s.paint(
        wood,
        light(
            mix((0.55, 0.12, 0.08), (0.70, 0.20, 0.12), s.noise(4, 20, 2)),
            18 * dome(wood, 7),
            relief=0.9,
            gloss=0.3,
        ),
    )
    tip = s.area([(684, 695), (694, 712), (722, 687)])
    s.paint(tip, (0.83, 0.66, 0.44))
    s.paint(s.area([(708, 689), (712, 696), (722, 687)]), (0.12, 0.12, 0.13))
